"""A drop plan as one drawing: from above, from the side, and the key."""

from reportlab.graphics.shapes import Drawing

from guiding.drawings._axes import Axis, level_margin, number_row
from guiding.drawings._canvas import (
    PAPER_SPARE_SHARE,
    SCREEN_SPARE_SHARE,
    Canvas,
    Spot,
    label_size,
)
from guiding.drawings._svg import write_svg
from guiding.drawings.drop_plan._above import draw_above
from guiding.drawings.drop_plan._aside import draw_aside, shown_heights
from guiding.drawings.drop_plan._sheet import Sheet, circle_points, reach
from guiding.drawings.drop_plan.facts import DropPlanFacts
from guiding.drawings.drop_plan.rows import DropRow, drop_plan_rows
from guiding.drawings.fonts import text_width
from guiding.drawings.palette import LIGHT, Palette
from guiding.drawings.units import shown_length


def drop_plan(
    facts: DropPlanFacts,
    width: float | None = None,
    palette: Palette = LIGHT,
    text_size: float | None = None,
) -> Drawing:
    """A drop plan as a drawing: view from above, height profile over the same distances, key.

    The land is on the left and the sea on the right; distances are to one scale. `width` in
    drawing units, 700 unless given; ValueError under 280.
    """
    return _draw(facts, width, palette, text_size, PAPER_SPARE_SHARE)


def drop_plan_svg(
    facts: DropPlanFacts, width: float | None = None, text_size: float | None = None
) -> str:
    """A drop plan as one SVG element for a page; the same facts give the same bytes."""
    drawing = _draw(facts, width, LIGHT, text_size, SCREEN_SPARE_SHARE)
    told = [f"{row.what} {row.value}".strip() for row in drop_plan_rows(facts)]
    return write_svg(
        drawing,
        title=f"{facts.words.plan_of}: {facts.title}",
        description=". ".join(one.rstrip(".") for one in told),
        kind="drop-plan",
        language=facts.words.language,
    )


def _draw(
    facts: DropPlanFacts,
    width: float | None,
    palette: Palette,
    text_size: float | None,
    spare_share: float,
) -> Drawing:
    width = 700.0 if width is None else width
    if width < 280:
        raise ValueError(f"A drop plan needs a width of 280 or more, not {width:g}.")
    size = text_size or label_size(width, spare_share)
    low_m, high_m, side_m = reach(facts)
    left, right = size * 2.8, width - size * 1.0
    scale = (right - left) / (high_m - low_m)
    # A wide beach may not push the drawing off the page: then more sea is shown instead.
    most = width * 0.34
    if side_m * scale > most:
        scale = most / side_m
        high_m = low_m + (right - left) / scale
    half_h = max(side_m * scale, size * 4.8)
    lines = [row for row in drop_plan_rows(facts) if row.what]
    columns = _columns(lines, width, size, spare_share)
    key = size * 1.45 * -(-len(lines) // columns) + size * 1.6
    profile = size * 9.0 if facts.heights or facts.ground else 0.0
    foot = key + size * 2.0
    height = foot + profile + (size * 0.5 if profile else 0.0) + half_h * 2 + size * 0.4
    sheet = Sheet(
        facts=facts,
        canvas=Canvas(width, height, palette, spare_share),
        size=size,
        out=Axis(low_m, high_m, left, right),
        scale=scale,
        middle_y=height - size * 0.4 - half_h,
        half_h=half_h,
    )
    draw_above(sheet)
    if profile:
        draw_aside(sheet, _heights(facts, foot, profile))
    _distances(sheet, foot)
    _key(sheet, lines, key, columns)
    return sheet.canvas.drawing


def _heights(facts: DropPlanFacts, foot: float, tall: float) -> Axis:
    tops_m = [one.height_m for one in (*facts.heights, *facts.ground)]
    if facts.least_height_m is not None:
        tops_m.append(facts.least_height_m)
    top = shown_length(shown_heights(tops_m), facts.length_unit)
    depth = shown_length(max(facts.wave_height_m, 1.0), facts.length_unit)
    return Axis(-depth, top, foot, foot + tall)


def _distances(sheet: Sheet, foot: float) -> None:
    """The scale under both views, in the unit shown."""
    facts, size, canvas = sheet.facts, sheet.size, sheet.canvas
    unit = facts.length_unit
    out = sheet.out
    shown = Axis(shown_length(out.low, unit), shown_length(out.high, unit), out.start, out.end)
    steps = shown.steps(8)
    level_margin(canvas, shown, steps, foot - size * 0.4, size * 0.4)
    y = foot - size * 1.55
    name: Spot = (out.start - size * 0.6, y, "end")
    canvas.place([name], unit.value, size * 0.9, role="soft")
    number_row(canvas, shown, steps, y, size * 0.9, facts.words.decimal_mark)


def _columns(lines: list[DropRow], width: float, size: float, spare_share: float) -> int:
    """Two columns for the key where every line of it fits uncut."""
    widest = max(text_width(f"{row.what} {row.value}", size) for row in lines)
    return 2 if widest * (1 + spare_share) <= width / 2 - size * 2.4 else 1


def _key(sheet: Sheet, lines: list[DropRow], top: float, columns: int) -> None:
    """Numbers of the marks, then the flight, then what is wrong."""
    canvas, size, words = sheet.canvas, sheet.size, sheet.facts.words
    per_column = -(-len(lines) // columns)
    wide = canvas.width / columns
    for place, row in enumerate(lines):
        left = wide * (place // per_column)
        y = top - size * 1.4 - size * 1.45 * (place % per_column)
        role = "stop" if row.warns else "ink"
        number = str(row.number) if row.number else "!" if row.warns else ""
        canvas.place([(left + size * 1.4, y, "end")], number, size, role, bold=True)
        if row.what == words.fall_zone:
            _swatch(sheet, left + size * 1.05, y + size * 0.3)
        if row.what == words.keep_behind:
            x = left + size * 1.05
            foot, head = (x, y - size * 0.2), (x, y + size * 0.9)
            canvas.line(foot, head, "caution", size * 0.16, (size * 0.35, size * 0.2))
        text = canvas.cut(f"{row.what} {row.value}".strip(), wide - size * 2.4, size)
        canvas.place([(left + size * 2.0, y, "start")], text, size, role)


def _swatch(sheet: Sheet, x: float, y: float) -> None:
    outline = circle_points((x, y), sheet.size * 0.45)
    sheet.canvas.hatch(outline, "stop", sheet.size * 0.25, 45, sheet.size * 0.05)
    sheet.canvas.polygon(outline, line="stop", weight=sheet.size * 0.09)
