"""The cosine law between low and high water, against printed examples and the twelfths."""

from datetime import UTC, datetime, timedelta

import pytest

from guiding.almanac.tide import TableTide, Turn, TurnKind, cosine_law_height_m
from tests.reference import published


def _rows() -> list[dict[str, str]]:
    return published.rows("tide_interpolation_cases")


def _expected(row: dict[str, str]) -> float:
    return float(row["expected_height"])


@pytest.mark.parametrize("row", _rows(), ids=lambda row: row["description"][-40:])
def test_cosine_law(row: dict[str, str]) -> None:
    """A computed cell of the printed table is the correction to the nearer tide."""
    found = cosine_law_height_m(
        float(row["low_height"]),
        float(row["high_height"]),
        float(row["duration_min_low_to_high"]),
        float(row["minutes_after_low"]),
    )
    assert found == pytest.approx(_expected(row), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", _rows()[:2], ids=["Montague Harbour", "twelfths example"])
def test_a_table_gives_the_published_heights(row: dict[str, str]) -> None:
    low_at = datetime(2003, 10, 1, 3, 27, tzinfo=UTC)
    tide = TableTide(
        "example",
        (
            Turn(low_at, float(row["low_height"]), TurnKind.LOW),
            Turn(
                low_at + timedelta(minutes=float(row["duration_min_low_to_high"])),
                float(row["high_height"]),
                TurnKind.HIGH,
            ),
        ),
    )
    asked = low_at + timedelta(minutes=float(row["minutes_after_low"]))
    assert tide.height_m(asked) == pytest.approx(_expected(row), abs=float(row["tolerance"]))


def test_rule_of_twelfths() -> None:
    """1-2-3-3-2-1: the cosine law to 0.001 of a twelfth, the rule itself to a fifth of one."""
    for row in published.rows("tide_rule_of_twelfths"):
        hour = float(row["hour_of_six"])
        twelfths = cosine_law_height_m(0, 12, 360, hour * 60)
        assert twelfths == pytest.approx(float(row["cosine_law_twelfths_computed"]), abs=0.001)
        assert twelfths == pytest.approx(float(row["cumulative_twelfths_published"]), abs=0.2)
