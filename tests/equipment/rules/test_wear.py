"""Cost of wear per use, and what every depreciation schedule must keep to."""

from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from equipment.rules.wear import (
    DepreciationMethod,
    WearUnit,
    depreciation_schedule,
    wear_cost,
    wear_rate,
)

money = st.decimals(0, 50_000, places=2)


@st.composite
def worths(draw):
    cost = draw(money)
    salvage = draw(st.decimals(0, cost, places=2))
    return cost, salvage


def test_a_pack_of_190_that_lasts_180_cycles():
    # 190 / 180 = 1.0555..., 1.06 once the cost sheet has rounded it.
    rate = wear_rate(
        unit=WearUnit.CYCLE,
        price=Decimal(190),
        salvage=Decimal(0),
        used=40,
        left=None,
        expected_life=180,
    )
    assert rate.per_unit.quantize(Decimal("0.01")) == Decimal("1.06")
    assert "expected life of 180 cycles" in rate.basis
    assert (rate.low, rate.high) == (None, None)


def test_a_forecast_replaces_the_expected_life_and_brings_its_band():
    rate = wear_rate(
        unit=WearUnit.CYCLE,
        price=Decimal(190),
        salvage=Decimal(10),
        used=60,
        left=60,
        left_low=30,
        left_high=120,
        expected_life=180,
    )
    assert (rate.low, rate.per_unit, rate.high) == (Decimal(1), Decimal("1.5"), Decimal(2))
    assert wear_cost(rate=rate, amount=10) == Decimal(15)


def test_a_thing_past_its_expected_life_is_spread_over_what_it_did():
    rate = wear_rate(
        unit=WearUnit.FLIGHT,
        price=Decimal(500),
        salvage=Decimal(0),
        used=1000,
        left=None,
        expected_life=500,
    )
    assert rate.per_unit == Decimal("0.5")


@given(worth=worths(), used=st.integers(0, 500), left=st.integers(1, 500))
def test_all_uses_of_a_life_pay_back_the_price_less_what_is_left(worth, used, left):
    price, salvage = worth
    rate = wear_rate(unit=WearUnit.METRE, price=price, salvage=salvage, used=used, left=left)
    paid = wear_cost(rate=rate, amount=used + left)
    assert paid == pytest.approx(price - salvage, abs=Decimal("1e-18") * (price + 1))


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"price": Decimal(10), "salvage": Decimal(11), "used": 1, "left": 1}, "not below"),
        ({"price": Decimal("nan"), "salvage": Decimal(0), "used": 1, "left": 1}, "not below"),
        ({"price": Decimal(10), "salvage": Decimal(0), "used": -1, "left": 1}, "zero or more"),
        ({"price": Decimal(10), "salvage": Decimal(0), "used": 1, "left": None}, "Neither"),
        ({"price": Decimal(10), "salvage": Decimal(0), "used": 0, "left": 0}, "without a life"),
    ],
)
def test_wear_that_has_no_answer_is_refused_in_words(facts, words):
    with pytest.raises(ValueError, match=words):
        wear_rate(unit=WearUnit.TRIP, **facts)


@given(
    worth=worths(),
    method=st.sampled_from(DepreciationMethod),
    life_years=st.integers(2, 20),
    share=st.sampled_from([Decimal(1), Decimal("0.5"), Decimal("0.125"), Decimal(184) / 365]),
    digits=st.sampled_from([0, 2, 3]),
)
def test_every_schedule_adds_up_and_never_passes_salvage(worth, method, life_years, share, digits):
    unit = Decimal(1).scaleb(-digits)
    cost, salvage = (value.quantize(unit) for value in worth)
    table = depreciation_schedule(
        method=method,
        cost=cost,
        salvage=salvage,
        life_years=life_years,
        first_year_share=share,
        minor_digits=digits,
    )
    assert sum(year.depreciation for year in table) + table[-1].closing == cost
    assert all(year.depreciation >= 0 for year in table)
    assert all(year.closing >= salvage for year in table)
    assert all(later.closing <= earlier.closing for earlier, later in pairwise(table))
    if method is not DepreciationMethod.DECLINING_BALANCE:
        assert table[-1].closing == salvage


def test_years_digits_with_a_half_first_year_by_hand():
    # 1500 over 5 years, digits 5/15 4/15 ...; half of 500, then half of 500 and half of 400.
    table = depreciation_schedule(
        method=DepreciationMethod.YEARS_DIGITS,
        cost=Decimal(1500),
        salvage=Decimal(0),
        life_years=5,
        first_year_share=Decimal("0.5"),
    )
    assert [year.depreciation for year in table] == [250, 450, 350, 250, 150, 50]


@pytest.mark.parametrize(
    ("terms", "words"),
    [
        ({"cost": Decimal(-1)}, "not below"),
        ({"salvage": Decimal(2000)}, "not below"),
        ({"life_years": 0}, "give 1 to"),
        ({"years": 0}, "give 1 to"),
        ({"rate_factor": Decimal(0)}, "above zero"),
        ({"rate_factor": Decimal(9)}, "at most the whole"),
        ({"first_year_share": Decimal(0)}, "above 0"),
        ({"minor_digits": 7}, "0 to 4"),
    ],
)
def test_terms_out_of_range_are_refused_in_words(terms, words):
    usual = {
        "method": DepreciationMethod.DECLINING_BALANCE,
        "cost": Decimal(1000),
        "salvage": Decimal(0),
        "life_years": 5,
    }
    with pytest.raises(ValueError, match=words):
        depreciation_schedule(**(usual | terms))
