"""Where everybody stands while a bait is flown out, and how far that is from the path.

Places are metres along the beach, to the right for who looks straight out to sea, and metres out
from the water's edge; what lies on the beach is out by less than nought.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

# House defaults, in metres.
ROD_APART_M = 10.0
_RODS_BACK_M = 4.0
_PAD_BACK_M = 15.0
_PAD_BESIDE_RODS_M = 15.0
_SPOTTER_BESIDE_PAD_M = 6.0
_VEHICLE_BACK_M = 50.0
_KEEP_BEHIND_M = 8.0
_HOME_ASIDE_M = 12.0
# A way out farther off than this runs along the beach, over whoever walks there.
WIDEST_OFF_DEG = 70.0


@dataclass(frozen=True, slots=True)
class ShorePlace:
    """A place on the shore or over the water."""

    along_m: float
    out_m: float


@dataclass(frozen=True, slots=True)
class ShoreLayout:
    """Who stands where, and the ways out and home; the paths begin and end at the pad."""

    rods: tuple[ShorePlace, ...]
    pad: ShorePlace
    people: ShorePlace
    spotter: ShorePlace
    vehicle: ShorePlace
    path_out: tuple[ShorePlace, ...]
    path_home: tuple[ShorePlace, ...]
    keep_behind_m: float


def angle_between_deg(first_deg: float, second_deg: float) -> float:
    """Angle between two bearings, 0 to 180 degrees.

    Bearings in degrees from north, any turn of the circle. Source: plane angle.
    """
    return abs((first_deg - second_deg + 180) % 360 - 180)


def shore_layout(
    *,
    seaward_deg: float,
    bearing_deg: float,
    drop_m: float,
    rods: int,
    people_aside_m: float,
    people_back_m: float,
    wind_from_deg: float | None = None,
) -> ShoreLayout:
    """Where rods, pad, people, spotter and vehicle stand for a drop, and the ways out and home.

    seaward_deg, bearing_deg, wind_from_deg: from north; drop_m: above 0; rods: 1..50;
    people_aside_m of the pad and people_back_m from the water: 0 or more. The pad stands upwind
    of the rods (to the left where the wind is not known), so that the line blows away from the
    craft; people stand beyond the pad on the same side, because a load drifts the other way; the
    way home swings away from them. ValueError outside. House default.
    """
    if not 1 <= rods <= 50 or not drop_m > 0:
        raise ValueError(f"{rods} rods and a drop of {drop_m:g} m: give 1 to 50 rods and a drop.")
    if people_aside_m < 0 or people_back_m < 0:
        raise ValueError("The people's place is less than nothing from the pad: give 0 or more.")
    side = -1.0
    if wind_from_deg is not None:
        across = math.sin(math.radians(wind_from_deg - seaward_deg))
        side = 1.0 if across > 0 else -1.0
    half = (rods - 1) / 2 * ROD_APART_M
    pad = ShorePlace(side * (half + _PAD_BESIDE_RODS_M), -_PAD_BACK_M)
    off = math.radians(bearing_deg - seaward_deg)
    release = ShorePlace(pad.along_m + drop_m * math.sin(off), pad.out_m + drop_m * math.cos(off))
    middle = ShorePlace(
        (pad.along_m + release.along_m) / 2 - side * _HOME_ASIDE_M * abs(math.cos(off)),
        (pad.out_m + release.out_m) / 2,
    )
    return ShoreLayout(
        rods=tuple(ShorePlace(n * ROD_APART_M - half, -_RODS_BACK_M) for n in range(rods)),
        pad=pad,
        people=ShorePlace(pad.along_m + side * people_aside_m, -people_back_m),
        spotter=ShorePlace(pad.along_m + side * _SPOTTER_BESIDE_PAD_M, pad.out_m - 2),
        vehicle=ShorePlace(0.0, -_VEHICLE_BACK_M),
        path_out=(pad, release),
        path_home=(release, middle, pad),
        keep_behind_m=-_KEEP_BEHIND_M,
    )


def clear_of_path_m(*, place: ShorePlace, path: tuple[ShorePlace, ...]) -> float:
    """Distance over the ground from a place to the nearest point of a path, in metres.

    path: two places or more. ValueError otherwise. Source: distance from a point to a segment.
    """
    if len(path) < 2:
        raise ValueError("A path needs two places or more.")
    return min(_to_segment_m(place, start, end) for start, end in pairwise(path))


def _to_segment_m(place: ShorePlace, start: ShorePlace, end: ShorePlace) -> float:
    dx, dy = end.along_m - start.along_m, end.out_m - start.out_m
    x, y = place.along_m - start.along_m, place.out_m - start.out_m
    length = dx * dx + dy * dy
    share = 0.0 if length == 0 else min(max((x * dx + y * dy) / length, 0.0), 1.0)
    return math.hypot(x - share * dx, y - share * dy)
