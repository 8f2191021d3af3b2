"""A place in any notation: read, written, read again; what could mean two places is refused."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from guiding.almanac.coordinates import (
    CoordinateNotation,
    angle_of,
    angle_text,
    grid_precision_m,
    position_of,
    position_text,
)
from guiding.almanac.geodesy import (
    compass_point,
    geodesic_destination,
    geodesic_distance_m,
    geodesic_line,
)
from guiding.almanac.utm import UtmPoint, degrees_from_utm, utm_from_degrees, utm_zone

PLACE = (21.3067, -157.867)  # its UTM and MGRS stand in the reference file, made with pyproj

latitudes = st.floats(-79.9, 83.9)
longitudes = st.floats(-179.9, 179.9)


@pytest.mark.parametrize(
    "text",
    [
        "21.3067, -157.867",
        "21.3067 -157.867",
        "21,3067; -157,867",
        "21,3067 -157,867",
        "  21.3067N 157.867W ",
        "157.867 W / 21.3067 N",
        "N 21.3067 W 157.867",
        "21 18.402 N 157 52.02 W",
        "21°18.402′N, 157°52.020′W",
        "N21°18'24.12\" W157°52'1.2\"",
        "21º 18’ 24.12” N 157º 52’ 1.2” W",
        "21 18 24.12 -157 52 1.2",
        "21:18:24.12, -157:52:1.2",
        "21d18m24.12sN 157d52m1.2sW",
        "21 18 24.12 N, 157 52 1.2 W",
        "4 north 617514.8 2356513.8",
        "4Q 617514.8 2356513.8",
        "UTM zone 4 North, 617514.8 E, 2356513.8 N",
        "04QFJ 17514 56513",
        "4qfj1751456513",
        "4Q FJ 17514 56513",
    ],
)
def test_one_place_in_many_notations(text: str) -> None:
    found = position_of(text)
    assert geodesic_distance_m(found.latitude_deg, found.longitude_deg, *PLACE) < 1.0


@given(latitudes, longitudes, st.sampled_from(CoordinateNotation))
@example(-4e-8, 0.0, CoordinateNotation.MGRS)
def test_what_is_written_is_read_as_the_same_place(
    latitude: float, longitude: float, notation: CoordinateNotation
) -> None:
    text = position_text(latitude, longitude, notation)
    found = position_of(text)
    assert geodesic_distance_m(found.latitude_deg, found.longitude_deg, latitude, longitude) < 3.0


@given(latitudes, longitudes)
def test_utm_there_and_back(latitude: float, longitude: float) -> None:
    point = utm_from_degrees(latitude, longitude)
    back = degrees_from_utm(point.zone, point.north, point.easting_m, point.northing_m)
    off_m = geodesic_distance_m(back.latitude_deg, back.longitude_deg, latitude, longitude)
    assert off_m < 0.001


@given(latitudes, longitudes, st.floats(0, 360), st.floats(1, 20000))
def test_going_somewhere_is_as_far_as_the_way_back(
    latitude: float, longitude: float, bearing: float, metres: float
) -> None:
    end = geodesic_destination(latitude, longitude, bearing, metres)
    out = geodesic_line(latitude, longitude, end.latitude_deg, end.longitude_deg)
    back = geodesic_line(end.latitude_deg, end.longitude_deg, latitude, longitude)
    assert out.distance_m == pytest.approx(metres, abs=0.001)
    assert back.distance_m == pytest.approx(metres, abs=0.001)
    turned = (back.bearing_deg - out.arrival_deg) % 360
    assert turned == pytest.approx(180, abs=0.05)


@given(st.floats(0, 179.9999999), st.integers(0, 6))
def test_written_angles_never_show_sixty(angle: float, decimals: int) -> None:
    text = angle_text(angle, CoordinateNotation.SECONDS, decimals)
    minutes, seconds = text.split("°")[1].rstrip("″").split("′")
    assert 0 <= int(minutes) <= 59
    assert 0 <= float(seconds) < 60
    assert angle_of(text) == pytest.approx(angle, abs=0.6 / 3600 / 10**decimals + 1e-9)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "No place is given"),
        ("the beach", "cannot be read as a place"),
        ("53.3498", "cannot be read as a place"),
        ("53.3498 N", "cannot be read"),
        ("53.3 N 6.2", "cannot be read"),
        ("53 N 6 N", "one of N or S and one of E or W"),
        ("53 N -6 W", "a sign or a letter"),
        ("91 N 6 W", "90 is the most"),
        ("91, 6", "latitude 91.0 is not between"),
        ("53, 181", "181 degrees: 180 is the most"),
        ("53 60 N 6 0 W", "60 or more minutes"),
        ("53 20.5 30 N 6 0 W", "only the last takes them"),
        ("29UPV 8239 146881", None),
        ("29UPV 8239 14688", "as many east as north"),
        ("99UPV 82394 14688", "no square of the military grid"),
        ("11S 475946 3636560", "write north or south"),
        ("29C 682394 5914688", "not in band C"),
        ("61 north 682394 5914688", "no UTM zone 61"),
        ("29 north 082394 5914688", "off the grid"),
    ],
)
def test_what_cannot_be_read_says_why(text: str, said: str | None) -> None:
    if said is None:  # ten figures, however they are parted
        assert position_of(text) == position_of("29UPV 82391 46881")
        return
    with pytest.raises(ValueError, match=said):
        position_of(text)


def test_a_southern_reference_that_can_only_be_southern_is_read() -> None:
    sydney = position_of("56S 334873 6252266")
    assert sydney == position_of("56 south 334873 6252266")
    assert sydney.latitude_deg == pytest.approx(-33.857, abs=1e-4)


def test_beyond_the_grid_degrees_still_work() -> None:
    assert position_text(86, 20) == "86.00000, 20.00000"
    with pytest.raises(ValueError, match="UTM ends at 80 south"):
        position_text(86, 20, CoordinateNotation.UTM)
    polar = position_text(86, 20, CoordinateNotation.MGRS)
    found = position_of(polar)
    assert geodesic_distance_m(found.latitude_deg, found.longitude_deg, 86, 20) < 3


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone"),
    [(60, 5, 32), (55, 5, 31), (78, 15, 33), (78, 8, 31), (78, 25, 35), (78, 40, 37), (0, 180, 1)],
)
def test_zones_with_the_exceptions_of_norway_and_svalbard(
    latitude: float, longitude: float, zone: int
) -> None:
    assert utm_zone(latitude, longitude) == zone


def test_smaller_refusals() -> None:
    with pytest.raises(ValueError, match="no MGRS reference"):
        grid_precision_m("29UPV123")
    with pytest.raises(ValueError, match="choose one of degrees"):
        angle_text(1, CoordinateNotation.UTM)
    with pytest.raises(ValueError, match="compass of 5 points"):
        compass_point(10, 5)
    with pytest.raises(ValueError, match="no bearing"):
        compass_point(float("nan"))
    with pytest.raises(ValueError, match="cannot be travelled"):
        geodesic_destination(53, -6, 90, -1)
    with pytest.raises(ValueError, match="off the grid"):
        UtmPoint(29, True, 5_000.0, 0.0)
