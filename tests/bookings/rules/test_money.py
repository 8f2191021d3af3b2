"""Rounding, sharing out, and what is refused."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.money import (
    Rounding,
    allocate_money,
    checked_money,
    minor_units,
    rounded_money,
    settle_to_total,
    smallest_amount,
)
from guiding.costing.lines import rate_per_use

D = Decimal
currencies = st.sampled_from(["EUR", "JPY", "TND", "CLF"])
weights = st.lists(st.decimals(0, 5000, places=2), min_size=1, max_size=12).filter(any)


@pytest.mark.parametrize(
    ("amount", "currency", "rounded"),
    [
        ("1.005", "EUR", "1.01"),
        ("-1.005", "EUR", "-1.01"),
        ("1.0049999", "EUR", "1.00"),
        ("12.5", "JPY", "13"),
        ("0.0005", "TND", "0.001"),
        ("7", "EUR", "7.00"),
    ],
)
def test_half_goes_up_away_from_zero(amount: str, currency: str, rounded: str) -> None:
    assert str(rounded_money(D(amount), currency)) == rounded


def test_a_float_is_refused_even_when_it_looks_right() -> None:
    with pytest.raises(ValueError, match="not as a float"):
        rounded_money(12.5, "EUR")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="not as a float"):
        allocate_money(D(1), [0.5, 0.5], "EUR")  # type: ignore[list-item]


@pytest.mark.parametrize("amount", ["NaN", "Infinity"])
def test_what_is_no_number_is_refused(amount: str) -> None:
    with pytest.raises(ValueError, match="not a number"):
        rounded_money(D(amount), "EUR")


@pytest.mark.parametrize("code", ["eur", "EURO", "", "ZZZ", "XAU", "XXX"])
def test_a_code_that_is_no_money_is_refused(code: str) -> None:
    with pytest.raises(ValueError, match="not known"):
        minor_units(code)


def test_digits_follow_the_standard_where_the_counter_has_none() -> None:
    # ISO 4217 gives the Serbian dinar 2 digits and the Iraqi 3; locale data give both 0
    assert (minor_units("RSD"), minor_units("IQD")) == (2, 3)
    assert smallest_amount("IQD") == D("0.001")


def test_more_digits_than_the_currency_are_not_dropped_in_silence() -> None:
    assert str(checked_money(D("12.5"), "EUR")) == "12.50"
    with pytest.raises(ValueError, match=r"smallest amount is 0\.01"):
        checked_money(D("12.505"), "EUR")


def test_the_odd_cent_goes_to_the_largest_line() -> None:
    assert allocate_money(D(100), [D(1), D(1), D(1)], "EUR") == (D("33.34"), D("33.33"), D("33.33"))
    assert allocate_money(D(10), [D(1), D(4), D(1)], "EUR") == (D("1.67"), D("6.66"), D("1.67"))


def test_a_few_cents_over_many_lines_leave_no_line_below_zero() -> None:
    parts = allocate_money(D("0.05"), [D(1)] * 10, "EUR")
    assert sum(parts) == D("0.05")
    assert min(parts) == 0


@pytest.mark.parametrize("by", [[], [D(0)], [D(2), D(-1)]])
def test_weights_that_cannot_share_are_refused(by: list[Decimal]) -> None:
    with pytest.raises(ValueError, match="weights"):
        allocate_money(D(10), by, "EUR")


@given(units=st.integers(-500_000, 500_000), by=weights, currency=currencies)
def test_the_parts_add_up_and_keep_the_sign_of_the_total(
    units: int, by: list[Decimal], currency: str
) -> None:
    total = units * smallest_amount(currency)
    parts = allocate_money(total, by, currency)
    assert sum(parts) == total
    assert all(part * total >= 0 for part in parts)
    assert all(checked_money(part, currency) == part for part in parts)
    assert all(part == 0 for part, weight in zip(parts, by, strict=True) if weight == 0)


@given(units=st.integers(0, 500_000), by=weights)
def test_no_part_strays_more_than_the_roundings_of_the_others(
    units: int, by: list[Decimal]
) -> None:
    total = units * D("0.01")
    for part, weight in zip(allocate_money(total, by, "EUR"), by, strict=True):
        assert abs(part - total * weight / sum(by)) <= D("0.005") * len(by) + D("1e-9")


@given(st.lists(st.decimals(-90, 90, places=4), max_size=8), st.integers(-2, 2))
def test_settled_lines_add_up_and_keep_close_to_what_they_were(
    parts: list[Decimal], off: int
) -> None:
    parts = [*parts, D(5)]
    total = rounded_money(sum(parts, D(0)), "EUR") + off * D("0.01")
    settled = settle_to_total(parts, total, "EUR")
    assert sum(settled) == total
    largest = max(range(len(parts)), key=lambda i: abs(parts[i]))
    others = [i for i in range(len(parts)) if i != largest]
    assert all(settled[i] == rounded_money(parts[i], "EUR") for i in others)


def test_the_zero_line_carries_no_difference() -> None:
    # three lines of 0.4 cent each make one cent together; the line without tax stays without
    parts = [D(0), D("0.004"), D("0.004"), D("0.004")]
    assert settle_to_total(parts, D("0.01"), "EUR") == (D(0), D("0.01"), D(0), D(0))


def test_a_tax_law_may_let_the_half_cent_drop() -> None:
    assert rounded_money(D("0.345"), "NZD", Rounding.HALF_DOWN) == D("0.34")
    assert rounded_money(D("0.3451"), "NZD", Rounding.HALF_DOWN) == D("0.35")
    assert rounded_money(D("-0.345"), "NZD", Rounding.HALF_DOWN) == D("-0.34")
    assert rounded_money(D("10.998"), "GBP", Rounding.DOWN) == D("10.99")


def test_a_difference_needs_a_line_to_stand_on() -> None:
    assert settle_to_total([], D(0), "EUR") == ()
    with pytest.raises(ValueError, match="no line"):
        settle_to_total([], D("0.01"), "EUR")


@given(
    st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**30), max_value=10**30),
    currencies,
)
def test_an_exact_fraction_and_a_decimal_round_alike(amount: Decimal, currency: str) -> None:
    rounded = rounded_money(amount, currency)
    assert str(rounded) == str(rounded_money(Fraction(amount), currency))


@given(
    st.decimals(0, 100_000, places=3), st.integers(1, 999), st.sampled_from(["JPY", "EUR", "TND"])
)
def test_the_costing_room_rounds_as_this_one_does(cost: Decimal, uses: int, currency: str) -> None:
    here = rounded_money(Fraction(cost) / uses, currency)
    assert rate_per_use(cost, D(uses), minor_units(currency)) == here
