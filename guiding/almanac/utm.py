"""Universal Transverse Mercator on WGS84, by Krueger's series to the sixth order.

After C. F. F. Karney, Transverse Mercator with an accuracy of a few nanometers, Journal of
Geodesy 85, 2011.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asinh, atan, atan2, atanh, cos, cosh, degrees, hypot, radians, sin, sinh, sqrt, tan

from guiding.almanac.position import Position

_RADIUS_M = 6378137.0
_FLATTENING = 1 / 298.257223563
_SCALE = 0.9996
_FALSE_EASTING_M = 500_000.0
_FALSE_NORTHING_M = 10_000_000.0

_E = sqrt(_FLATTENING * (2 - _FLATTENING))
_N = _FLATTENING / (2 - _FLATTENING)
_MERIDIAN_M = _RADIUS_M / (1 + _N) * (1 + _N**2 / 4 + _N**4 / 64 + _N**6 / 256)


def _series(*rows: tuple[float, ...]) -> tuple[float, ...]:
    """Each coefficient as a polynomial in n; the first power of the k-th is k."""
    return tuple(
        sum(factor * _N ** (power + k) for power, factor in enumerate(row))
        for k, row in enumerate(rows, start=1)
    )


_FORWARD = _series(
    (1 / 2, -2 / 3, 5 / 16, 41 / 180, -127 / 288, 7891 / 37800),
    (13 / 48, -3 / 5, 557 / 1440, 281 / 630, -1983433 / 1935360),
    (61 / 240, -103 / 140, 15061 / 26880, 167603 / 181440),
    (49561 / 161280, -179 / 168, 6601661 / 7257600),
    (34729 / 80640, -3418889 / 1995840),
    (212378941 / 319334400,),
)
_INVERSE = _series(
    (1 / 2, -2 / 3, 37 / 96, -1 / 360, -81 / 512, 96199 / 604800),
    (1 / 48, 1 / 15, -437 / 1440, 46 / 105, -1118711 / 3870720),
    (17 / 480, -37 / 840, -209 / 4480, 5569 / 90720),
    (4397 / 161280, -11 / 504, -830251 / 7257600),
    (4583 / 161280, -108847 / 3991680),
    (20648693 / 638668800,),
)


@dataclass(frozen=True, slots=True)
class UtmPoint:
    """A place in UTM on WGS84: zone 1 to 60, hemisphere, easting and northing in metres."""

    zone: int
    north: bool
    easting_m: float
    northing_m: float

    def __post_init__(self) -> None:
        if not 1 <= self.zone <= 60:
            raise ValueError(f"There is no UTM zone {self.zone}: zones run from 1 to 60.")
        if not (100_000 <= self.easting_m < 1_000_000 and 0 <= self.northing_m <= 10_000_000):
            raise ValueError(
                f"UTM {self.easting_m:.0f} {self.northing_m:.0f} is off the grid: the easting has "
                "six figures, the northing up to seven."
            )


def utm_zone(latitude_deg: float, longitude_deg: float) -> int:
    """The UTM zone of a place, 1 to 60, with the exceptions of Norway and Svalbard.

    ValueError outside 80 south to 84 north, where UTM ends.
    """
    Position(latitude_deg, longitude_deg)
    if not -80 <= latitude_deg <= 84:
        raise ValueError(
            f"UTM ends at 80 south and 84 north, the latitude {latitude_deg} is outside."
        )
    if 56 <= latitude_deg < 64 and 3 <= longitude_deg < 12:
        return 32
    if latitude_deg >= 72 and 0 <= longitude_deg < 42:
        return next(
            zone for zone, end in ((31, 9), (33, 21), (35, 33), (37, 42)) if longitude_deg < end
        )
    return int((longitude_deg + 180) // 6) % 60 + 1


def utm_from_degrees(latitude_deg: float, longitude_deg: float) -> UtmPoint:
    """A place in UTM, WGS84, good to less than a millimetre. ValueError beyond the grid."""
    zone = utm_zone(latitude_deg, longitude_deg)
    phi = radians(latitude_deg)
    lam = radians((longitude_deg - _central_deg(zone) + 180) % 360 - 180)
    tau = tan(phi)
    sigma = sinh(_E * atanh(_E * tau / sqrt(1 + tau * tau)))
    conformal = tau * sqrt(1 + sigma * sigma) - sigma * sqrt(1 + tau * tau)
    xi0 = atan2(conformal, cos(lam))
    eta0 = asinh(sin(lam) / hypot(conformal, cos(lam)))
    xi, eta = xi0, eta0
    for j, a in enumerate(_FORWARD, start=1):
        xi += a * sin(2 * j * xi0) * cosh(2 * j * eta0)
        eta += a * cos(2 * j * xi0) * sinh(2 * j * eta0)
    northing = _SCALE * _MERIDIAN_M * xi
    north = latitude_deg >= 0
    return UtmPoint(
        zone=zone,
        north=north,
        easting_m=round(_FALSE_EASTING_M + _SCALE * _MERIDIAN_M * eta, 4),
        northing_m=round(northing if north else northing + _FALSE_NORTHING_M, 4),
    )


def degrees_from_utm(zone: int, north: bool, easting_m: float, northing_m: float) -> Position:
    """The place of a UTM reference on WGS84, good to less than a millimetre.

    ValueError for a zone, easting or northing off the grid.
    """
    point = UtmPoint(zone, north, easting_m, northing_m)
    eta0 = (point.easting_m - _FALSE_EASTING_M) / (_SCALE * _MERIDIAN_M)
    northing = point.northing_m - (0 if north else _FALSE_NORTHING_M)
    xi0 = northing / (_SCALE * _MERIDIAN_M)
    xi, eta = xi0, eta0
    for j, b in enumerate(_INVERSE, start=1):
        xi -= b * sin(2 * j * xi0) * cosh(2 * j * eta0)
        eta -= b * cos(2 * j * xi0) * sinh(2 * j * eta0)
    tau = _tangent(sin(xi) / hypot(sinh(eta), cos(xi)))
    longitude = _central_deg(zone) + degrees(atan2(sinh(eta), cos(xi)))
    return Position(round(degrees(atan(tau)), 9), round((longitude + 180) % 360 - 180, 9))


def _central_deg(zone: int) -> int:
    return zone * 6 - 183


def _tangent(conformal: float) -> float:
    """The tangent of the latitude from that of the conformal latitude, by Newton's method."""
    tau = conformal
    for _ in range(6):
        sigma = sinh(_E * atanh(_E * tau / sqrt(1 + tau * tau)))
        here = tau * sqrt(1 + sigma * sigma) - sigma * sqrt(1 + tau * tau)
        slope = (1 + (1 - _E**2) * tau * tau) / ((1 - _E**2) * sqrt(1 + tau * tau))
        step = (conformal - here) / sqrt(1 + here * here) * slope
        tau += step
        if abs(step) < 1e-14:
            break
    return tau
