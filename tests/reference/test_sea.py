"""Wind, sea and felt temperature against tables of WMO, WHO and the US National Weather Service.

Tolerances: scales exact; wind chill 0.5 F before rounding and the chart's cell exact after; heat
index 0.02 F on the equation's values and 0.55 F on the chart's.
"""

from collections.abc import Callable
from math import floor

import pytest

from guiding.almanac.sea import (
    beaufort_force,
    beaufort_force_of_kmh,
    beaufort_force_of_knots,
    beaufort_term,
    expected_highest_wave_m,
    heat_index_c,
    sea_state,
    uv_class,
    wave_run_up,
    wind_chill_c,
)
from tests.reference import published

SCALES: dict[str, Callable[[float], int]] = {
    "m/s": beaufort_force,
    "kn": beaufort_force_of_knots,
    "km/h": beaufort_force_of_kmh,
}
MPH_MS = 0.44704


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) * 5 / 9


def _fahrenheit(celsius: float | None) -> float:
    assert celsius is not None
    return celsius * 9 / 5 + 32


def _band(text: str) -> list[float]:
    """The figures of a band such as 4-6, <1 or >=64 that belong to it."""
    if text.startswith("<"):
        return [0.0]
    return [float(part) for part in text.removeprefix(">=").split("-")]


@pytest.mark.parametrize("row", published.rows("beaufort"), ids=lambda row: row["term"])
def test_beaufort_bands_in_three_units(row: dict[str, str]) -> None:
    force = int(row["force"])
    assert beaufort_term(force) == row["term"]
    for column, scale in (
        ("knots", beaufort_force_of_knots),
        ("m_per_s", beaufort_force),
        ("km_per_h", beaufort_force_of_kmh),
    ):
        assert {scale(figure) for figure in _band(row[column])} == {force}, column


@pytest.mark.parametrize("row", published.rows("beaufort_probes"))
def test_beaufort_at_the_edges(row: dict[str, str]) -> None:
    assert SCALES[row["unit"]](float(row["value"])) == int(row["expected_force"])


@pytest.mark.parametrize("row", published.rows("sea_state_probes"))
def test_sea_state_at_the_edges(row: dict[str, str]) -> None:
    found = sea_state(float(row["significant_wave_height_m"]))
    assert found.code == int(row["expected_code"])


@pytest.mark.parametrize("row", published.rows("sea_state_wmo3700"), ids=lambda row: row["term"])
def test_sea_state_table(row: dict[str, str]) -> None:
    over, highest = float(row["height_from_m_exclusive"]), row["height_to_m_inclusive"]
    found = sea_state(float(highest) if highest else over + 1)
    assert (found.code, found.term) == (int(row["code"]), row["term"])
    if over:
        assert sea_state(over + 0.001).code == int(row["code"])


@pytest.mark.parametrize("row", published.rows("uv_index_probes"))
def test_uv_index(row: dict[str, str]) -> None:
    found = uv_class(float(row["reported_value"]))
    assert (found.index, found.category) == (int(row["whole_number_reported"]), row["category"])


@pytest.mark.parametrize("row", published.rows("uv_index_who"), ids=lambda row: row["category"])
def test_uv_categories(row: dict[str, str]) -> None:
    assert uv_class(float(row["index_from"])).category == row["category"]
    assert uv_class(float(row["index_to"] or 20)).category == row["category"]


@pytest.mark.parametrize("row", published.rows("wind_chill_nws"))
def test_wind_chill_chart(row: dict[str, str]) -> None:
    found = wind_chill_c(_celsius(float(row["air_temperature_F"])), float(row["wind_mph"]) * MPH_MS)
    felt_f = _fahrenheit(found.felt_c)
    chart = int(row["wind_chill_F_chart"])
    assert abs(felt_f - chart) <= 0.5 + 1e-3
    assert floor(felt_f + 0.5) == chart


def test_wind_chill_has_no_value_outside_its_range() -> None:
    """T up to 50 F, wind over 3 mph."""
    assert wind_chill_c(_celsius(51), 5).felt_c is None
    assert "warmer" in wind_chill_c(_celsius(51), 5).why
    assert wind_chill_c(0, 3 * MPH_MS).felt_c is None
    assert "less wind" in wind_chill_c(0, 1).why
    assert wind_chill_c(_celsius(50), 3.1 * MPH_MS).felt_c is not None


@pytest.mark.parametrize("row", published.rows("heat_index_equation"), ids=lambda r: r["branch"])
def test_heat_index_equation_and_adjustments(row: dict[str, str]) -> None:
    found = heat_index_c(
        _celsius(float(row["temperature_F"])), float(row["relative_humidity_pct"]) / 100
    )
    assert _fahrenheit(found.felt_c) == pytest.approx(float(row["heat_index_F"]), abs=0.02)


@pytest.mark.parametrize("row", published.rows("heat_index_nws_chart"))
def test_heat_index_chart(row: dict[str, str]) -> None:
    """The chart leaves out the adjustment for humid air; the equation stands beside it."""
    found = heat_index_c(
        _celsius(float(row["temperature_F"])), float(row["relative_humidity_pct"]) / 100
    )
    felt_f = _fahrenheit(found.felt_c)
    assert felt_f == pytest.approx(float(row["equation_with_adjustments_F"]), abs=0.02)
    if row["chart_equals_rounded_equation"] == "yes":
        assert abs(felt_f - float(row["heat_index_F_chart"])) <= 0.55


@pytest.mark.parametrize("row", published.rows("heat_index_wpc_calculator"))
def test_heat_index_calculator(row: dict[str, str]) -> None:
    found = heat_index_c(
        _celsius(float(row["temperature_F"])), float(row["relative_humidity_pct"]) / 100
    )
    assert floor(_fahrenheit(found.felt_c) + 0.5) == int(row["heat_index_F_published"])


@pytest.mark.parametrize("waves", [100, 1000])
def test_highest_of_many_waves(waves: int) -> None:
    (row,) = (row for row in published.rows("wave_terms") if row["symbol"] == f"Hmax{waves}")
    assert expected_highest_wave_m(1.0, waves) == pytest.approx(
        float(row["factor_times_Hs"]), abs=0.0006
    )


def test_run_up_worked_by_hand() -> None:
    """No published example was found; 2 m and 12 s on 1 in 20 worked by hand from the formula.

    L = 9.81 x 144 / 2 pi = 224.83 m, H L = 449.66, root 21.205; 1.1 (0.35 x 0.05 x 21.205 +
    0.5 x 21.205 x root of 0.0054075) = 1.1 (0.37109 + 0.77967) = 1.2658 m.
    """
    assert wave_run_up(2, 12, 0.05).exceeded_by_2_percent_m == pytest.approx(1.2658, abs=0.0005)
