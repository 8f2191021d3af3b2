"""Watt-hours, pack volts, C-rates and airline classes against the published values."""

import pytest

from equipment.rules import packs
from tests.reference import published

_CHEMISTRY = {
    "LiPo": packs.Chemistry.LIPO,
    "Li-ion": packs.Chemistry.LI_ION,
    "LiHV": packs.Chemistry.LIHV,
}
_LEVEL = {
    "full": packs.VoltLevel.FULL,
    "nominal": packs.VoltLevel.NOMINAL,
    "storage": packs.VoltLevel.STORAGE,
    "min under load": packs.VoltLevel.LOAD_MIN,
}
_LEVEL_NAMES = {
    "full (charge limit)": packs.VoltLevel.FULL,
    "nominal": packs.VoltLevel.NOMINAL,
    "storage": packs.VoltLevel.STORAGE,
    "conservative minimum, no load": packs.VoltLevel.REST_MIN,
    "minimum under load": packs.VoltLevel.LOAD_MIN,
    "damage under load": packs.VoltLevel.DAMAGE,
}
# Rows that describe other programs' or pages' thresholds, used elsewhere or not at all.
_NOT_LEVELS = {"resting cell should not be below", "considered full by autopilot estimator"}


@pytest.mark.parametrize("row", published.rows("battery_wh_cases"), ids=lambda row: row["case"])
def test_watt_hours_and_airline_class(row):
    energy_wh = packs.pack_energy_wh(
        voltage_v=float(row["volts"]), capacity_ah=float(row["mah"]) / 1000
    )
    assert energy_wh == pytest.approx(float(row["wh"]), abs=0.01)
    start = {
        packs.AirlineBand.FREE: "up to 100 Wh",
        packs.AirlineBand.APPROVAL: "over 100 to 160 Wh",
        packs.AirlineBand.CARGO_ONLY: "over 160 Wh",
    }[packs.airline_class(energy_wh=energy_wh).band]
    assert row["airline_class"].startswith(start)


def test_airline_rules_say_what_was_published_and_to_ask_the_carrier():
    items = {row["item"]: row["rule"] for row in published.rows("battery_airline_rules")}
    middle = packs.airline_class(energy_wh=130)
    assert "at most two spares" in items["over 100 and up to 160 Wh"]
    assert middle.spares_max == 2
    assert "cargo only" in items["over 160 Wh"]
    assert "cargo only" in packs.airline_class(energy_wh=161).rule
    for energy_wh in (50, 130, 200):
        assert "ask the carrier" in packs.airline_class(energy_wh=energy_wh).caution


@pytest.mark.parametrize(
    "row", published.rows("battery_pack_voltage_cases"), ids=lambda row: row["case"]
)
def test_pack_voltage(row):
    _, chemistry, level = row["case"].split(" ", 2)
    volts = packs.pack_voltage_v(
        chemistry=_CHEMISTRY[chemistry],
        cells_in_series=int(row["cells_in_series"]),
        level=_LEVEL[level],
    )
    assert volts == pytest.approx(float(row["pack_v"]), abs=0.01)


@pytest.mark.parametrize(
    "row",
    [r for r in published.rows("battery_voltage_levels") if r["level"] not in _NOT_LEVELS],
    ids=lambda row: f"{row['chemistry']} {row['level']}",
)
def test_volts_per_cell(row):
    volts = packs.pack_voltage_v(
        chemistry=_CHEMISTRY[row["chemistry"]],
        cells_in_series=1,
        level=_LEVEL_NAMES[row["level"]],
    )
    assert volts == pytest.approx(float(row["volts_per_cell"]), abs=0.01)


@pytest.mark.parametrize("row", published.rows("battery_c_rate_cases"), ids=lambda row: row["case"])
def test_c_rate(row):
    amps = packs.c_rate_current_a(
        capacity_ah=float(row["capacity_mah"]) / 1000, c_rate=float(row["c_rate"])
    )
    assert amps == pytest.approx(float(row["amps"]), abs=0.01)
