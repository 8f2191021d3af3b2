"""Distance, bearing and compass points against Vincenty, GeographicLib and Veness.

Tolerances: 1 mm on the ellipsoid; 0.6 per cent between the ellipsoid and a sphere.
"""

import pytest

from guiding.almanac.geodesy import (
    Ellipsoid,
    compass_point,
    geodesic_bearing_deg,
    geodesic_destination,
    geodesic_distance_m,
    geodesic_line,
)
from tests.reference import published


def _ends(row: dict[str, str]) -> tuple[float, float, float, float]:
    return (
        float(row["lat1_deg"]),
        float(row["lon1_deg"]),
        float(row["lat2_deg"]),
        float(row["lon2_deg"]),
    )


@pytest.mark.parametrize("row", published.rows("geodesic_cases"), ids=lambda row: row["name"])
def test_published_lines(row: dict[str, str]) -> None:
    line = geodesic_line(*_ends(row), ellipsoid=Ellipsoid(row["ellipsoid"]))
    assert line.distance_m == pytest.approx(float(row["distance_m_published"]), abs=0.001)
    for ours, column in (
        (line.bearing_deg, "azimuth1_deg_published"),
        (line.arrival_deg, "azimuth2_deg_published"),
    ):
        if row[column]:
            assert ours == pytest.approx(float(row[column]), abs=2e-6)


@pytest.mark.parametrize(
    "row", published.rows("distance_short_computed"), ids=lambda row: row["name"]
)
def test_short_lines(row: dict[str, str]) -> None:
    metres = geodesic_distance_m(*_ends(row))
    assert metres == pytest.approx(float(row["geodesic_m"]), abs=0.001)
    assert metres == pytest.approx(float(row["haversine_m_R6371km"]), rel=0.006)
    if metres:
        bearing = geodesic_bearing_deg(*_ends(row))
        assert bearing == pytest.approx(float(row["initial_azimuth_deg"]), abs=1e-4)


def test_great_circle_examples_within_what_the_sphere_leaves() -> None:
    """On a sphere of 6371 km: 0.6 per cent of distance, 0.3 degrees of bearing, 50 m of place."""
    rows = {row["quantity"]: row for row in published.rows("great_circle_cases")}
    here = rows["distance R=6371 km"]
    ends = tuple(float(here[key]) for key in ("lat1_deg", "lon1_deg", "lat2_deg", "lon2_deg"))
    line = geodesic_line(*ends)
    assert line.distance_m == pytest.approx(float(here["expected"]), rel=0.006)
    miles = float(rows["distance R=3959 mi"]["expected"])
    assert line.distance_m / 1609.344 == pytest.approx(miles, rel=0.006)
    assert line.bearing_deg == pytest.approx(float(rows["initial bearing"]["expected"]), abs=0.3)
    assert line.arrival_deg == pytest.approx(float(rows["final bearing"]["expected"]), abs=0.3)
    start = rows["destination 7794 m at 300.7 deg"]
    assert start["expected"] == "51.5136N 000.0983W"
    end = geodesic_destination(float(start["lat1_deg"]), float(start["lon1_deg"]), 300.7, 7794)
    assert geodesic_distance_m(end.latitude_deg, end.longitude_deg, 51.5136, -0.0983) < 50


@pytest.mark.parametrize("row", published.rows("compass_cases"))
def test_compass_points(row: dict[str, str]) -> None:
    assert compass_point(float(row["bearing_deg"]), int(row["points"])) == row["name"]
