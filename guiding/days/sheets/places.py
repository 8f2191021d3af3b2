"""Where a spot lies, in every notation, from where it is reached, and as a file of waypoints."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from guiding.almanac.coordinates import CoordinateNotation, position_text
from guiding.almanac.geodesy import (
    compass_point,
    geodesic_destination,
    geodesic_distance_m,
    geodesic_line,
)
from guiding.almanac.position import Position
from guiding.days.models import Spot
from guiding.days.rules.gpx import GpxReading, PlannedLine, Waypoint, gpx_text


@dataclass(frozen=True, slots=True)
class WayTo:
    """The straight line from one place to another."""

    distance_m: float
    bearing_deg: float
    point: str


@dataclass(frozen=True, slots=True)
class SpotPlace:
    """A spot's place as people write it, the line from its meeting place, where baits drop."""

    written: tuple[tuple[str, str], ...]
    seaward: str
    from_meeting: WayTo | None
    drop: Position
    drop_written: str


def spot_place(spot: Spot) -> SpotPlace:
    """Where a spot lies; notations that have no name for the place are left out."""
    drop = drop_point(spot)
    return SpotPlace(
        written=_written(spot.latitude, spot.longitude),
        seaward=compass_point(spot.seaward_deg),
        from_meeting=_from_meeting(spot),
        drop=drop,
        drop_written=position_text(drop.latitude_deg, drop.longitude_deg),
    )


def drop_point(spot: Spot) -> Position:
    """Where a bait comes down at the usual distance straight out to sea."""
    return geodesic_destination(spot.latitude, spot.longitude, spot.seaward_deg, spot.drop_m)


def _written(latitude: float, longitude: float) -> tuple[tuple[str, str], ...]:
    found = []
    for notation in CoordinateNotation:
        try:
            found.append((str(notation.value), position_text(latitude, longitude, notation)))
        except ValueError:
            continue
    return tuple(found)


def _from_meeting(spot: Spot) -> WayTo | None:
    if spot.meeting_latitude is None or spot.meeting_longitude is None:
        return None
    line = geodesic_line(
        spot.meeting_latitude, spot.meeting_longitude, spot.latitude, spot.longitude
    )
    return WayTo(line.distance_m, line.bearing_deg, compass_point(line.bearing_deg))


def spots_gpx(spots: Sequence[Spot], *, title: str, at: datetime.datetime) -> str:
    """Spots with their meeting places and the line of their usual drop, as GPX 1.1."""
    points: list[Waypoint] = []
    lines: list[PlannedLine] = []
    for spot in spots:
        rods = Waypoint(spot.name, spot.latitude, spot.longitude, spot.access)
        drop = drop_point(spot)
        out = Waypoint(f"{spot.name}, drop", drop.latitude_deg, drop.longitude_deg)
        points.append(rods)
        if spot.meeting_latitude is not None and spot.meeting_longitude is not None:
            points.append(
                Waypoint(
                    f"{spot.name}, meeting place",
                    spot.meeting_latitude,
                    spot.meeting_longitude,
                    spot.meeting_place,
                )
            )
        lines.append(PlannedLine(f"{spot.name}, {spot.drop_m:g} m out", (rods, out)))
    return gpx_text(points, lines, title, at)


@dataclass(frozen=True, slots=True)
class FoundPlace:
    """A waypoint of a file; the spot of that name and how far it would move, or none."""

    number: int
    point: Waypoint
    written: str
    spot: Spot | None
    moved_m: float | None


def found_places(reading: GpxReading, spots: Sequence[Spot]) -> tuple[FoundPlace, ...]:
    """The waypoints of a file beside the spots of the same names."""
    by_name = {" ".join(spot.name.casefold().split()): spot for spot in spots}
    return tuple(
        _found(number, point, by_name.get(" ".join(point.name.casefold().split())))
        for number, point in enumerate(reading.waypoints)
    )


def _found(number: int, point: Waypoint, spot: Spot | None) -> FoundPlace:
    moved = (
        geodesic_distance_m(spot.latitude, spot.longitude, point.latitude_deg, point.longitude_deg)
        if spot
        else None
    )
    written = position_text(point.latitude_deg, point.longitude_deg)
    return FoundPlace(number, point, written, spot, moved)
