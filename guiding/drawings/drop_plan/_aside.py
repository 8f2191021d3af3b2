"""The drop from the side: ground, waves, the craft's height, and what hangs below it."""

from math import pi, sin

from guiding.drawings._axes import Axis, number_column, plain_number, upright_margin
from guiding.drawings._canvas import Point, Spot
from guiding.drawings.drop_plan._sheet import Sheet
from guiding.drawings.units import shown_length


def draw_aside(sheet: Sheet, heights: Axis) -> None:
    """The profile over the same distances as the view from above."""
    canvas, size, out = sheet.canvas, sheet.size, sheet.out
    canvas.rect(out.start, heights.start, out.end - out.start, heights.end - heights.start, "day")
    _water(sheet, heights)
    _ground(sheet, heights)
    levels = (
        (sheet.facts.least_height_m, sheet.facts.words.least_height, "stop"),
        (sheet.facts.ceiling_m, sheet.facts.words.ceiling, "caution"),
    )
    for height_m, word, role in levels:
        _name_level(sheet, heights, height_m, word, role)
    _flight(sheet, heights)
    for height_m, _word, role in levels:  # last, so that it stops short of every label
        _draw_level(sheet, heights, height_m, role)
    canvas.rect(
        out.start,
        heights.start,
        out.end - out.start,
        heights.end - heights.start,
        line="ink",
        weight=0.6,
    )
    steps = heights.steps(4)
    bar = size * 0.4
    upright_margin(canvas, heights, steps, out.start - bar, bar)
    mark = sheet.facts.words.decimal_mark
    number_column(canvas, heights, steps, out.start - bar - size * 0.25, size * 0.85, mark)


def shown_heights(sheet_heights_m: list[float]) -> float:
    """The highest thing the profile must hold."""
    return max([*sheet_heights_m, 5.0]) * 1.25


def _y(sheet: Sheet, heights: Axis, height_m: float) -> float:
    return heights.at(shown_length(height_m, sheet.facts.length_unit))


def _water(sheet: Sheet, heights: Axis) -> None:
    """The sea with its waves to the scale of the heights."""
    out, size = sheet.out, sheet.size
    edge = out.at(0.0)
    half_m = sheet.facts.wave_height_m / 2
    count = max(8, int((out.end - edge) / (size * 0.25)))
    surface: list[Point] = []
    for n in range(count + 1):
        x = edge + (out.end - edge) * n / count
        swing = half_m * sin(n * pi / 7)
        surface.append((x, max(_y(sheet, heights, swing), heights.start)))
    outline = [(edge, heights.start), *surface, (out.end, heights.start)]
    sheet.canvas.polygon(outline, fill="water")
    sheet.canvas.strokes([surface], "tide", size * 0.11)


def _ground(sheet: Sheet, heights: Axis) -> None:
    """The beach: as surveyed, else a gentle rise."""
    out, size = sheet.out, sheet.size
    ground = sorted(sheet.facts.ground, key=lambda one: one.out_m)
    line = [(out.at(one.out_m), _y(sheet, heights, one.height_m)) for one in ground]
    if line:
        line = [(out.start, line[0][1]), *line]
    else:
        rise = heights.end * 0.1 + heights.start * 0.9
        line = [(out.start, rise), (out.at(0.0), _y(sheet, heights, 0.0))]
    kept = [(x, min(max(y, heights.start), heights.end)) for x, y in line]
    outline = [(kept[0][0], heights.start), *kept, (kept[-1][0], heights.start)]
    sheet.canvas.polygon(outline, fill="twilight")
    sheet.canvas.hatch(outline, "grid", size * 0.5, 60, size * 0.05)
    sheet.canvas.strokes([kept], "ink", size * 0.11)


def _level_y(sheet: Sheet, heights: Axis, height_m: float | None) -> float | None:
    """Where a level lies on the sheet; None where it does not."""
    if height_m is None or sheet.facts.cast_only is not None:
        return None
    y = _y(sheet, heights, height_m)
    return y if heights.start < y < heights.end else None


def _name_level(sheet: Sheet, heights: Axis, height_m: float | None, word: str, role: str) -> None:
    """The name of a level above or below it."""
    y, size = _level_y(sheet, heights, height_m), sheet.size
    if y is None or height_m is None:
        return
    shown = shown_length(height_m, sheet.facts.length_unit)
    step = 1 if float(shown).is_integer() else 0.1
    number = plain_number(shown, step, sheet.facts.words.decimal_mark)
    text = f"{word} {number}\u00a0{sheet.facts.length_unit}"
    x = sheet.out.at(0.0) + size * 1.5
    spots: list[Spot] = [(x, y - size * 1.05, "start"), (x, y + size * 0.4, "start")]
    sheet.canvas.place(spots, text, size * 0.9, role=role)


def _draw_level(sheet: Sheet, heights: Axis, height_m: float | None, role: str) -> None:
    """A dashed level that stops short of every label."""
    y, size = _level_y(sheet, heights, height_m), sheet.size
    if y is None:
        return
    dash = (size * 0.5, size * 0.35)
    start, end = (sheet.out.start, y), (sheet.out.end, y)
    sheet.canvas.gapped_line(start, end, role, size * 0.1, dash)


def _flight(sheet: Sheet, heights: Axis) -> None:
    """The craft's height, the rig under it at the release, and the fall of the load."""
    facts, size, canvas = sheet.facts, sheet.size, sheet.canvas
    if facts.cast_only is not None or len(facts.heights) < 2:
        return
    run = [(sheet.out.at(one.out_m), _y(sheet, heights, one.height_m)) for one in facts.heights]
    canvas.strokes([run], "ink", size * 0.15)
    release = facts.release
    if not release:
        return
    # The path may turn home at the same place: the release is where the craft is farthest out.
    top = max(facts.heights, key=lambda one: (one.out_m, one.height_m))
    x, y = sheet.out.at(top.out_m), _y(sheet, heights, top.height_m)
    foot = _y(sheet, heights, max(top.height_m - facts.hang_m, 0.0))
    canvas.line((x, y), (x, foot), "ink", size * 0.08)
    canvas.circle(x, foot, size * 0.22, fill="ink")
    canvas.line((x, foot), (x, _y(sheet, heights, 0.0)), "stop", size * 0.12, (1.0, 2.5))
    arm = size * 0.5
    canvas.strokes([[(x - arm, y), (x + arm, y)]], "ink", size * 0.22)
    shown = plain_number(shown_length(top.height_m, facts.length_unit), 1, ".")
    spots: list[Spot] = [
        (x + size * 0.8, y - size * 0.3, "start"),
        (x, y + size * 0.5, "end"),
        (x, y + size * 0.5, "middle"),
    ]
    frame = (sheet.out.start, heights.start, sheet.out.end, heights.end)
    text = f"{shown}\u00a0{facts.length_unit}"
    canvas.place(spots, text, size * 0.95, bold=True, within=frame)
