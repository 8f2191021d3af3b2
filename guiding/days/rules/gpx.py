"""GPX 1.1, the open exchange format for places: waypoints read, places and lines written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from math import isfinite
from xml.etree import ElementTree

MOST_POINTS = 2000
_SPACE = "http://www.topografix.com/GPX/1/1"
_NAME_MOST = 80


@dataclass(frozen=True, slots=True)
class Waypoint:
    """A named place, degrees on WGS84; height over sea level where the file gives one."""

    name: str
    latitude_deg: float
    longitude_deg: float
    note: str = ""
    height_m: float | None = None


@dataclass(frozen=True, slots=True)
class PlannedLine:
    """A line from place to place, such as the path of a drop; written as a route."""

    name: str
    points: tuple[Waypoint, ...]


@dataclass(frozen=True, slots=True)
class GpxProblem:
    """What is wrong with a waypoint: its number in the file (0 the whole file), and what to do."""

    number: int
    message: str

    def __str__(self) -> str:
        return f"waypoint {self.number}: {self.message}" if self.number else self.message


@dataclass(frozen=True, slots=True)
class GpxReading:
    """The waypoints of a file, or the problems; with a problem there is no waypoint at all."""

    waypoints: tuple[Waypoint, ...]
    problems: tuple[GpxProblem, ...] = ()


def read_gpx(text: str) -> GpxReading:
    """The waypoints of a GPX file, version 1.0 or 1.1; routes and tracks are passed over.

    Refused: what is no GPX, a document type (it can hide anything), more than two thousand
    waypoints, places that cannot be. A waypoint without a name is called by its number.
    """
    if "<!DOCTYPE" in text or "<!ENTITY" in text:
        return _refused("the file declares a document type: save it again as plain GPX.")
    try:
        root = ElementTree.fromstring(text)  # noqa: S314  no document type, so no entities
    except (ElementTree.ParseError, ValueError):
        return _refused("the file is no XML: choose a GPX file.")
    if _plain(root.tag) != "gpx":
        return _refused("the file is no GPX: choose a file that ends in .gpx.")
    points = [each for each in root if _plain(each.tag) == "wpt"]
    if not points:
        return _refused("the file holds no waypoint: mark the spots as waypoints, not as a track.")
    if len(points) > MOST_POINTS:
        return _refused(f"the file holds {len(points)} waypoints; {MOST_POINTS} is the most.")
    found, problems = [], []
    for number, point in enumerate(points, start=1):
        try:
            found.append(_waypoint(point, number))
        except ValueError as error:
            problems.append(GpxProblem(number, str(error)))
    return GpxReading(() if problems else tuple(found), tuple(problems))


def _refused(message: str) -> GpxReading:
    return GpxReading((), (GpxProblem(0, message),))


def _plain(tag: str) -> str:
    return tag.rsplit("}", 1)[-1]


def _waypoint(point: ElementTree.Element, number: int) -> Waypoint:
    latitude, longitude = (
        _degrees(point, name, most) for name, most in (("lat", 90), ("lon", 180))
    )
    texts = {_plain(child.tag): " ".join((child.text or "").split()) for child in point}
    height = texts.get("ele", "")
    return Waypoint(
        name=texts.get("name", "")[:_NAME_MOST] or f"Waypoint {number}",
        latitude_deg=latitude,
        longitude_deg=longitude,
        note=(texts.get("desc") or texts.get("cmt") or "")[:1000],
        height_m=_number(height) if height else None,
    )


def _degrees(point: ElementTree.Element, name: str, most: float) -> float:
    value = _number(point.get(name, ""))
    if not -most <= value <= most:
        raise ValueError(f"{name} {value:g} is not between -{most:g} and {most:g} degrees.")
    return value


def _number(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        raise ValueError(f"{text[:40]!r} is not a number.") from None
    if not isfinite(value):
        raise ValueError(f"{text[:40]!r} is not a number.")
    return value


def gpx_text(
    waypoints: Sequence[Waypoint],
    lines: Sequence[PlannedLine] = (),
    title: str = "",
    made_at: datetime | None = None,
) -> str:
    """A GPX 1.1 file of places and lines; what it writes, `read_gpx` reads. Source: GPX 1.1 schema.

    Degrees to a tenth of a metre. Characters that XML cannot hold are left out.
    """
    ElementTree.register_namespace("", _SPACE)
    root = ElementTree.Element(f"{{{_SPACE}}}gpx", {"version": "1.1", "creator": "Sandspike"})
    meta = ElementTree.SubElement(root, f"{{{_SPACE}}}metadata")
    if title:
        _child(meta, "name", title)
    if made_at is not None:
        _child(meta, "time", f"{made_at:%Y-%m-%dT%H:%M:%SZ}")
    for each in waypoints:
        _point(root, "wpt", each)
    for line in lines:
        route = ElementTree.SubElement(root, f"{{{_SPACE}}}rte")
        _child(route, "name", line.name)
        for each in line.points:
            _point(route, "rtept", each)
    ElementTree.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ElementTree.tostring(
        root, encoding="unicode"
    )


def _point(parent: ElementTree.Element, tag: str, each: Waypoint) -> None:
    place = {"lat": f"{each.latitude_deg:.6f}", "lon": f"{each.longitude_deg:.6f}"}
    point = ElementTree.SubElement(parent, f"{{{_SPACE}}}{tag}", place)
    if each.height_m is not None:
        _child(point, "ele", f"{each.height_m:g}")
    _child(point, "name", each.name)
    if each.note:
        _child(point, "desc", each.note)


def _child(parent: ElementTree.Element, tag: str, text: str) -> None:
    child = ElementTree.SubElement(parent, f"{{{_SPACE}}}{tag}")
    child.text = "".join(c for c in text if c in "\t\n" or _held_by_xml(ord(c)))


def _held_by_xml(code: int) -> bool:
    return 32 <= code < 0xD800 or 0xE000 <= code < 0xFFFE or code > 0xFFFF
