"""Distance and bearing on the ellipsoid, and the points of the compass."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from math import floor, isfinite

from geographiclib.geodesic import Geodesic

from guiding.almanac.position import Position

_POINTS = (
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
    "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
)  # fmt: skip


class Ellipsoid(StrEnum):
    """The figure of the Earth that coordinates refer to; satellites and phones use WGS84."""

    WGS84 = "WGS84"
    GRS80 = "GRS80"
    INTERNATIONAL_1924 = "International 1924"
    BESSEL_1841 = "Bessel 1841"


_FIGURES = {  # equatorial radius in metres, inverse flattening
    Ellipsoid.WGS84: (6378137.0, 298.257223563),
    Ellipsoid.GRS80: (6378137.0, 298.257222101),
    Ellipsoid.INTERNATIONAL_1924: (6378388.0, 297.0),
    Ellipsoid.BESSEL_1841: (6377397.155, 299.1528128),
}


@dataclass(frozen=True, slots=True)
class GeodesicLine:
    """The shortest line between two places: its length, and its azimuth at either end.

    Azimuths are degrees clockwise from true north, 0 to 360, both in the direction of travel.
    """

    distance_m: float
    bearing_deg: float
    arrival_deg: float


def geodesic_line(
    latitude_deg: float,
    longitude_deg: float,
    to_latitude_deg: float,
    to_longitude_deg: float,
    ellipsoid: Ellipsoid = Ellipsoid.WGS84,
) -> GeodesicLine:
    """The shortest line from one place to another on the ellipsoid, to the millimetre.

    Degrees north and east. ValueError for a place that cannot be. Source: Karney's algorithm.
    """
    here, there = (
        Position(latitude_deg, longitude_deg),
        Position(to_latitude_deg, to_longitude_deg),
    )
    line = _figure(ellipsoid).Inverse(
        here.latitude_deg, here.longitude_deg, there.latitude_deg, there.longitude_deg
    )
    return GeodesicLine(
        round(line["s12"], 4), round(line["azi1"] % 360, 7), round(line["azi2"] % 360, 7)
    )


def geodesic_distance_m(
    latitude_deg: float, longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> float:
    """The distance between two places on WGS84 in metres. Arguments as for the line."""
    return geodesic_line(latitude_deg, longitude_deg, to_latitude_deg, to_longitude_deg).distance_m


def geodesic_bearing_deg(
    latitude_deg: float, longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> float:
    """The bearing at which one sets out for another place, from true north, 0 to 360."""
    return geodesic_line(latitude_deg, longitude_deg, to_latitude_deg, to_longitude_deg).bearing_deg


def geodesic_destination(
    latitude_deg: float,
    longitude_deg: float,
    bearing_deg: float,
    distance_m: float,
    ellipsoid: Ellipsoid = Ellipsoid.WGS84,
) -> Position:
    """The place one comes to from here, straight on along a bearing for a distance in metres.

    ValueError for a place, bearing or distance that cannot be.
    """
    here = Position(latitude_deg, longitude_deg)
    if not (isfinite(bearing_deg) and isfinite(distance_m) and distance_m >= 0):
        raise ValueError(
            f"{distance_m} m on a bearing of {bearing_deg} degrees cannot be travelled: "
            "give metres of 0 or more and degrees."
        )
    end = _figure(ellipsoid).Direct(here.latitude_deg, here.longitude_deg, bearing_deg, distance_m)
    return Position(round(end["lat2"], 9), round(end["lon2"], 9))


def compass_point(bearing_deg: float, points: int = 16) -> str:
    """The point of the compass nearest to a bearing, such as NNE; of 4, 8 or 16 points.

    Any bearing, also below 0 or over 360; halfway goes clockwise. ValueError for other counts.
    """
    if points not in (4, 8, 16):
        raise ValueError(f"A compass of {points} points is not made: choose 4, 8 or 16.")
    if not isfinite(bearing_deg):
        raise ValueError(f"{bearing_deg} is no bearing: give degrees clockwise from north.")
    return _POINTS[floor(bearing_deg % 360 * points / 360 + 0.5) % points * (16 // points)]


@lru_cache(maxsize=8)
def _figure(ellipsoid: Ellipsoid) -> Geodesic:
    radius_m, inverse_flattening = _FIGURES[ellipsoid]
    return Geodesic(radius_m, 1 / inverse_flattening)
