"""A trend: what was measured, what is expected with its band, and the line at which to retire."""

from dataclasses import dataclass

from reportlab.graphics.shapes import Drawing

from guiding.drawings._axes import (
    Axis,
    level_margin,
    number_column,
    number_row,
    plain_number,
    round_out,
    round_step,
    upright_margin,
)
from guiding.drawings._canvas import PAPER_SPARE_SHARE, SCREEN_SPARE_SHARE, Canvas, Spot, label_size
from guiding.drawings._svg import write_svg
from guiding.drawings.palette import LIGHT, Palette


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One measurement. One that is not counted (disturbed, partial) is drawn as a cross."""

    x: float
    y: float
    counted: bool = True


@dataclass(frozen=True, slots=True)
class TrendBand:
    """What is expected at one x: the middle, and the band it should stay in."""

    x: float
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class TrendCrossing:
    """Where the middle meets the line, and the band's own two crossings; None: beyond the sheet."""

    middle: float
    early: float | None = None
    late: float | None = None


@dataclass(frozen=True, slots=True)
class TrendMark:
    """An upright line with a word, such as today or a booked trip."""

    x: float
    label: str


@dataclass(frozen=True, slots=True)
class TrendFacts:
    """What a trend is drawn from. Names carry their units: 'health %', 'cycles', 'metres left'."""

    title: str
    x_name: str
    y_name: str
    points: tuple[TrendPoint, ...] = ()
    forecast: tuple[TrendBand, ...] = ()
    limit: float | None = None
    limit_name: str = "retire"
    crossing: TrendCrossing | None = None
    marks: tuple[TrendMark, ...] = ()
    note: str = ""
    empty: str = "nothing measured yet"
    expected: str = "expected"
    until: str = "to"
    language: str = "en"
    decimal_mark: str = "."

    def __post_init__(self) -> None:
        for place, one in enumerate(self.forecast, start=1):
            if not one.low <= one.middle <= one.high:
                raise ValueError(
                    f"Row {place} of the forecast has its middle outside its band; "
                    "give low, middle and high in this order."
                )


@dataclass(frozen=True, slots=True)
class TrendRow:
    """One line of the text twin."""

    what: str
    value: str


@dataclass(frozen=True, slots=True)
class _Sheet:
    facts: TrendFacts
    canvas: Canvas
    size: float
    x: Axis
    y: Axis


def trend_chart(
    facts: TrendFacts,
    width: float | None = None,
    palette: Palette = LIGHT,
    text_size: float | None = None,
) -> Drawing:
    """A trend as a drawing: points, forecast in its band, the line at which to retire.

    `width` in drawing units, 600 unless given; ValueError under 240.
    """
    return _draw(facts, width, palette, text_size, PAPER_SPARE_SHARE)


def trend_svg(facts: TrendFacts, width: float | None = None, text_size: float | None = None) -> str:
    """A trend as one SVG element for a page; the same facts give the same bytes."""
    drawing = _draw(facts, width, LIGHT, text_size, SCREEN_SPARE_SHARE)
    told = ". ".join(f"{row.what}: {row.value}" for row in trend_rows(facts))
    return write_svg(
        drawing, title=facts.title, description=told, kind="trend", language=facts.language
    )


def trend_rows(facts: TrendFacts) -> tuple[TrendRow, ...]:
    """A trend in words: first and last measurement, the limit, when it is expected to be met."""
    rows = []
    counted = [one for one in facts.points if one.counted]
    if not counted:
        rows.append(TrendRow(facts.y_name, facts.empty))
    for one in dict.fromkeys(counted[:1] + counted[-1:]):
        rows.append(TrendRow(f"{facts.x_name} {_short(facts, one.x)}", _measure(facts, one.y)))
    if facts.limit is not None:
        rows.append(TrendRow(facts.limit_name, _measure(facts, facts.limit)))
    if facts.crossing:
        rows.append(TrendRow(facts.expected, _crossing_text(facts, facts.crossing)))
    rows.extend(
        TrendRow(one.label, f"{facts.x_name} {_short(facts, one.x)}") for one in facts.marks
    )
    if facts.note:
        rows.append(TrendRow("", facts.note))
    return tuple(rows)


def _short(facts: TrendFacts, value: float) -> str:
    whole = abs(value) >= 100 or float(value).is_integer()
    return plain_number(value, 1 if whole else 0.1, facts.decimal_mark)


def _measure(facts: TrendFacts, value: float) -> str:
    return f"{facts.y_name} {_short(facts, value)}"


def _crossing_text(facts: TrendFacts, crossing: TrendCrossing) -> str:
    text = f"{facts.x_name} {_short(facts, crossing.middle)}"
    early = _short(facts, crossing.early) if crossing.early is not None else "…"
    late = _short(facts, crossing.late) if crossing.late is not None else "…"
    if crossing.early is not None or crossing.late is not None:
        text += f" ({early} {facts.until} {late})"
    return text


def _draw(
    facts: TrendFacts,
    width: float | None,
    palette: Palette,
    text_size: float | None,
    spare_share: float,
) -> Drawing:
    width = 600.0 if width is None else width
    if width < 240:
        raise ValueError(f"A trend needs a width of 240 or more, not {width:g}.")
    size = text_size or label_size(width, spare_share)
    height = size * (20 if width / size > 38 else 17)
    canvas = Canvas(width, height, palette, spare_share)
    sheet = _sheet(facts, canvas, size)
    _ground(sheet)
    _forecast(sheet)
    _points(sheet)
    _limit(sheet)
    _marks(sheet)
    _crossing_label(sheet)
    _margins(sheet)
    return canvas.drawing


def _sheet(facts: TrendFacts, canvas: Canvas, size: float) -> _Sheet:
    xs = [one.x for one in facts.points] + [one.x for one in facts.forecast]
    xs += [one.x for one in facts.marks]
    ys = [one.y for one in facts.points]
    ys += [value for one in facts.forecast for value in (one.low, one.high)]
    if facts.limit is not None:
        ys.append(facts.limit)
    x_low, x_high = round_out(min([*xs, 0.0]), max(xs, default=1.0), 8)
    y_low, y_high = round_out(min(ys, default=0.0), max(ys, default=1.0), 6)
    left = size * 3.4
    return _Sheet(
        facts,
        canvas,
        size,
        Axis(x_low, x_high, left, canvas.width - size * 1.2),
        Axis(y_low, y_high, size * 3.4, canvas.height - size * 1.8),
    )


def _ground(sheet: _Sheet) -> None:
    canvas, x, y = sheet.canvas, sheet.x, sheet.y
    canvas.rect(x.start, y.start, x.end - x.start, y.end - y.start, fill="day")
    for step in y.steps(6)[1:]:
        canvas.line((x.start, y.at(step)), (x.end, y.at(step)), "grid", 0.4)


def _forecast(sheet: _Sheet) -> None:
    """The band as hatched water, its middle dashed."""
    bands = sorted(sheet.facts.forecast, key=lambda one: one.x)
    if len(bands) < 2:
        return
    x, y, canvas, size = sheet.x, sheet.y, sheet.canvas, sheet.size
    upper = [(x.at(one.x), y.at(one.high)) for one in bands]
    lower = [(x.at(one.x), y.at(one.low)) for one in bands]
    outline = upper + lower[::-1]
    canvas.polygon(outline, fill="water")
    canvas.hatch(outline, "ripple", size * 0.5, 45, size * 0.05)
    canvas.strokes([upper, lower], "tide", size * 0.06)
    middle = [(x.at(one.x), y.at(one.middle)) for one in bands]
    canvas.strokes([middle], "tide", size * 0.13, (size * 0.5, size * 0.35))


def _points(sheet: _Sheet) -> None:
    """What was counted as discs, what was not as crosses."""
    canvas, size = sheet.canvas, sheet.size
    radius = size * (0.24 if len(sheet.facts.points) < 60 else 0.15)
    crosses = []
    for one in sheet.facts.points:
        x, y = sheet.x.at(one.x), sheet.y.at(one.y)
        if one.counted:
            canvas.circle(x, y, radius, fill="tide")
        else:
            crosses.append([(x - radius, y - radius), (x + radius, y + radius)])
            crosses.append([(x - radius, y + radius), (x + radius, y - radius)])
    canvas.strokes(crosses, "soft", size * 0.09)
    if not sheet.facts.points:
        middle: Spot = (
            (sheet.x.start + sheet.x.end) / 2,
            (sheet.y.start + sheet.y.end) / 2,
            "middle",
        )
        canvas.place([middle], sheet.facts.empty, size, role="soft")


def _limit(sheet: _Sheet) -> None:
    """The line at which to retire, named at its left end, and where it is met."""
    facts, canvas, size = sheet.facts, sheet.canvas, sheet.size
    if facts.limit is None:
        return
    y = sheet.y.at(facts.limit)
    text = f"{facts.limit_name} {_short(facts, facts.limit)}"
    spots: list[Spot] = [
        (sheet.x.start + size * 0.5, y - size * 1.05, "start"),
        (sheet.x.start + size * 0.5, y + size * 0.45, "start"),
    ]
    inside = [spot for spot in spots if spot[1] > sheet.y.start + size * 0.3]
    canvas.place(inside, text, size * 0.95, role="stop")
    dash = (size * 0.6, size * 0.35)
    start, end = (sheet.x.start, y), (sheet.x.end, y)
    canvas.gapped_line(start, end, "stop", max(0.8, size * 0.1), dash)
    crossing = facts.crossing
    if crossing and sheet.x.low <= crossing.middle <= sheet.x.high:
        low = max(crossing.early if crossing.early is not None else sheet.x.low, sheet.x.low)
        high = min(crossing.late if crossing.late is not None else sheet.x.high, sheet.x.high)
        canvas.line((sheet.x.at(low), y), (sheet.x.at(high), y), "stop", size * 0.28)
        x, half = sheet.x.at(crossing.middle), size * 0.42
        corners = [(x - half, y), (x, y + half), (x + half, y), (x, y - half)]
        canvas.polygon(corners, fill="paper", line="stop", weight=size * 0.14)


def _marks(sheet: _Sheet) -> None:
    """Upright lines, each named at the top where there is room."""
    canvas, size = sheet.canvas, sheet.size
    for one in sheet.facts.marks:
        x = sheet.x.at(one.x)
        y = sheet.y.end - size * 1.1
        spots: list[Spot] = [(x + size * 0.3, y, "start"), (x - size * 0.3, y, "end")]
        canvas.place(spots, one.label, size * 0.9, role="soft")
        canvas.gapped_line((x, sheet.y.start), (x, sheet.y.end), "soft", 0.6, (1.0, 2.0))


def _crossing_label(sheet: _Sheet) -> None:
    facts, size = sheet.facts, sheet.size
    crossing = facts.crossing
    if not crossing or facts.limit is None:
        return
    text = _crossing_text(facts, crossing)
    canvas, x_axis = sheet.canvas, sheet.x
    base = sheet.y.at(facts.limit)
    early = x_axis.at(max(crossing.early or x_axis.low, x_axis.low))
    late = x_axis.at(min(crossing.late or x_axis.high, x_axis.high))
    middle = min(max(x_axis.at(crossing.middle), x_axis.start), x_axis.end)
    # Beside the band first: under the line to its left, over it to its right.
    spots: list[Spot] = [
        (early - size * 0.5, base - size * 1.1, "end"),
        (late + size * 0.5, base + size * 0.5, "start"),
        (middle, base - size * 1.6, "middle"),
        (middle, base + size * 1.0, "middle"),
        (x_axis.end - size * 0.4, base - size * 2.8, "end"),
        (x_axis.end - size * 0.4, base + size * 2.2, "end"),
    ]
    for spot in spots:
        box = canvas.box_of(spot[0], spot[1], text, size * 0.95, True, spot[2])
        inside = x_axis.start < box[0] and box[2] < x_axis.end
        inside = inside and sheet.y.start < box[1] and box[3] < sheet.y.end
        if inside and canvas.place([spot], text, size * 0.95, role="stop", bold=True):
            return


def _margins(sheet: _Sheet) -> None:
    """Frame, chequered scales, numbers and names."""
    canvas, size, x, y = sheet.canvas, sheet.size, sheet.x, sheet.y
    bar = size * 0.4
    canvas.rect(x.start, y.start, x.end - x.start, y.end - y.start, line="ink", weight=0.6)
    x_steps, y_steps = x.steps(8), y.steps(6)
    level_margin(canvas, x, x_steps, y.start - bar, bar)
    upright_margin(canvas, y, y_steps, x.start - bar, bar)
    mark = sheet.facts.decimal_mark
    number_row(canvas, x, x_steps, y.start - bar - size * 1.15, size * 0.9, mark)
    number_column(canvas, y, y_steps, x.start - bar - size * 0.25, size * 0.9, mark)
    above: Spot = (x.start - bar, y.end + size * 0.6, "start")
    canvas.place([above], sheet.facts.y_name, size * 0.9, role="soft")
    below: Spot = (x.end, size * 0.5, "end")
    canvas.place([below], sheet.facts.x_name, size * 0.9, role="soft")
    step = round_step(x.high - x.low, 8)
    if sheet.facts.note and step:
        note: Spot = (x.start, size * 0.5, "start")
        canvas.place([note], sheet.facts.note, size * 0.85, role="soft")
