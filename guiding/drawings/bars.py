"""Bars side by side: what was planned against what it came to, month by month or line by line."""

from dataclasses import dataclass

from reportlab.graphics.shapes import Drawing

from guiding.drawings._canvas import PAPER_SPARE_SHARE, SCREEN_SPARE_SHARE, Canvas, Spot, label_size
from guiding.drawings._svg import write_svg
from guiding.drawings.fonts import text_width
from guiding.drawings.palette import LIGHT, Palette


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar: its name, its amount, and both amounts as they are to be read (with the unit)."""

    label: str
    amount: float
    shown: str
    planned: float | None = None
    planned_shown: str = ""


@dataclass(frozen=True, slots=True)
class BarFacts:
    """What a set of bars is drawn from; the names of the two amounts are for the text twin."""

    title: str
    bars: tuple[Bar, ...] = ()
    amount_name: str = "actual"
    planned_name: str = "planned"
    empty: str = "nothing yet"
    language: str = "en"


@dataclass(frozen=True, slots=True)
class BarRow:
    """One line of the text twin."""

    label: str
    amount: str
    planned: str


def bar_chart(
    facts: BarFacts,
    width: float | None = None,
    palette: Palette = LIGHT,
    text_size: float | None = None,
) -> Drawing:
    """Level bars as a drawing: the amount filled, the plan as an open frame behind it.

    `width` in drawing units, 600 unless given; ValueError under 240.
    """
    return _draw(facts, width, palette, text_size, PAPER_SPARE_SHARE)


def bar_svg(facts: BarFacts, width: float | None = None, text_size: float | None = None) -> str:
    """Level bars as one SVG element for a page; the same facts give the same bytes."""
    drawing = _draw(facts, width, LIGHT, text_size, SCREEN_SPARE_SHARE)
    told = ". ".join(
        f"{row.label}: {row.amount}"
        + (f", {facts.planned_name} {row.planned}" if row.planned else "")
        for row in bar_rows(facts)
    )
    return write_svg(
        drawing,
        title=facts.title,
        description=told or facts.empty,
        kind="bars",
        language=facts.language,
    )


def bar_rows(facts: BarFacts) -> tuple[BarRow, ...]:
    """The bars as a table: name, amount, plan."""
    return tuple(BarRow(one.label, one.shown, one.planned_shown) for one in facts.bars)


def _draw(
    facts: BarFacts,
    width: float | None,
    palette: Palette,
    text_size: float | None,
    spare_share: float,
) -> Drawing:
    width = 600.0 if width is None else width
    if width < 240:
        raise ValueError(f"Bars need a width of 240 or more, not {width:g}.")
    size = text_size or label_size(width, spare_share)
    pitch = size * 2.0
    canvas = Canvas(width, max(len(facts.bars), 1) * pitch + size * 0.8, palette, spare_share)
    if not facts.bars:
        canvas.place([(width / 2, size * 0.8, "middle")], facts.empty, size, role="soft")
        return canvas.drawing
    left, right, zero, scale = _across(facts, canvas, size)
    top = canvas.height - size * 0.4
    for place, one in enumerate(facts.bars):
        _bar(canvas, one, (left, zero, scale), top - (place + 1) * pitch, size)
    canvas.line((zero, size * 0.4), (zero, top), "ink", 0.7)
    canvas.line((left, size * 0.4), (right, size * 0.4), "grid", 0.5)
    return canvas.drawing


def _across(facts: BarFacts, canvas: Canvas, size: float) -> tuple[float, float, float, float]:
    """Left and right of the bars, where nought stands, and units a drawing unit."""
    spare = 1 + canvas.spare_share
    names = max(text_width(one.label, size) for one in facts.bars) * spare
    left = min(names, canvas.width * 0.4) + size * 0.8
    figures = max(text_width(one.shown, size) for one in facts.bars) * spare + size * 0.8
    amounts = [one.amount for one in facts.bars]
    amounts += [one.planned for one in facts.bars if one.planned is not None]
    low, high = min([*amounts, 0.0]), max([*amounts, 0.0])
    # Figures stand beyond the end of their bar: right of what is gained, left of what is lost.
    start = left + (figures if low < 0 else 0.0)
    right = canvas.width - figures
    scale = (right - start) / ((high - low) or 1.0)
    return left, right, start - low * scale, scale


def _bar(
    canvas: Canvas, one: Bar, across: tuple[float, float, float], y: float, size: float
) -> None:
    left, zero, scale = across
    tall = size * 1.15
    if one.planned is not None:
        end = zero + one.planned * scale
        foot = y + size * 0.25
        canvas.rect(
            min(zero, end), foot, abs(end - zero), tall + size * 0.3, line="soft", weight=0.8
        )
    end = zero + one.amount * scale
    x, wide, foot = min(zero, end), abs(end - zero), y + size * 0.4
    lost = one.amount < 0
    canvas.rect(
        x, foot, wide, tall, fill="paper" if lost else "block", line="stop" if lost else None
    )
    if lost and wide > 0:
        outline = [(x, foot), (x + wide, foot), (x + wide, foot + tall), (x, foot + tall)]
        canvas.hatch(outline, "stop", size * 0.4, 45, size * 0.07)
    text_y = foot + tall / 2 - size * 0.3
    canvas.place([(0, text_y, "start")], canvas.cut(one.label, left - size * 0.6, size), size)
    beyond = max(end, zero + one.planned * scale) if one.planned is not None else end
    spot: Spot = (
        (x - size * 0.35, text_y, "end") if lost else (beyond + size * 0.35, text_y, "start")
    )
    canvas.place([spot], one.shown, size, role="stop" if lost else "ink")
