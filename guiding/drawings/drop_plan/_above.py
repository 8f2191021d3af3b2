"""The drop from above: beach, bearing, wind, paths, fall zone, and who stands where."""

from collections.abc import Sequence
from itertools import pairwise
from math import cos, hypot, pi, radians, sin

from guiding.drawings._canvas import Point, Spot
from guiding.drawings.drop_plan._sheet import Sheet, circle_points
from guiding.drawings.drop_plan.facts import MarkKind, ShoreMark, ShorePoint
from guiding.drawings.units import speed_text


def draw_above(sheet: Sheet) -> None:
    """Everything of the view from above, the ground first."""
    _ground(sheet)
    if sheet.facts.release:
        _fall_zone(sheet)
    _keep_behind(sheet)
    for mark in sheet.facts.marks:
        _mark(sheet, mark)
    _compass(sheet)
    if sheet.facts.release:
        _paths(sheet)
    elif sheet.facts.cast_only is not None:
        x = (sheet.out.at(0) + sheet.out.end) / 2
        spot: Spot = (x, sheet.middle_y, "middle")
        word = sheet.facts.words.cast_only
        sheet.canvas.place([spot], word, sheet.size * 1.3, role="stop", bold=True)
    for number, mark in enumerate(sheet.facts.marks, start=1):
        sheet.numbered(number, *sheet.at(mark.at))


def _ground(sheet: Sheet) -> None:
    """Land and sea, the water's edge, and a few lines of breakers."""
    canvas, out = sheet.canvas, sheet.out
    low, tall = sheet.middle_y - sheet.half_h, sheet.half_h * 2
    edge = out.at(0.0)
    canvas.rect(out.start, low, edge - out.start, tall, fill="day")
    canvas.rect(edge, low, out.end - edge, tall, fill="water")
    runs = []
    for away in (0.9, 2.1, 3.6):
        x = edge + away * sheet.size
        run = [
            (x + sheet.size * 0.18 * sin(n * pi / 2 + away), low + tall * n / 24) for n in range(25)
        ]
        runs.append(run)
    canvas.strokes(runs, "ripple", sheet.size * 0.07)
    canvas.line((edge, low), (edge, low + tall), "tide", sheet.size * 0.16)
    canvas.rect(out.start, low, out.end - out.start, tall, line="ink", weight=0.6)


def _fall_zone(sheet: Sheet) -> None:
    centre = sheet.facts.fall_centre or sheet.facts.release
    if centre is None or sheet.facts.fall_radius_m <= 0:
        return
    radius = sheet.facts.fall_radius_m * sheet.scale
    outline = circle_points(sheet.at(centre), radius)
    sheet.canvas.hatch(outline, "stop", sheet.size * 0.5, 45, sheet.size * 0.05)
    sheet.canvas.polygon(outline, line="stop", weight=sheet.size * 0.12)


def _keep_behind(sheet: Sheet) -> None:
    """The line nobody passes while the craft flies."""
    if sheet.facts.keep_behind_m is None:
        return
    x = sheet.out.at(sheet.facts.keep_behind_m)
    start, end = (x, sheet.middle_y - sheet.half_h), (x, sheet.middle_y + sheet.half_h)
    dash = (sheet.size * 0.6, sheet.size * 0.35)
    sheet.canvas.line(start, end, "caution", sheet.size * 0.16, dash)


def _paths(sheet: Sheet) -> None:
    """Out in one line, home in dashes, an arrowhead on each leg, the release crossed."""
    size, canvas, facts = sheet.size, sheet.canvas, sheet.facts
    out = [sheet.at(one) for one in facts.path_out]
    home = [sheet.at(one) for one in facts.path_home]
    if len(home) >= 2:
        canvas.strokes([home], "ink", size * 0.13, (size * 0.45, size * 0.35))
        _heads(sheet, home)
    canvas.strokes([out], "ink", size * 0.17)
    _heads(sheet, out)
    x, y = out[-1]
    arm = size * 0.55
    canvas.circle(x, y, arm, fill="paper", line="ink", weight=size * 0.13)
    canvas.strokes([[(x - arm, y), (x + arm, y)], [(x, y - arm), (x, y + arm)]], "ink", size * 0.1)
    middle = sheet.at(facts.fall_centre) if facts.fall_centre else (x, y)
    away = max(facts.fall_radius_m * sheet.scale, arm)
    spots: list[Spot] = [
        (middle[0], middle[1] + side * away + rise * size, "middle")
        for side, rise in ((1, 0.5), (-1, -1.2))
    ]
    spots += [(x - arm * 1.8, y + size * 0.8, "end"), (x - arm * 1.8, y - size * 1.4, "end")]
    canvas.place(spots, facts.words.release, size * 0.95, bold=True, within=sheet.above)


def _heads(sheet: Sheet, run: Sequence[Point]) -> None:
    """An arrowhead in the middle of every leg that has room for one."""
    size = sheet.size * 0.5
    for (ax, ay), (bx, by) in pairwise(run):
        length = hypot(bx - ax, by - ay)
        if length < size * 4:
            continue
        dx, dy = (bx - ax) / length, (by - ay) / length
        x, y = (ax + bx) / 2, (ay + by) / 2
        base = (x - dx * size, y - dy * size)
        wing = size * 0.55
        corners = [
            (x + dx * size, y + dy * size),
            (base[0] - dy * wing, base[1] + dx * wing),
            (base[0] + dy * wing, base[1] - dx * wing),
        ]
        sheet.canvas.polygon(corners, fill="ink")


def _mark(sheet: Sheet, mark: ShoreMark) -> None:
    """A sign for each kind, told apart by shape."""
    canvas, size = sheet.canvas, sheet.size
    x, y = sheet.at(mark.at)
    half = size * 0.36
    match mark.kind:
        case MarkKind.ROD:
            canvas.strokes([[(x - half, y), (x + half * 2.4, y)]], "ink", size * 0.16)
            canvas.circle(x - half, y, half * 0.5, fill="ink")
        case MarkKind.PAD:
            canvas.rect(
                x - half, y - half, half * 2, half * 2, fill="paper", line="ink", weight=1.0
            )
            canvas.circle(x, y, half * 0.45, fill="ink")
        case MarkKind.PEOPLE:
            canvas.circle(x, y, half * 0.9, fill="ink")
        case MarkKind.SPOTTER:
            corners = [(x - half, y - half), (x - half, y + half), (x + half * 1.2, y)]
            canvas.polygon(corners, fill="ink")
        case MarkKind.VEHICLE:
            canvas.rect(x - half * 1.6, y - half, half * 3.2, half * 2, fill="soft", line="ink")
    canvas.taken.append((x - half * 1.6, y - half, x + half * 1.6, y + half))


def _compass(sheet: Sheet) -> None:
    """North and wind in the corner that is farthest out to sea."""
    facts, canvas, size = sheet.facts, sheet.canvas, sheet.size
    release = facts.release or ShorePoint(0.0, 0.0)
    upper = sheet.at(release)[1] <= sheet.middle_y
    side = 1.0 if upper else -1.0
    y = sheet.middle_y + side * (sheet.half_h - size * 2.3)
    x = sheet.out.end - size * 2.3
    dx, dy = _direction(-facts.seaward_deg)
    spot: Spot = (x + dx * size * 1.6, y + dy * size * 1.5 - size * 0.3, "middle")
    canvas.place([spot], facts.words.north, size * 0.9, role="ink", bold=True)
    _arrow(sheet, (x, y), -facts.seaward_deg, size * 1.0, "ink")
    if facts.wind_ms is None:
        return
    x -= size * 4.4
    blows_to = facts.wind_from_deg + 180 - facts.seaward_deg
    _arrow(sheet, (x, y), blows_to, size * 1.5, "ink")
    shown = speed_text(facts.wind_ms, facts.speed_unit, facts.words.decimal_mark)
    text = f"{facts.words.wind} {shown}"
    spots: list[Spot] = [
        (x - size * 1.8, y - size * 0.3, "end"),
        (x, y - side * size * 2.4 - size * 0.3, "middle"),
    ]
    canvas.place(spots, text, size * 0.95, role="ink", within=sheet.above)


def _direction(relative_deg: float) -> Point:
    """A bearing relative to seaward as a step on the sheet: seaward is to the right."""
    return cos(radians(relative_deg)), -sin(radians(relative_deg))


def _arrow(sheet: Sheet, middle: Point, relative_deg: float, half: float, role: str) -> None:
    dx, dy = _direction(relative_deg)
    x, y = middle
    wing = half * 0.3
    base = (x + dx * half * 0.35, y + dy * half * 0.35)
    sheet.canvas.line((x - dx * half, y - dy * half), base, role, sheet.size * 0.17)
    corners = [
        (x + dx * half, y + dy * half),
        (base[0] - dy * wing, base[1] + dx * wing),
        (base[0] + dy * wing, base[1] - dx * wing),
    ]
    sheet.canvas.polygon(corners, fill=role)
    reach = half * 1.05
    sheet.canvas.taken.append((x - reach, y - reach, x + reach, y + reach))
