"""Square codes drawn as vectors, so that they stay sharp at any size."""

import segno
from reportlab.platypus import Flowable

from guiding.papers.styles import Tint


class QrCode(Flowable):
    """A QR code with its quiet zone of four modules.

    `side` is its width in points, `error` the level of correction ('L', 'M', 'Q', 'H').
    """

    def __init__(self, payload: str, side: float, error: str = "M") -> None:
        super().__init__()
        code = segno.make(payload, error=error, micro=False, boost_error=False)
        self.rows = [bytes(row) for row in code.matrix]
        self.width = self.height = side

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        module = self.width / (len(self.rows) + 8)
        self.canv.setFillColor(Tint.INK)
        path = self.canv.beginPath()
        for number, row in enumerate(self.rows):
            y = self.height - (number + 5) * module
            for start, length in _runs(row):
                path.rect((start + 4) * module, y, length * module, module)
        self.canv.drawPath(path, stroke=0, fill=1)


def _runs(row: bytes) -> list[tuple[int, int]]:
    """Dark runs of a row as (start, length): fewer shapes, no hairlines between modules."""
    found: list[tuple[int, int]] = []
    start = None
    for index, dark in enumerate([*row, 0]):
        if dark and start is None:
            start = index
        elif not dark and start is not None:
            found.append((start, index - start))
            start = None
    return found
