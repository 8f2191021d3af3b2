"""Where the sun and the moon stand: positions from ephem, interpolated, for arrays of times.

ephem gives the apparent geocentric place of the date (VSOP87 for the sun, a full lunar theory for
the moon) at evenly spaced nodes; between them a polynomial through six nodes is good to
far less than an arc second. The nodes belong to no place, so that ten spots share them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import ephem
import numpy as np
from numpy.typing import NDArray

from guiding.almanac.position import Position

Floats = NDArray[np.float64]
Body = Literal["sun", "moon"]

DAY_S = 86400.0
REFRACTION_DEG = 34 / 60  # at the horizon, as the official almanacs take it
CIVIL_TWILIGHT_DEG = -6.0

_NODE_S: dict[Body, float] = {"sun": DAY_S, "moon": DAY_S / 4}
_BLOCK = 32
# The weight of each of six nodes as a polynomial of the place between them: a column a node.
_WEIGHTS: NDArray[np.float64] = np.linalg.inv(np.vander(np.arange(6) - 2.5, increasing=True))
_POSIX_AT_EPHEM_ZERO = -2209032000.0  # 1899-12-31 12:00 UTC
_AU_M = 149597870700.0
_EARTH_RADIUS_M = 6378137.0
_FLATTENING = 1 / 298.257223563
_RADIUS_M: dict[Body, float] = {"sun": 696000e3, "moon": 0.2725076 * _EARTH_RADIUS_M}


@dataclass(frozen=True, slots=True)
class Sighting:
    """A body as seen from a place, one value a time: degrees, azimuth clockwise from north.

    Held as metres towards the zenith, north and east; each angle is worked out when asked for.
    """

    zenith_m: Floats
    north_m: Floats
    east_m: Floats
    body_radius_m: float

    @property
    def altitude_deg(self) -> Floats:
        """Of the centre, without refraction."""
        altitude: Floats = np.degrees(np.arcsin(self.zenith_m / self._distance_m))
        return altitude

    @property
    def azimuth_deg(self) -> Floats:
        """Where it stands, 0 to 360."""
        azimuth: Floats = np.degrees(np.arctan2(self.east_m, self.north_m)) % 360
        return azimuth

    @property
    def radius_deg(self) -> Floats:
        """Half the apparent diameter."""
        radius: Floats = np.degrees(np.arcsin(self.body_radius_m / self._distance_m))
        return radius

    @property
    def _distance_m(self) -> Floats:
        distance: Floats = np.sqrt(self.zenith_m**2 + self.north_m**2 + self.east_m**2)
        return distance

    @property
    def limb_deg(self) -> Floats:
        """The upper limb over the visible sea horizon, refraction included: 0 is rise or set."""
        return self.altitude_deg + self.radius_deg + REFRACTION_DEG


@lru_cache(maxsize=512)
def _block(body: Body, number: int) -> Floats:
    """The geocentric vectors in metres at the nodes of one block, shape (32, 3)."""
    found = ephem.Sun() if body == "sun" else ephem.Moon()
    rows = np.empty((_BLOCK, 3))
    for i in range(_BLOCK):
        at_s = (number * _BLOCK + i) * _NODE_S[body]
        found.compute((at_s - _POSIX_AT_EPHEM_ZERO) / DAY_S)
        rows[i] = found.g_ra, found.g_dec, found.earth_distance * _AU_M
    ra, dec, distance = rows.T
    vectors: Floats = np.stack(
        [np.cos(dec) * np.cos(ra), np.cos(dec) * np.sin(ra), np.sin(dec)], axis=1
    )
    return vectors * distance[:, None]


def _geocentric_m(body: Body, posix_s: Floats) -> Floats:
    """The vector from the Earth's centre to the body, equator of date, shape (n, 3)."""
    place = posix_s / _NODE_S[body]
    first = np.floor(place).astype(np.int64) - 2
    lowest, highest = int(first.min()), int(first.max()) + 5
    blocks = range(lowest // _BLOCK, highest // _BLOCK + 1)
    nodes = np.concatenate([_block(body, number) for number in blocks])
    six = nodes[(first - blocks[0] * _BLOCK)[:, None] + np.arange(6)]
    off = place - first - 2.5  # from the middle of the six, in nodes; between -1/2 and 1/2
    weights = np.vander(off, 6, increasing=True) @ _WEIGHTS
    found: Floats = np.einsum("ni,nij->nj", weights, six)
    return found


def _sidereal_rad(posix_s: Floats) -> Floats:
    """Greenwich apparent sidereal time; UTC stands for UT1, at most 0.9 s apart."""
    days = posix_s / DAY_S - 10957.5  # from J2000
    centuries = days / 36525
    mean = 280.46061837 + 360.98564736629 * days + 0.000387933 * centuries**2
    node = np.radians(125.04452 - 1934.136261 * centuries)
    sun2 = 2 * np.radians(280.4665 + 36000.7698 * centuries)
    moon2 = 2 * np.radians(218.3165 + 481267.8813 * centuries)
    nutation_arcsec = -17.20 * np.sin(node) - 1.32 * np.sin(sun2) - 0.23 * np.sin(moon2)
    angle: Floats = np.radians((mean + nutation_arcsec * 0.9175 / 3600) % 360)
    return angle


@dataclass(frozen=True, slots=True)
class Sky:
    """The sky over a place at sea level: north latitude, east longitude in degrees."""

    latitude_deg: float
    longitude_deg: float

    def __post_init__(self) -> None:
        Position(self.latitude_deg, self.longitude_deg)  # refuses what cannot be

    def sighted(self, body: Body, posix_s: Floats) -> Sighting:
        """Altitude, azimuth and radius of the body at these times."""
        lat = np.radians(self.latitude_deg)
        local = _sidereal_rad(posix_s) + np.radians(self.longitude_deg)
        cos_local, sin_local = np.cos(local), np.sin(local)
        e2 = _FLATTENING * (2 - _FLATTENING)
        n = _EARTH_RADIUS_M / np.sqrt(1 - e2 * np.sin(lat) ** 2)
        x, y, z = _geocentric_m(body, posix_s).T
        # turned so that the meridian of the place is the first axis, and seen from the place
        out = x * cos_local + y * sin_local - n * np.cos(lat)
        pole = z - n * (1 - e2) * np.sin(lat)
        return Sighting(
            zenith_m=out * np.cos(lat) + pole * np.sin(lat),
            north_m=pole * np.cos(lat) - out * np.sin(lat),
            east_m=y * cos_local - x * sin_local,
            body_radius_m=_RADIUS_M[body],
        )

    @staticmethod
    def elongation_deg(posix_s: Floats) -> Floats:
        """How far the moon is east of the sun along the ecliptic, 0 to 360: 0 new, 180 full."""
        tilt = np.radians(23.4392911 - 0.0130042 * (posix_s / DAY_S - 10957.5) / 36525)

        def longitude(body: Body) -> Floats:
            x, y, z = _geocentric_m(body, posix_s).T
            angle: Floats = np.arctan2(y * np.cos(tilt) + z * np.sin(tilt), x)
            return angle

        turned: Floats = np.degrees(longitude("moon") - longitude("sun")) % 360
        return turned

    @staticmethod
    def lit_share(posix_s: Floats) -> Floats:
        """The share of the moon's disc that is lit, 0 to 1, seen from the Earth's centre."""
        moon, sun = _geocentric_m("moon", posix_s), _geocentric_m("sun", posix_s)
        to_sun = sun - moon
        cosine = -np.einsum("ij,ij->i", moon, to_sun) / (
            np.linalg.norm(moon, axis=1) * np.linalg.norm(to_sun, axis=1)
        )
        share: Floats = (1 + cosine) / 2
        return share
