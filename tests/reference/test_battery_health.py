"""Growth of resistance and loss in storage against the published cells and tables."""

import pytest

from equipment.rules import packs
from tests.reference import published

_WINDOW = 21


def _resistance_mohm(cell):
    return [
        (int(row["cycle"]), float(row["internal_resistance_ohm"]) * 1000)
        for row in published.rows(f"battery_cell_{cell}")
        if row["outlier"] == "0"
    ]


def _eol(cell, threshold):
    return next(
        int(row["first_of_5_in_a_row_below"])
        for row in published.rows("battery_eol_actual")
        if row["cell"] == cell and row["threshold_fraction_of_rated"] == threshold
    )


@pytest.mark.parametrize(
    ("threshold", "column"), [("0.8", "growth_at_80pct_pct"), ("0.7", "growth_at_70pct_pct")]
)
@pytest.mark.parametrize(
    "row", published.rows("battery_resistance_growth"), ids=lambda row: row["cell"]
)
def test_growth_of_resistance_of_real_cells(row, threshold, column):
    """Medians of 21 cycles at the start and around the end of life, within five points."""
    readings = _resistance_mohm(row["cell"])
    around = _eol(row["cell"], threshold) + _WINDOW // 2
    growth = packs.resistance_growth_share(
        new_mohm=packs.settled_resistance_mohm(
            readings_mohm=tuple(mohm for _, mohm in readings[:_WINDOW]), last=_WINDOW
        ),
        now_mohm=packs.settled_resistance_mohm(
            readings_mohm=tuple(mohm for cycle, mohm in readings if cycle <= around), last=_WINDOW
        ),
    )
    assert growth * 100 == pytest.approx(float(row[column]), abs=5)


@pytest.mark.parametrize("row", published.rows("battery_storage_fade"))
def test_capacity_recovered_after_storage(row):
    share = packs.storage_recoverable_share(
        temperature_c=float(row["storage_temp_c"]),
        charge_share=float(row["charge_level"].split()[0]) / 100,
        months=float(row["months"]),
    )
    assert share * 100 == pytest.approx(float(row["recoverable_capacity_pct"]), abs=0.01)


def test_default_limits_that_claim_a_source_match_it():
    stated = {
        (row["topic"], row["statement"]): float(row["value"])
        for row in published.rows("battery_definitions")
        if row["value"].replace(".", "").isdigit()
    }
    limits = packs.PackLimits()

    def value(topic):
        return next(number for (name, _), number in stated.items() if name == topic)

    assert limits.retire_health_share * 100 == value("cycle life, maker convention")
    assert limits.watch_temperature_c == value("pack temperature after flight")
    assert limits.stored_full_days == next(
        number for (_, words), number in stated.items() if "more than about a week" in words
    )
