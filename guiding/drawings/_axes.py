"""Scales of round numbers, and the chequered margins they are drawn as."""

from dataclasses import dataclass
from math import ceil, floor, log10

from guiding.drawings._canvas import Canvas, Spot


@dataclass(frozen=True, slots=True)
class Axis:
    """A stretch of numbers laid on a stretch of the sheet."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Where a number stands on the sheet."""
        return self.start + (self.end - self.start) * (value - self.low) / (self.high - self.low)

    def steps(self, most: int) -> list[float]:
        """Round numbers on the axis, at most so many cells of them."""
        step = round_step(self.high - self.low, most)
        first = ceil(self.low / step - 1e-9)
        last = floor(self.high / step + 1e-9)
        return [n * step for n in range(first, last + 1)]


# Below this a stretch is one point: its steps could no longer be told apart, or divided.
SHORTEST_REACH = 1e-9


def round_step(reach: float, most: int) -> float:
    """The smallest step of 1, 2 or 5 times a power of ten that needs at most `most` cells."""
    if reach < SHORTEST_REACH:
        return 1.0
    power = 10.0 ** floor(log10(reach / most))
    for factor in (1, 2, 5, 10):
        if reach / (factor * power) <= most + 1e-9:
            return factor * power
    return 10 * power


def round_out(low: float, high: float, most: int) -> tuple[float, float]:
    """The same stretch, widened to whole steps; never empty."""
    if high - low < SHORTEST_REACH:
        high = low + 1.0
    step = round_step(high - low, most)
    return floor(low / step + 1e-9) * step, ceil(high / step - 1e-9) * step


def plain_number(value: float, step: float, decimal_mark: str) -> str:
    """A number with as many decimals as its step has, a true minus, the language's mark."""
    decimals = max(0, -floor(log10(step) + 1e-9)) if step > 0 else 0
    text = f"{value:.{decimals}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return text.replace(".", decimal_mark).replace("-", "\u2212")


def level_margin(canvas: Canvas, axis: Axis, steps: list[float], y: float, height: float) -> None:
    """A chequered bar along the foot, one cell a step."""
    canvas.rect(axis.start, y, axis.end - axis.start, height, fill="paper")
    boxes = [(left, y, right, y + height) for left, right in _cells(axis, steps)]
    canvas.rects(boxes, fill="ink")
    canvas.rect(axis.start, y, axis.end - axis.start, height, line="ink", weight=0.6)


def upright_margin(canvas: Canvas, axis: Axis, steps: list[float], x: float, width: float) -> None:
    """A chequered bar along the side, one cell a step."""
    canvas.rect(x, axis.start, width, axis.end - axis.start, fill="paper")
    canvas.rects([(x, low, x + width, high) for low, high in _cells(axis, steps)], fill="ink")
    canvas.rect(x, axis.start, width, axis.end - axis.start, line="ink", weight=0.6)


def _cells(axis: Axis, steps: list[float]) -> list[tuple[float, float]]:
    """Every other cell between the steps, the broken ones at the ends included."""
    inner = [axis.at(one) for one in steps]
    edges = [axis.start] if not inner or inner[0] - axis.start > 0.5 else []
    edges += inner
    if axis.end - edges[-1] > 0.5:
        edges.append(axis.end)
    return list(zip(edges[:-1:2], edges[1::2], strict=False))


def number_row(
    canvas: Canvas, axis: Axis, steps: list[float], y: float, size: float, decimal_mark: str
) -> None:
    """Numbers under a level scale; those that would touch are left out."""
    step = steps[1] - steps[0] if len(steps) > 1 else 1.0
    for one in steps:
        text = plain_number(one, step, decimal_mark)
        box = canvas.box_of(0, y, text, size, False, "middle")
        half = (box[2] - box[0]) / 2
        x = min(max(axis.at(one), half), canvas.width - half)
        spot: Spot = (x, y, "middle")
        canvas.place([spot], text, size, role="soft")


def number_column(
    canvas: Canvas, axis: Axis, steps: list[float], x: float, size: float, decimal_mark: str
) -> None:
    """Numbers left of an upright scale."""
    step = steps[1] - steps[0] if len(steps) > 1 else 1.0
    for one in steps:
        spot: Spot = (x, axis.at(one) - size * 0.3, "end")
        canvas.place([spot], plain_number(one, step, decimal_mark), size, role="soft")
