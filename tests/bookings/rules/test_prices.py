"""Quote lines of the three ways to price, and what is due when."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.prices import (
    Extra,
    ExtraPer,
    Heads,
    OfferPrice,
    PriceStep,
    PriceWay,
    deposit_due,
    payment_plan,
    quote_lines,
    quote_total,
)

D = Decimal
PER_HEAD = OfferPrice(
    PriceWay.PER_HEAD, "EUR", 6, price=D(290), child_price=D(150), minimum_charge=D(580)
)
STEPS = OfferPrice(PriceWay.STEPS, "EUR", 6, steps=(PriceStep(4, D(1100)), PriceStep(1, D(620))))
money = st.decimals(0, 900, places=2)


def _flat(lines) -> list[tuple[str, int, Decimal]]:  # type: ignore[no-untyped-def]
    return [(line.kind.value, line.quantity, line.amount) for line in lines]


def test_adults_and_children_at_their_own_price() -> None:
    lines = quote_lines(PER_HEAD, Heads(adults=2, children=1))
    assert _flat(lines) == [("adult", 2, D("580.00")), ("child", 1, D("150.00"))]
    assert quote_total(lines) == D("730.00")


def test_one_alone_pays_up_to_the_minimum_charge() -> None:
    lines = quote_lines(PER_HEAD, Heads(adults=1))
    assert _flat(lines) == [("adult", 1, D("290.00")), ("minimum", 1, D("290.00"))]


def test_a_minimum_just_above_the_price_is_still_reached() -> None:
    offer = OfferPrice(PriceWay.PER_HEAD, "EUR", 6, price=D(290), minimum_charge=D("290.01"))
    assert _flat(quote_lines(offer, Heads(1)))[-1] == ("minimum", 1, D("0.01"))


def test_a_private_day_costs_the_same_whoever_comes() -> None:
    offer = OfferPrice(PriceWay.WHOLE_DAY, "EUR", 4, price=D(1087))
    assert quote_total(quote_lines(offer, Heads(1))) == D(1087)
    assert quote_total(quote_lines(offer, Heads(2, 2))) == D(1087)


def test_steps_count_heads_of_any_age() -> None:
    assert quote_total(quote_lines(STEPS, Heads(3))) == D(620)
    assert quote_total(quote_lines(STEPS, Heads(2, 2))) == D(1100)


def test_extras_by_party_and_by_head_and_a_reduction() -> None:
    extras = [
        Extra("Waders", D("12.50"), ExtraPer.HEAD),
        Extra("Pick-up", D(40)),
        Extra("Returning guests", D(-30)),
    ]
    lines = quote_lines(PER_HEAD, Heads(2), extras)
    assert [(x.label, x.amount) for x in lines[1:]] == [
        ("Waders", D("25.00")),
        ("Pick-up", D("40.00")),
        ("Returning guests", D("-30.00")),
    ]
    assert quote_total(lines) == D("615.00")


@pytest.mark.parametrize(
    ("offer", "heads", "extras", "words"),
    [
        (PER_HEAD, Heads(0), [], "nobody"),
        (PER_HEAD, Heads(3, -1), [], "nobody"),
        (PER_HEAD, Heads(5, 2), [], "takes 6"),
        (PER_HEAD, Heads(2), [Extra("Gift", D(-600))], "reductions are larger"),
        (PER_HEAD, Heads(2), [Extra("Gift", D(-1), ExtraPer.HEAD)], "larger party could"),
        (OfferPrice(PriceWay.PER_HEAD, "EUR", 6, price=D("9.999")), Heads(1), [], "more digits"),
        (OfferPrice(PriceWay.PER_HEAD, "EUR", 6, price=D(-9)), Heads(1), [], "below 0"),
        (
            OfferPrice(PriceWay.PER_HEAD, "EUR", 6, price=D(9), child_price=D(10)),
            Heads(1),
            [],
            "swap them",
        ),
        (
            OfferPrice(PriceWay.STEPS, "EUR", 6, steps=(PriceStep(2, D(9)),)),
            Heads(1),
            [],
            "No step",
        ),
        (
            OfferPrice(
                PriceWay.STEPS, "EUR", 6, steps=(PriceStep(1, D(600)), PriceStep(3, D(500)))
            ),
            Heads(1),
            [],
            "less than the 600",
        ),
        (
            OfferPrice(PriceWay.STEPS, "EUR", 6, steps=(PriceStep(1, D(6)), PriceStep(1, D(7)))),
            Heads(1),
            [],
            "Two steps",
        ),
    ],
)
def test_what_cannot_be_priced_is_refused(offer, heads, extras, words) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=words):
        quote_lines(offer, heads, extras)


@st.composite
def offers(draw: st.DrawFn) -> OfferPrice:
    way = draw(st.sampled_from(PriceWay))
    price = draw(money)
    steps = zip(
        [1, *sorted(draw(st.sets(st.integers(2, 8), max_size=3)))],
        sorted(draw(st.lists(money, min_size=4, max_size=4))),
        strict=False,
    )
    return OfferPrice(
        way,
        "EUR",
        heads_max=9,
        price=price,
        child_price=draw(st.none() | st.decimals(0, price, places=2)),
        minimum_charge=draw(money),
        steps=tuple(PriceStep(heads, each) for heads, each in steps),
    )


@given(offers(), st.integers(0, 4), st.integers(0, 4), st.booleans(), money)
def test_one_head_more_never_lowers_the_price(
    offer: OfferPrice, adults: int, children: int, adult_more: bool, extra: Decimal
) -> None:
    extras = [Extra("Waders", extra, ExtraPer.HEAD)]
    before = Heads(max(adults, 1), children)
    after = Heads(before.adults + adult_more, children + (not adult_more))
    lines = quote_lines(offer, before, extras)
    assert quote_total(lines) <= quote_total(quote_lines(offer, after, extras))
    assert all(line.quantity * line.unit_price == line.amount for line in lines)
    if offer.way is PriceWay.PER_HEAD:
        assert quote_total(lines) >= offer.minimum_charge


def test_a_deposit_is_rounded_half_up() -> None:
    assert deposit_due(D("333.35"), D("0.3"), "EUR") == D("100.01")  # 100.005
    assert deposit_due(D(335), D("0.3"), "JPY") == D(101)  # 100.5


def test_the_balance_is_due_a_week_before() -> None:
    plan = payment_plan(D(580), D("0.3"), "EUR", date(2026, 3, 2), date(2026, 5, 16))
    assert [(x.label, x.amount, x.due_on) for x in plan] == [
        ("Deposit", D("174.00"), date(2026, 3, 2)),
        ("Balance", D("406.00"), date(2026, 5, 9)),
    ]


def test_agreed_late_everything_is_due_at_once() -> None:
    plan = payment_plan(D(580), D("0.3"), "EUR", date(2026, 5, 9), date(2026, 5, 16))
    assert [(x.label, x.amount, x.due_on) for x in plan] == [
        ("Full payment", D(580), date(2026, 5, 9))
    ]


@pytest.mark.parametrize(
    ("total", "share", "trip_on", "words"),
    [
        (D(580), D("1.1"), date(2026, 5, 16), "outside 0 to 1"),
        (D(-1), D("0.3"), date(2026, 5, 16), "below 0"),
        (D(580), D("0.3"), date(2026, 3, 1), "before the agreement"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(
    total: Decimal, share: Decimal, trip_on: date, words: str
) -> None:
    with pytest.raises(ValueError, match=words):
        payment_plan(total, share, "EUR", date(2026, 3, 2), trip_on)


@given(money, st.decimals(0, 1, places=3), st.integers(0, 90), st.integers(0, 30))
def test_deposit_and_balance_add_up(
    total: Decimal, share: Decimal, ahead: int, before: int
) -> None:
    agreed = date(2026, 3, 2)
    trip_on = date.fromordinal(agreed.toordinal() + ahead)
    plan = payment_plan(total, share, "EUR", agreed, trip_on, before)
    assert sum(x.amount for x in plan) == total
    assert all(agreed <= x.due_on <= trip_on for x in plan)
