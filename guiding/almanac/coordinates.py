"""Coordinates as people write them: read from any usual notation, written in the one wanted."""

from __future__ import annotations

import re
from enum import StrEnum
from math import floor, isfinite

import mgrs

from guiding.almanac.position import Position
from guiding.almanac.utm import degrees_from_utm, utm_from_degrees

_PLAIN = str.maketrans("º˚′’″”“−–", '°°\'\'"""--')
_MGRS = re.compile(r"(\d{1,2}[C-HJ-NP-X]|[ABYZ])([A-HJ-NP-Z]{2})(\d{0,10})")
_UTM = re.compile(
    r"(?:UTM )?(?:ZONE )?(\d{1,2}) ?(NORTH|SOUTH|[C-HJ-NP-X]),? "
    r"(\d{6}(?:\.\d+)?) ?(?:M? ?E)?,? (\d{1,8}(?:\.\d+)?) ?(?:M? ?N)?"
)
_ANGLE = re.compile(
    r"""(?P<before>[NSEW])?\s*(?P<sign>[-+])?\s*(?P<degrees>\d+(?:\.\d+)?)\s*
        (?:[°:\s]\s*(?P<minutes>\d+(?:\.\d+)?)\s*
        (?:[':\s]\s*(?P<seconds>\d+(?:\.\d+)?)\s*"?)?'?)?°?\s*(?P<after>[NSEW])?""",
    re.VERBOSE,
)
_SPELT_SECONDS = re.compile(r"(\d)\s*M\s*(\d+(?:\.\d+)?)\s*S")
_AS_MARKS = "\\1'\\2\""
_DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d)")
_BANDS = "CDEFGHJKLMNPQRSTUVWX"  # eight degrees each from 80 south
# the northings for which band S (32 to 40 north) and a place in the south look alike
_BAND_S_M = (3_500_000, 4_500_000)
_HINT = "write it like 53.3498, -6.2603 or 53 20 59 N 6 15 37 W, or as UTM or MGRS"


class CoordinateNotation(StrEnum):
    """The ways to write a place."""

    DECIMAL = "decimal degrees"
    MINUTES = "degrees and minutes"
    SECONDS = "degrees, minutes and seconds"
    UTM = "UTM"
    MGRS = "MGRS"


_ANGLES = {  # parts below the degree, marks, decimals unless told otherwise: all near a metre
    CoordinateNotation.DECIMAL: (1, "°", 5),
    CoordinateNotation.MINUTES: (60, "°′", 3),
    CoordinateNotation.SECONDS: (3600, "°′″", 1),
}


def position_of(text: str) -> Position:
    """The place that a text names, in any usual notation, WGS84.

    Decimal degrees, degrees with minutes, or with minutes and seconds, with signs or the letters
    N S E W before or behind; latitude first unless letters say otherwise; UTM with a band letter or
    the word north or south; MGRS, of whose square the middle is taken. ValueError with one
    sentence for anything else, and for what could mean two places.
    """
    plain = " ".join(text.upper().translate(_PLAIN).split())
    if not plain:
        raise ValueError(f"No place is given: {_HINT}.")
    grid = _MGRS.fullmatch(plain.replace(" ", ""))
    if grid:
        return _from_mgrs(grid, text)
    metres = _UTM.fullmatch(plain)
    if metres:
        return _from_utm(metres, text)
    first, second = _halves(plain, text)
    (value, axis), (other, other_axis) = _angle(first, text), _angle(second, text)
    if (axis and axis == other_axis) or bool(axis) != bool(other_axis):
        raise ValueError(f"'{text}' needs one of N or S and one of E or W, or neither: {_HINT}.")
    return Position(other, value) if axis == "EW" else Position(value, other)


def angle_of(text: str) -> float:
    """The degrees of one latitude or longitude as people write it, south and west negative.

    Such as 45.7626, 45 45.756 S, 33:18, 44d24 or 24 32 42.4 N. ValueError otherwise.
    """
    return _angle(" ".join(text.upper().translate(_PLAIN).split()), text)[0]


def grid_precision_m(grid_reference: str) -> int:
    """The side in metres of the square that an MGRS reference names: 1 to 100 000.

    ValueError for what is no MGRS reference. Source: FGDC-STD-011-2001.
    """
    grid = _MGRS.fullmatch(grid_reference.upper().replace(" ", ""))
    if not grid or len(grid[3]) % 2:
        raise ValueError(f"'{grid_reference}' is no MGRS reference: write it like 29UPV8214.")
    return int(10 ** (5 - len(grid[3]) // 2))


def angle_text(
    angle_deg: float, notation: CoordinateNotation, decimals: int | None = None, figures: int = 3
) -> str:
    """An angle without its sign, such as 009°09.15′: degrees padded to `figures`.

    Rounded half up as a whole, so that neither minutes nor seconds ever print 60. ValueError for a
    grid notation.
    """
    if notation not in _ANGLES:
        raise ValueError(f"An angle is not written in {notation}: choose one of degrees.")
    parts, marks, usual = _ANGLES[notation]
    places = usual if decimals is None else decimals
    if not 0 <= places <= 9 or not isfinite(angle_deg):
        raise ValueError(f"{angle_deg} with {decimals} decimals cannot be written: take 0 to 9.")
    whole = floor(abs(angle_deg) * parts * 10**places + 0.5 + 1e-6)
    units, fraction = divmod(whole, 10**places)
    numbers = [units]
    for _ in marks[1:]:
        numbers[:1] = divmod(numbers[0], 60)
    texts = [f"{numbers[0]:0{figures}d}"] + [f"{number:02d}" for number in numbers[1:]]
    if places:
        texts[-1] += f".{fraction:0{places}d}"
    return "".join(text + mark for text, mark in zip(texts, marks, strict=True))


def position_text(
    latitude_deg: float,
    longitude_deg: float,
    notation: CoordinateNotation = CoordinateNotation.DECIMAL,
    decimals: int | None = None,
) -> str:
    """A place written in a notation, to about a metre unless `decimals` says otherwise.

    Decimal degrees with signs, as maps on phones take them; minutes and seconds with letters; UTM
    with the word north or south, whole metres; MGRS to the metre, cut as its rule is. What it
    writes, `position_of` reads. ValueError for a place that cannot be or lies off the grid.
    """
    place = Position(latitude_deg, longitude_deg)
    if notation is CoordinateNotation.UTM:
        point = utm_from_degrees(place.latitude_deg, place.longitude_deg)
        side = "north" if point.north else "south"
        return f"{point.zone} {side} {point.easting_m:06.0f} {point.northing_m:07.0f}"
    if notation is CoordinateNotation.MGRS:
        return _mgrs_text(place)
    if notation is CoordinateNotation.DECIMAL:
        places = 5 if decimals is None else decimals
        return f"{place.latitude_deg:.{places}f}, {place.longitude_deg:.{places}f}"
    latitude = angle_text(place.latitude_deg, notation, decimals, figures=2)
    longitude = angle_text(place.longitude_deg, notation, decimals)
    return (
        f"{latitude}{'S' if place.latitude_deg < 0 else 'N'} "
        f"{longitude}{'W' if place.longitude_deg < 0 else 'E'}"
    )


def _mgrs_text(place: Position) -> str:
    # a centimetre south of the equator the converter rounds up into a row that does not exist
    latitude = 0.0 if -1e-7 < place.latitude_deg < 0 else place.latitude_deg
    grid = _MGRS.fullmatch(str(mgrs.MGRS().toMGRS(latitude, place.longitude_deg)))
    if not grid:
        raise ValueError(f"{place.latitude_deg}, {place.longitude_deg} has no MGRS reference.")
    zone, square, figures = grid.groups()
    return f"{zone.zfill(3) if len(zone) > 1 else zone}{square} {figures[:5]} {figures[5:]}"


def _from_mgrs(grid: re.Match[str], text: str) -> Position:
    if len(grid[3]) % 2:
        raise ValueError(
            f"'{text}' has {len(grid[3])} figures: an MGRS reference has as many east as north."
        )
    reader = mgrs.MGRS()  # it gives the middle of the square
    try:
        latitude, longitude = reader.toLatLon(grid[0])
    except (mgrs.core.MGRSError, ValueError):
        raise ValueError(
            f"'{text}' names no square of the military grid: check zone, band and letters."
        ) from None
    return Position(round(latitude, 9), round(longitude, 9))


def _from_utm(metres: re.Match[str], text: str) -> Position:
    zone, side, easting, northing = (
        int(metres[1]), metres[2], float(metres[3]), float(metres[4])
    )  # fmt: skip
    low, high = _BAND_S_M
    if side == "S" and low <= northing <= high:
        raise ValueError(
            f"'{text}' can mean band S, north of the equator, or the southern half of the world: "
            "write north or south in place of S."
        )
    north = side in ("N", "NORTH") or side in _BANDS[11:].replace("S", "")
    place = degrees_from_utm(zone, north, easting, northing)
    if side in _BANDS and side not in "NS":
        bottom = -80 + 8 * _BANDS.index(side)
        if not bottom - 0.5 <= place.latitude_deg <= bottom + 12.5:
            raise ValueError(
                f"'{text}' lies at latitude {place.latitude_deg:.2f}, which is not in band {side}: "
                "check the letter and the northing."
            )
    return place


def _halves(plain: str, text: str) -> tuple[str, str]:
    """The two angles of a place, each as its own text."""
    plain = _SPELT_SECONDS.sub(_AS_MARKS, plain)
    letters = [found.start() for found in re.finditer("[NSEW]", plain)]
    if len(letters) == 2:
        cut = letters[1] if letters[0] == 0 else letters[0] + 1
        return plain[:cut].strip(" ,;/"), plain[cut:].strip(" ,;/")
    for mark in (";", "/", ", ", ","):
        pieces = plain.split(mark)
        if len(pieces) == 2:
            return pieces[0].strip(), pieces[1].strip()
    words = plain.split()
    if len(words) % 2 == 0:
        middle = len(words) // 2
        return " ".join(words[:middle]), " ".join(words[middle:])
    raise ValueError(f"'{text}' cannot be read as a place: {_HINT}.")


def _angle(plain: str, text: str) -> tuple[float, str]:
    """An angle and the axis its letter names: NS, EW or neither."""
    plain = _SPELT_SECONDS.sub(_AS_MARKS, plain)
    plain = _DECIMAL_COMMA.sub(".", plain).replace("D", "°").replace("M", "'").replace("''", '"')
    found = _ANGLE.fullmatch(plain)
    if not found:
        raise ValueError(f"'{text}' cannot be read as a place or an angle: {_HINT}.")
    letter = found["before"] or found["after"] or ""
    if (found["before"] and found["after"]) or (found["sign"] and letter):
        raise ValueError(f"'{text}' says its side twice: use either a sign or a letter.")
    parts = [found[name] for name in ("degrees", "minutes", "seconds") if found[name] is not None]
    if any("." in part for part in parts[:-1]):
        raise ValueError(f"'{text}' has decimals before its last figure: only the last takes them.")
    numbers = [float(part) for part in parts]
    if any(number >= 60 for number in numbers[1:]):
        raise ValueError(f"'{text}' has 60 or more minutes or seconds: they end at 59.")
    value = sum(number / 60**i for i, number in enumerate(numbers))
    axis = "NS" if letter in ("N", "S") else "EW" if letter else ""
    limit = 90 if axis == "NS" else 180
    if value > limit:
        raise ValueError(f"'{text}' has {value:g} degrees: {limit} is the most there is.")
    return (-value if found["sign"] == "-" or letter in ("S", "W") else value), axis
