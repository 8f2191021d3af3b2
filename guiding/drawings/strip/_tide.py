"""The water: curve, highs and lows, and the level that shuts the way out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from math import floor

from guiding.drawings._canvas import Point, Spot, hatch_lines
from guiding.drawings.strip._frame import (
    Frame,
    clock_text,
    height_step_m,
    height_text,
    number_text,
    shown_height,
)
from guiding.drawings.strip.facts import StripFacts, TidePoint, TurnKind


@dataclass(frozen=True, slots=True)
class _Levels:
    """The upright scale: from a whole step under the lowest water to the highest thing shown."""

    low_m: float
    high_m: float
    step_m: float
    bottom: float
    rise: float

    def y_of(self, height_m: float) -> float:
        return self.bottom + self.rise * (height_m - self.low_m) / (self.high_m - self.low_m)

    def steps_m(self) -> list[float]:
        count = int((self.high_m - self.low_m) / self.step_m + 1e-9)
        return [self.low_m + n * self.step_m for n in range(count + 1)]


def _levels(frame: Frame) -> _Levels:
    facts, lanes = frame.facts, frame.lanes
    heights = [one.height_m for one in facts.tide] + [one.height_m for one in facts.turns]
    if facts.cut_off_m is not None:
        heights.append(facts.cut_off_m)
    lowest, highest = min([*heights, 0.0]), max([*heights, 0.5])
    step_m = height_step_m(facts, highest - lowest)
    low_m = floor(lowest / step_m + 1e-9) * step_m
    # The head leaves room over the highest water for its label.
    return _Levels(low_m, highest, step_m, lanes.tide_y, lanes.tide_h - lanes.tide_head)


def draw_water(frame: Frame, labelled: bool) -> None:
    """The curve as a body of water, lines at whole steps in it, the unsafe part hatched."""
    facts, canvas, size = frame.facts, frame.canvas, frame.size
    levels = _levels(frame)
    curve = _curve(frame, facts.tide, levels)
    if len(curve) >= 2:
        canvas.polygon(_under(curve, levels), fill="water")
        _ripples(frame, curve, levels)
        canvas.strokes([curve], "tide", max(0.9, size * 0.13))
        for one in facts.unsafe:
            spread = frame.spread(one.start, one.end)
            part = _between(curve, *spread) if spread else []
            if len(part) >= 2:
                canvas.hatch(_under(part, levels), "stop", size * 0.45, 55, size * 0.065)
                canvas.strokes([part], "stop", size * 0.22)
    if labelled and has_heights(facts):
        _height_scale(frame, levels)


def has_heights(facts: StripFacts) -> bool:
    """Whether there is any height to draw a scale for."""
    return bool(facts.tide or facts.turns or facts.cut_off_m is not None)


def water_y(frame: Frame, at: datetime) -> float:
    """Where the surface of the water is drawn at an instant, the foot of the lane without one."""
    levels = _levels(frame)
    for before, after in pairwise(frame.facts.tide):
        if before.at <= at < after.at:
            share = (at - before.at) / (after.at - before.at)
            return levels.y_of(before.height_m + share * (after.height_m - before.height_m))
    return levels.bottom


def _curve(frame: Frame, tide: Sequence[TidePoint], levels: _Levels) -> list[Point]:
    """The day's part of the curve, cut at both midnights, without points nobody could see."""
    found: list[Point] = []
    start, end = frame.facts.day_start, frame.facts.day_end
    for before, after in pairwise(tide):
        if after.at <= start or before.at >= end or after.at <= before.at:
            continue
        for at in (max(before.at, start), min(after.at, end)):
            share = (at - before.at) / (after.at - before.at)
            height_m = before.height_m + share * (after.height_m - before.height_m)
            x = frame.x_of(at)
            if not found or x - found[-1][0] >= 1.5 or at == end:
                found.append((x, levels.y_of(height_m)))
    return found


def _under(curve: Sequence[Point], levels: _Levels) -> list[Point]:
    return [(curve[0][0], levels.bottom), *curve, (curve[-1][0], levels.bottom)]


def _between(curve: Sequence[Point], left: float, right: float) -> list[Point]:
    found: list[Point] = []
    for (ax, ay), (bx, by) in pairwise(curve):
        if bx <= left or ax >= right or bx == ax:
            continue
        for x in (max(ax, left), min(bx, right)):
            point = (x, ay + (by - ay) * (x - ax) / (bx - ax))
            if not found or point[0] > found[-1][0]:
                found.append(point)
    return found


def _ripples(frame: Frame, curve: Sequence[Point], levels: _Levels) -> None:
    """Level lines in the water; closer together on paper without colour, as engraved."""
    spacing = levels.y_of(levels.low_m + levels.step_m) - levels.bottom
    if frame.canvas.palette.engraved:
        spacing /= max(1, round(spacing / (frame.size * 0.38)))
    # A hatch counts from the foot of the sheet, these lines from the foot of the lane.
    moved = [(x, y - levels.bottom) for x, y in _under(curve, levels)]
    runs = [[(x, y + levels.bottom) for x, y in run] for run in hatch_lines(moved, spacing, 0)]
    frame.canvas.strokes(runs, "ripple", frame.size * 0.06)


def _height_scale(frame: Frame, levels: _Levels) -> None:
    """The heights at the margin."""
    size, facts = frame.size, frame.facts
    unit_step = shown_height(facts, levels.step_m)
    decimals = 0 if round(unit_step, 6).is_integer() else 1
    for height_m in levels.steps_m():
        text = number_text(facts, shown_height(facts, height_m), decimals)
        spot: Spot = (frame.left - size * 0.65, levels.y_of(height_m) - size * 0.3, "end")
        frame.canvas.place([spot], text, size * 0.85, role="soft")


def height_cells(frame: Frame) -> list[tuple[float, float]]:
    """Foot and top of every step of the height scale; none where no height is known."""
    if not has_heights(frame.facts):
        return []
    levels = _levels(frame)
    edges = [levels.y_of(height_m) for height_m in levels.steps_m()]
    top = levels.y_of(levels.high_m)
    if top - edges[-1] > 0.5:
        edges.append(top)
    return list(pairwise(edges))


def draw_turns(frame: Frame, side_by_side: bool) -> None:
    """Highs and lows with time and height, above the water."""
    facts, canvas, size = frame.facts, frame.canvas, frame.size
    levels = _levels(frame)
    for turn in sorted(facts.turns, key=lambda one: one.kind is TurnKind.LOW):
        if not frame.holds(turn.at):
            continue
        x, y = frame.x_of(turn.at), levels.y_of(turn.height_m)
        canvas.circle(x, y, size * 0.26, fill="paper", line="tide", weight=size * 0.13)
        time, height = clock_text(facts, turn.at), height_text(facts, turn.height_m)
        if side_by_side:
            _one_line(frame, x, y + size * 0.7, time, height)
        else:
            _two_lines(frame, x, y + size * 0.65, time, height)


def _one_line(frame: Frame, x: float, y: float, time: str, height: str) -> None:
    canvas, size = frame.canvas, frame.size
    gap = size * 0.2
    before = -canvas.box_of(-gap, 0, time, size, True, "end")[0]
    after = canvas.box_of(gap, 0, height, size, False, "start")[2]
    middle = min(max(x, frame.left + before + size * 0.4), frame.right - after)
    for lift in (0.0, 0.9):
        if canvas.at_ends(middle, y + lift * size, gap, (time, size), (height, size)):
            return


def _two_lines(frame: Frame, x: float, y: float, time: str, height: str) -> None:
    canvas, size = frame.canvas, frame.size
    boxes = [
        canvas.box_of(0, 0, time, size, True, "middle"),
        canvas.box_of(0, 0, height, size * 0.95, False, "middle"),
    ]
    half = max(box[2] for box in boxes)
    middle = min(max(x, frame.left + half + size * 0.4), frame.right - half)
    whole = (middle - half, y - 0.22 * size, middle + half, y + 1.83 * size)
    if canvas.is_free(whole):
        canvas.text(middle, y + 1.05 * size, time, size, bold=True, anchor="middle")
        canvas.text(middle, y, height, size * 0.95, anchor="middle")


def draw_cut_off_label(frame: Frame) -> None:
    """The level that shuts the way out, named at the first free place along it."""
    facts, size = frame.facts, frame.size * 0.9
    if facts.cut_off_m is None:
        return
    y = _levels(frame).y_of(facts.cut_off_m)
    text = f"{facts.words.cut_off} {height_text(facts, facts.cut_off_m)}"
    left, _, right, _ = frame.canvas.box_of(0, 0, text, size, False, "start")
    room = frame.right - frame.left - (right - left) - size
    spots: list[Spot] = [
        (frame.left + size * 0.5 + room * step / 24, y + rise, "start")
        for rise in (size * 0.42, -size * 1.05)
        for step in range(25)
    ]
    frame.canvas.place(spots if room > 0 else [], text, size, role="stop")


def draw_cut_off(frame: Frame) -> None:
    """The level itself: a dashed line over the whole day."""
    facts, size = frame.facts, frame.size
    if facts.cut_off_m is not None:
        y = _levels(frame).y_of(facts.cut_off_m)
        dash = (size * 0.6, size * 0.35)
        start, end = (frame.left, y), (frame.right, y)
        frame.canvas.gapped_line(start, end, "stop", max(0.8, size * 0.1), dash)
