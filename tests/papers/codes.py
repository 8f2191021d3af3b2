"""Square codes as a printer puts them on paper, and what a phone would read in them."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from PIL import Image

DPI = 300
needs_printer = pytest.mark.skipif(not shutil.which("pdftoppm"), reason="pdftoppm is not installed")

# Blocks and data bytes a block at correction level M, versions 1 to 6 (ISO/IEC 18004, table 9).
_BLOCKS = {1: (1, 16), 2: (1, 28), 3: (1, 44), 4: (2, 32), 5: (2, 43), 6: (4, 27)}
_MASKS = (
    lambda y, x: (y + x) % 2 == 0,
    lambda y, x: y % 2 == 0,
    lambda y, x: x % 3 == 0,
    lambda y, x: (y + x) % 3 == 0,
    lambda y, x: (y // 2 + x // 3) % 2 == 0,
    lambda y, x: y * x % 2 + y * x % 3 == 0,
    lambda y, x: (y * x % 2 + y * x % 3) % 2 == 0,
    lambda y, x: ((y + x) % 2 + y * x % 3) % 2 == 0,
)


def printed(data: bytes, folder: Path, page: int = 1) -> Image.Image:
    """One page of a PDF as it lies in the tray."""
    file = folder / "paper.pdf"
    file.write_bytes(data)
    picture = folder / f"page{page}"
    which = ["-f", str(page), "-l", str(page), "-singlefile"]
    command = ["pdftoppm", "-r", str(DPI), "-gray", "-png", *which, str(file), str(picture)]
    subprocess.run(command, check=True)
    return Image.open(f"{picture}.png").convert("L")


def modules(
    picture: Image.Image, box: tuple[float, float, float], count: int | None = None
) -> list[list[bool]]:
    """Dark or light at the middle of each module.

    `box` is left, top and side in pixels, quiet zone and all. Without `count` it follows from the
    width of the finder in the corner, which is seven modules.
    """
    left, top, side = box
    if count is None:
        count = _count(picture, box)
    step = side / (count + 8)
    return [
        [
            picture.getpixel((int(left + (x + 4.5) * step), int(top + (y + 4.5) * step))) < 128
            for x in range(count)
        ]
        for y in range(count)
    ]


def _count(picture: Image.Image, box: tuple[float, float, float]) -> int:
    left, top, side = (round(value) for value in box)
    dark = [[picture.getpixel((left + x, top + y)) < 128 for x in range(side)] for y in range(side)]
    first = next(y for y in range(side) if any(dark[y]))
    row = dark[first + 1]
    start = row.index(True)
    width = next(x for x in range(start, side) if not row[x]) - start
    return 17 + 4 * round((side / (width / 7) - 8 - 17) / 4)


def read_code(dark: list[list[bool]]) -> str:
    """The words in a code of level M, versions 1 to 6, with not a module wrong.

    After ISO/IEC 18004: no correction is done, so what is read was printed without a fault.
    """
    size = len(dark)
    version = (size - 17) // 4
    mask = _MASKS[
        sum(
            (dark[8][x] ^ bool(flip)) << place
            for x, flip, place in ((2, 1, 2), (3, 0, 1), (4, 1, 0))
        )
    ]
    bits = [dark[y][x] ^ mask(y, x) for y, x in _path(size, version)]
    count, length = _BLOCKS[version]
    words = [_value(bits[n : n + 8]) for n in range(0, len(bits) - 7, 8)]
    data = [word for block in range(count) for word in words[block::count][:length]]
    stream = [bool(word >> place & 1) for word in data for place in range(7, -1, -1)]
    assert _value(stream[:4]) == 4, "bytes"
    many = _value(stream[4:12])
    return bytes(_value(stream[12 + 8 * n : 20 + 8 * n]) for n in range(many)).decode()


def _path(size: int, version: int) -> list[tuple[int, int]]:
    """Row and column of each module that carries data, in the order of reading."""
    found = []
    columns = [*range(size - 1, 6, -2), 5, 3, 1]
    for turn, right in enumerate(columns):
        rows = range(size - 1, -1, -1) if turn % 2 == 0 else range(size)
        found += [
            (y, x) for y in rows for x in (right, right - 1) if not _fixed(y, x, size, version)
        ]
    return found


def _fixed(y: int, x: int, size: int, version: int) -> bool:
    corner = (y < 9 and (x < 9 or x >= size - 8)) or (y >= size - 8 and x < 9)
    middle = size - 7
    aligned = version > 1 and abs(y - middle) <= 2 and abs(x - middle) <= 2
    return corner or aligned or y == 6 or x == 6


def _value(bits: list[bool]) -> int:
    return sum(bit << place for place, bit in enumerate(reversed(bits)))
