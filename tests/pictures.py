"""Makes the README's pictures: `python -m tests.pictures`. Needs a Chromium and pdftoppm."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.request import urlopen

from PIL import Image
from playwright.sync_api import sync_playwright

from tests.machine import CHROMIUM_FLAGS, chromium

ROOT = Path(__file__).resolve().parents[1]
OUT = ROOT / "fixtures" / "pictures"
_ACROSS, _GAP, _TABLE = 6, 14, (214, 206, 190)


def main() -> None:
    browser, pdftoppm = chromium(), shutil.which("pdftoppm")
    if browser is None or pdftoppm is None:
        sys.exit("Pictures need a Chromium and pdftoppm (Debian: chromium, poppler-utils).")
    OUT.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {"SANDSPIKE_DATA": folder, "DATABASE_URL": ""}

        def manage(*words: str) -> None:
            command = [sys.executable, str(ROOT / "manage.py"), *words]
            subprocess.run(command, check=True, env=environment, stdout=subprocess.DEVNULL)

        manage("migrate", "--verbosity", "0")
        manage("demo")
        manage("papers", "--next", "--out", folder)
        sheet = OUT / "trip-sheet"
        subprocess.run(
            [pdftoppm, "-r", "70", "-png", f"{folder}/trip-sheet.pdf", str(sheet)], check=True
        )
        _family(pdftoppm, Path(folder))
        _screens(browser, environment)
    for picture in sorted(OUT.glob("*.png")):
        print(f"{picture.relative_to(ROOT)}  {picture.stat().st_size} bytes")


def _family(pdftoppm: str, folder: Path) -> None:
    """The first page of every paper of the trip, side by side on one picture: what the client
    holds first, then what the guide does. Of the signed forms, all alike, one is enough."""
    pages = []
    papers = sorted(folder.glob("*.pdf"), key=_place)
    signed = [paper for paper in papers if paper.name.startswith("signed-")]
    for paper in papers:
        if paper in signed[1:]:
            continue
        page = folder / f"{paper.stem}-first"
        command = [pdftoppm, "-r", "46", "-png", "-f", "1", "-l", "1", "-singlefile"]
        subprocess.run([*command, str(paper), str(page)], check=True)
        pages.append(Image.open(page.with_suffix(".png")).convert("RGB"))
    across = min(_ACROSS, len(pages))
    width, height = (max(page.size[side] for page in pages) for side in (0, 1))
    rows = -(-len(pages) // across)
    size = across * (width + _GAP) + _GAP, rows * (height + _GAP) + _GAP
    sheet = Image.new("RGB", size, _TABLE)
    for number, page in enumerate(pages):
        row, column = divmod(number, across)
        sheet.paste(page, (_GAP + column * (width + _GAP), _GAP + row * (height + _GAP)))
    sheet.quantize(64).save(OUT / "family.png", optimize=True)


_ORDER = (
    "price-note",
    "trip-sheet",
    "child-page",
    "card",
    "signed",
    "invoice",
    "receipt",
    "credit-note",
    "statement",
    "run-sheet",
    "briefing",
    "prep-lists",
    "drop-sheet",
    "cost-sheet",
    "gear-report",
    "labels",
    "season",
)


def _place(paper: Path) -> tuple[int, str]:
    """Where a paper lies on the table; one that has no place of its own comes last."""
    places = [n for n, start in enumerate(_ORDER) if paper.name.startswith(start)]
    return (places[0] if places else len(_ORDER), paper.name)


def _screens(browser: str, environment: dict[str, str]) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    address = f"http://127.0.0.1:{port}"
    command = [sys.executable, str(ROOT / "manage.py"), "serve", "--address", f"127.0.0.1:{port}"]
    server = subprocess.Popen(
        command, env=environment | {"SANDSPIKE_URL": address}, stdout=subprocess.DEVNULL
    )
    try:
        _wait(f"{address}/healthy/")
        with sync_playwright() as play:
            chrome = play.chromium.launch(executable_path=browser, args=CHROMIUM_FLAGS)
            page = chrome.new_page(viewport={"width": 1100, "height": 860})
            page.goto(f"{address}/account/login/")
            page.fill("input[name=login]", "guide@marramhead.example")
            page.fill("input[name=password]", "sand-and-spike")
            page.click("main button[type=submit]")
            page.screenshot(path=OUT / "today.png")
            page.goto(f"{address}/diary/")
            page.screenshot(path=OUT / "diary.png")
            page.goto(address)
            page.click("section h2 a")
            page.set_viewport_size({"width": 390, "height": 844})
            page.screenshot(path=OUT / "trip-on-a-phone.png")
            chrome.close()
    finally:
        server.terminate()
        server.wait(timeout=10)


def _wait(address: str) -> None:
    for _ in range(240):  # well is a desk whose first round of mails is through
        try:
            with urlopen(address) as answer:
                if answer.status == 200:
                    return
        except OSError:
            time.sleep(0.25)
    sys.exit("The desk did not open within a minute.")


if __name__ == "__main__":
    main()
