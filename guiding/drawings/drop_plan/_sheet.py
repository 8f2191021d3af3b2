"""Where things stand on a drop plan: one scale out to sea for the view from above and the side."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, pi, sin

from guiding.drawings._axes import Axis
from guiding.drawings._canvas import Box, Canvas, Point
from guiding.drawings.drop_plan.facts import DropPlanFacts, ShorePoint


@dataclass(frozen=True, slots=True)
class Sheet:
    """The sheet of one plan; `out` runs left to right, the land on the left."""

    facts: DropPlanFacts
    canvas: Canvas
    size: float
    out: Axis
    scale: float
    middle_y: float
    half_h: float

    def at(self, point: ShorePoint) -> Point:
        """A place as seen from above: right along the beach is down, as the sea is to the right."""
        return self.out.at(point.out_m), self.middle_y - point.along_m * self.scale

    @property
    def above(self) -> Box:
        """The frame of the view from above."""
        low, high = self.middle_y - self.half_h, self.middle_y + self.half_h
        return self.out.start, low, self.out.end, high

    def numbered(self, number: int, x: float, y: float) -> None:
        """The number of a mark in a ring, beside it."""
        size = self.size
        ways = ((-1.4, 0), (0, 1.5), (0, -1.5), (1.4, 0), (-1.4, 1.4), (1.4, -1.4), (-2.6, 0))
        middles = [(x + dx * size, y + dy * size) for dx, dy in ways]
        self.canvas.ringed(middles, number, size * 0.85)


def circle_points(centre: Point, radius: float) -> list[Point]:
    """A circle as a shape that can be hatched."""
    turns = [2 * pi * n / 48 for n in range(48)]
    return [(centre[0] + radius * cos(a), centre[1] + radius * sin(a)) for a in turns]


def points_of(facts: DropPlanFacts) -> Iterator[ShorePoint]:
    """Every place a plan must hold."""
    yield from (one.at for one in facts.marks)
    if facts.cast_only is not None:
        return
    yield from facts.path_out
    yield from facts.path_home
    centre = facts.fall_centre or facts.release
    if centre:
        radius_m = facts.fall_radius_m
        yield ShorePoint(centre.along_m - radius_m, centre.out_m + radius_m)
        yield ShorePoint(centre.along_m + radius_m, centre.out_m - radius_m)


def reach(facts: DropPlanFacts) -> tuple[float, float, float]:
    """Nearest and farthest metres out, and the metres to each side that must be shown."""
    points = list(points_of(facts))
    outs = [one.out_m for one in points] + [one.out_m for one in facts.ground] + [-20.0, 40.0]
    if facts.cast_only is None:
        outs += [one.out_m for one in facts.heights]
    if facts.keep_behind_m is not None:
        outs.append(facts.keep_behind_m)
    spare_m = (max(outs) - min(outs)) * 0.04
    low_m, high_m = min(outs) - spare_m, max(outs) + spare_m
    side_m = max([abs(one.along_m) for one in points] + [0.0]) * 1.12 + 6.0
    return low_m, high_m, max(side_m, (high_m - low_m) * 0.14)
