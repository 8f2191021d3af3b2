"""Notations of a place against Veness, GeographicLib and the US National Grid standard.

Tolerances: UTM 1 cm; MGRS exact to the metre; angles to the printed figure.
"""

import pytest

from guiding.almanac.coordinates import (
    CoordinateNotation,
    angle_of,
    angle_text,
    grid_precision_m,
    position_of,
    position_text,
)
from guiding.almanac.geodesy import geodesic_distance_m
from guiding.almanac.utm import degrees_from_utm, utm_from_degrees
from tests.reference import published

NOTATIONS = {
    "deg": (CoordinateNotation.DECIMAL, 4),
    "deg-min": (CoordinateNotation.MINUTES, 2),
    "deg-min-sec": (CoordinateNotation.SECONDS, 0),
    "deg-min-sec to 0.1": (CoordinateNotation.SECONDS, 1),
}


def _place(row: dict[str, str]) -> tuple[float, float]:
    return float(row["latitude_deg"]), float(row["longitude_deg"])


@pytest.mark.parametrize("row", published.rows("utm_mgrs_cases"), ids=lambda row: row["name"])
def test_utm(row: dict[str, str]) -> None:
    point = utm_from_degrees(*_place(row))
    assert (point.zone, point.north) == (int(row["utm_zone"]), row["hemisphere"] == "N")
    assert point.easting_m == pytest.approx(float(row["easting_m"]), abs=0.01)
    assert point.northing_m == pytest.approx(float(row["northing_m"]), abs=0.01)
    back = degrees_from_utm(
        point.zone, point.north, float(row["easting_m"]), float(row["northing_m"])
    )
    assert geodesic_distance_m(back.latitude_deg, back.longitude_deg, *_place(row)) <= 0.01


@pytest.mark.parametrize("row", published.rows("utm_mgrs_cases"), ids=lambda row: row["name"])
def test_mgrs(row: dict[str, str]) -> None:
    assert position_text(*_place(row), CoordinateNotation.MGRS) == row["mgrs_1m"]
    back = position_of(row["mgrs_1m"])
    assert geodesic_distance_m(back.latitude_deg, back.longitude_deg, *_place(row)) < 0.75


@pytest.mark.parametrize("row", published.rows("mgrs_precision_fgdc"))
def test_mgrs_precision(row: dict[str, str]) -> None:
    assert grid_precision_m(row["grid_reference"]) == int(row["precision_m"])


@pytest.mark.parametrize("row", published.rows("dms_cases"), ids=lambda row: row["text"])
def test_angles_read(row: dict[str, str]) -> None:
    assert angle_of(row["text"]) == pytest.approx(float(row["decimal_degrees"]), abs=6e-7)


@pytest.mark.parametrize("row", published.rows("dms_format_cases"), ids=lambda row: row["format"])
def test_angles_written(row: dict[str, str]) -> None:
    notation, decimals = NOTATIONS[row["format"]]
    expected = row["expected"].rpartition(": ")[2]  # the last row says why before it
    figures = expected.index("°") if "." not in expected.split("°")[0] else 3
    found = angle_text(float(row["decimal_degrees"]), notation, decimals, figures)
    assert found == expected
