"""GPX read and written."""

from __future__ import annotations

from datetime import UTC, datetime
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.days.rules.gpx import PlannedLine, Waypoint, gpx_text, read_gpx

OLD = """<?xml version="1.0"?><gpx version="1.0" xmlns="http://www.topografix.com/GPX/1/0">
<wpt lat="53.281" lon="-10.521"><ele>3.5</ele><name> North
 Strand </name><cmt>second gutter</cmt></wpt><wpt lat="0" lon="180"/>
<rte><rtept lat="1" lon="1"><name>not me</name></rtept></rte></gpx>"""


def test_waypoints_are_read_and_routes_passed_over() -> None:
    found = read_gpx(OLD)
    assert found.problems == ()
    assert found.waypoints == (
        Waypoint("North Strand", 53.281, -10.521, "second gutter", 3.5),
        Waypoint("Waypoint 2", 0.0, 180.0),
    )


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "no XML"),
        ("<kml/>", "no GPX"),
        ("<gpx/>", "no waypoint"),
        ('<!DOCTYPE x [<!ENTITY a "b">]><gpx/>', "document type"),
        ('<gpx><wpt lat="91" lon="0"/></gpx>', "waypoint 1: lat 91 is not between -90 and 90"),
        ('<gpx><wpt lat="1" lon="0"/><wpt lat="x" lon="0"/></gpx>', "waypoint 2: 'x' is not"),
        ('<gpx><wpt lat="nan" lon="0"/></gpx>', "not a number"),
        ("<gpx>" + '<wpt lat="1" lon="1"/>' * 2001 + "</gpx>", "2001 waypoints"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_read(text: str, message: str) -> None:
    found = read_gpx(text)
    assert found.waypoints == ()
    assert message in str(found.problems[0])


def test_lines_are_written_as_routes_of_the_standard() -> None:
    here, there = Waypoint("Rods", 53.1, -10.2), Waypoint("Drop", 53.2, -10.3)
    text = gpx_text(
        [here], [PlannedLine("Path", (here, there))], "A <day>", datetime(2026, 6, 1, tzinfo=UTC)
    )
    root = ElementTree.fromstring(text)  # noqa: S314  our own
    space = "{http://www.topografix.com/GPX/1/1}"
    assert root.get("version") == "1.1"
    assert root.findtext(f"{space}metadata/{space}name") == "A <day>"
    assert root.findtext(f"{space}metadata/{space}time") == "2026-06-01T00:00:00Z"
    assert [p.get("lat") for p in root.iter(f"{space}rtept")] == ["53.100000", "53.200000"]


_TEXT = st.text(max_size=60)
_POINT = st.builds(
    Waypoint,
    _TEXT.map(lambda t: " ".join("".join(c for c in t if c.isprintable()).split()) or "x"),
    st.floats(-90, 90).map(lambda v: round(v, 6)),
    st.floats(-180, 180).map(lambda v: round(v, 6)),
)


@given(st.lists(_POINT, min_size=1, max_size=5))
def test_what_is_written_is_read_again(points: list[Waypoint]) -> None:
    assert list(read_gpx(gpx_text(points)).waypoints) == points


def test_characters_that_xml_cannot_hold_are_left_out() -> None:
    found = read_gpx(gpx_text([Waypoint("a\x00b\x1f\ud800c\uffffd", 1, 1)]))
    assert found.waypoints[0].name == "abcd"
