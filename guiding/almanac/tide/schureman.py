"""Arguments and node factors of the 37 usual tidal constituents.

After P. Schureman, Manual of Harmonic Analysis and Prediction of Tides (US Coast and Geodetic
Survey, Special Publication 98). As the US tide service does, one node factor f and one angle u
serve a whole calendar year, taken at its middle, with the argument V0 at its beginning,
0 h at Greenwich; official predictions therefore have a small step at New Year, and so have these.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import atan, atan2, cos, degrees, radians, sin, sqrt, tan

FIRST_YEAR, LAST_YEAR = 1900, 2100  # the series for the mean longitudes are good beyond both

_EPOCH = datetime(1899, 12, 31, 12, tzinfo=UTC)
_CENTURY_DAYS = 36525.0


@dataclass(frozen=True, slots=True)
class Argument:
    """How a constituent's angle is put together.

    The multiples of T (hour angle of the mean sun, counted from midnight), s, h, p and p1, a
    constant in degrees, and the node corrections as (name, power): f is the product of their
    factors each raised to the size of its power, u the sum of their angles times it.
    """

    name: str
    multiples: tuple[int, int, int, int, int]
    constant_deg: int
    nodes: tuple[tuple[str, int], ...] = ()


def _argument(name: str, multiples: str, constant_deg: int, nodes: str = "") -> Argument:
    t, s, h, p, p1 = (int(each) for each in multiples.split())
    pairs = (each.split("^") for each in nodes.split())
    return Argument(
        name, (t, s, h, p, p1), constant_deg, tuple((node, int(power)) for node, power in pairs)
    )


ARGUMENTS = {
    each.name: each
    for each in (
        _argument("M2", "2 -2 2 0 0", 0, "M2^1"),
        _argument("S2", "2 0 0 0 0", 0),
        _argument("N2", "2 -3 2 1 0", 0, "M2^1"),
        _argument("K1", "1 0 1 0 0", -90, "K1^1"),
        _argument("M4", "4 -4 4 0 0", 0, "M2^2"),
        _argument("O1", "1 -2 1 0 0", 90, "O1^1"),
        _argument("M6", "6 -6 6 0 0", 0, "M2^3"),
        _argument("MK3", "3 -2 3 0 0", -90, "M2^1 K1^1"),
        _argument("S4", "4 0 0 0 0", 0),
        _argument("MN4", "4 -5 4 1 0", 0, "M2^2"),
        _argument("NU2", "2 -3 4 -1 0", 0, "M2^1"),
        _argument("S6", "6 0 0 0 0", 0),
        _argument("MU2", "2 -4 4 0 0", 0, "M2^1"),
        _argument("2N2", "2 -4 2 2 0", 0, "M2^1"),
        _argument("OO1", "1 2 1 0 0", -90, "OO1^1"),
        _argument("LAM2", "2 -1 0 1 0", 180, "M2^1"),
        _argument("S1", "1 0 0 0 0", 0),
        _argument("M1", "1 -1 1 0 0", -90, "M1^1"),
        _argument("J1", "1 1 1 -1 0", -90, "J1^1"),
        _argument("MM", "0 1 0 -1 0", 0, "MM^1"),
        _argument("SSA", "0 0 2 0 0", 0),
        _argument("SA", "0 0 1 0 0", 0),
        _argument("MSF", "0 2 -2 0 0", 0, "M2^-1"),
        _argument("MF", "0 2 0 0 0", 0, "MF^1"),
        _argument("RHO", "1 -3 3 -1 0", 90, "O1^1"),
        _argument("Q1", "1 -3 1 1 0", 90, "O1^1"),
        _argument("T2", "2 0 -1 0 1", 0),
        _argument("R2", "2 0 1 0 -1", 180),
        _argument("2Q1", "1 -4 1 2 0", 90, "O1^1"),
        _argument("P1", "1 0 -1 0 0", 90),
        _argument("2SM2", "2 2 -2 0 0", 0, "M2^-1"),
        _argument("M3", "3 -3 3 0 0", 0, "M3^1"),
        _argument("L2", "2 -1 2 -1 0", 180, "L2^1"),
        _argument("2MK3", "3 -4 3 0 0", 90, "M2^2 K1^-1"),
        _argument("K2", "2 0 2 0 0", 0, "K2^1"),
        _argument("M8", "8 -8 8 0 0", 0, "M2^4"),
        _argument("MS4", "4 -2 2 0 0", 0, "M2^1"),
    )
}


@dataclass(frozen=True, slots=True)
class YearFactors:
    """What one calendar year needs of one constituent."""

    node_factor: float  # f, at the middle of the year
    argument_deg: float  # V0 + u, 0 to 360, at the beginning of the year, Greenwich
    speed_deg_per_h: float


@dataclass(frozen=True, slots=True)
class _Longitudes:
    """Mean longitudes in degrees: moon, sun, lunar perigee, lunar node, solar perigee."""

    s: float
    h: float
    p: float
    n: float
    p1: float

    @classmethod
    def at(cls, when: datetime) -> _Longitudes:
        c = (when - _EPOCH) / timedelta(days=_CENTURY_DAYS)
        return cls(
            s=270.43659 + (1336 * 360 + 307.89057) * c + 0.00198 * c * c,
            h=279.69660 + (100 * 360 + 0.76892) * c + 0.00030 * c * c,
            p=334.32956 + (11 * 360 + 109.03403) * c - 0.01034 * c * c,
            n=259.18328 - (5 * 360 + 134.14201) * c + 0.00208 * c * c,
            p1=281.22083 + 1.71902 * c + 0.00045 * c * c,
        )


def constituent_speed_deg_per_h(constituent: str) -> float:
    """The speed of a constituent in degrees per hour, such as 28.9841042 for M2.

    Takes the 37 names of the US tide service; ValueError for another. Source: Schureman, Table 1.
    """
    return _speed(_known(constituent))


def tide_year_factors(year: int) -> dict[str, YearFactors]:
    """Node factor, Greenwich argument and speed of every constituent for one calendar year.

    Years 1900 to 2100, ValueError outside. Source: Schureman, as this module's head says.
    """
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise ValueError(
            f"Node factors are computed for the years {FIRST_YEAR} to {LAST_YEAR}, not for {year}."
        )
    start = datetime(year, 1, 1, tzinfo=UTC)
    middle = start + (datetime(year + 1, 1, 1, tzinfo=UTC) - start) / 2
    nodes = _nodes(_Longitudes.at(middle))
    begin = _Longitudes.at(start)
    return {
        each.name: YearFactors(
            node_factor=_factor(each, nodes),
            argument_deg=(_greenwich_deg(each, begin) + _angle_deg(each, nodes)) % 360,
            speed_deg_per_h=_speed(each),
        )
        for each in ARGUMENTS.values()
    }


def _known(constituent: str) -> Argument:
    try:
        return ARGUMENTS[constituent]
    except KeyError:
        raise ValueError(
            f"There is no constituent named '{constituent}' among the 37: {', '.join(ARGUMENTS)}."
        ) from None


def _speed(argument: Argument) -> float:
    t, s, h, p, p1 = argument.multiples
    if argument.name == "M1":
        p += 1  # its node angle holds a whole turn of the perigee, which the mean speed includes
    per_century = (
        s * (1336 * 360 + 307.89057)
        + h * (100 * 360 + 0.76892)
        + p * (11 * 360 + 109.03403)
        + p1 * 1.71902
    )
    return t * 15.0 + per_century / (_CENTURY_DAYS * 24)


def _greenwich_deg(argument: Argument, at_midnight: _Longitudes) -> float:
    t, s, h, p, p1 = argument.multiples
    at = at_midnight
    return t * 180.0 + s * at.s + h * at.h + p * at.p + p1 * at.p1 + argument.constant_deg


def _factor(argument: Argument, nodes: dict[str, tuple[float, float]]) -> float:
    product = 1.0
    for name, power in argument.nodes:
        product *= nodes[name][0] ** abs(power)
    return product


def _angle_deg(argument: Argument, nodes: dict[str, tuple[float, float]]) -> float:
    return sum(power * nodes[name][1] for name, power in argument.nodes)


def _nodes(at: _Longitudes) -> dict[str, tuple[float, float]]:
    """f and u in degrees of the constituents that the 18.6-year turn of the lunar node changes."""
    n = radians((at.n + 180) % 360 - 180)
    inclination = 0.91370 - 0.03569 * cos(n)
    i = atan2(sqrt(1 - inclination**2), inclination)
    left, right = atan(1.01883 * tan(n / 2)), atan(0.64412 * tan(n / 2))
    xi, nu = n - left - right, left - right
    nu1 = atan2(sin(2 * i) * sin(nu), sin(2 * i) * cos(nu) + 0.3347)
    nu2 = atan2(sin(i) ** 2 * sin(2 * nu), sin(i) ** 2 * cos(2 * nu) + 0.0727) / 2
    pp = radians(at.p) - xi
    t2 = tan(i / 2) ** 2
    ra = 1 / sqrt(1 - 12 * t2 * cos(2 * pp) + 36 * t2 * t2)
    r = atan2(sin(2 * pp), 1 / (6 * t2) - cos(2 * pp))
    qa = sqrt(2.310 + 1.435 * cos(2 * pp))
    q = atan2(0.483 * sin(pp), cos(pp))
    m2, o1 = cos(i / 2) ** 4 / 0.9154, sin(i) * cos(i / 2) ** 2 / 0.3800
    factors = {
        "M2": (m2, 2 * xi - 2 * nu),
        "O1": (o1, 2 * xi - nu),
        "K1": (
            sqrt(0.8965 * sin(2 * i) ** 2 + 0.6001 * sin(2 * i) * cos(nu) + 0.1006),
            -nu1,
        ),
        "K2": (
            sqrt(19.0444 * sin(i) ** 4 + 2.7702 * sin(i) ** 2 * cos(2 * nu) + 0.0981),
            -2 * nu2,
        ),
        "L2": (m2 / ra, 2 * xi - 2 * nu - r),
        "M1": (o1 * qa, xi - nu + q),
        "M3": (cos(i / 2) ** 6 / 0.8758, 3 * xi - 3 * nu),
        "J1": (sin(2 * i) / 0.7214, -nu),
        "OO1": (sin(i) * sin(i / 2) ** 2 / 0.0164, -2 * xi - nu),
        "MM": ((2 / 3 - sin(i) ** 2) / 0.5021, 0.0),
        "MF": (sin(i) ** 2 / 0.1578, -2 * xi),
    }
    return {name: (f, degrees(u)) for name, (f, u) in factors.items()}
