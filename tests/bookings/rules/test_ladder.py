"""Who gets what when a booking is cancelled."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.ladder import (
    HOUSE_LADDER,
    Cancellation,
    CancelledBy,
    Charge,
    Rung,
    Wish,
    ladder_days,
    settle_cancellation,
)

D = Decimal
TRIP = date(2026, 5, 16)
PAID_UP = Cancellation(
    by=CancelledBy.CLIENT,
    cancelled_on=TRIP,
    trip_on=TRIP,
    price=D(580),
    deposit=D(174),
    paid=D(580),
    currency="EUR",
)


def _before(days: int, **changes: object) -> Cancellation:
    return replace(PAID_UP, cancelled_on=TRIP - timedelta(days=days), **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("days", "kept", "refunded", "moved"),
    [
        (90, 0, 580, 0),
        (30, 0, 580, 0),
        (29, 0, 406, 174),
        (14, 0, 406, 174),
        (13, 174, 406, 0),
        (7, 174, 406, 0),
        (6, 580, 0, 0),
        (0, 580, 0, 0),
        (-1, 580, 0, 0),  # stayed away
    ],
)
def test_the_house_ladder_day_by_day(days: int, kept: int, refunded: int, moved: int) -> None:
    found = settle_cancellation(_before(days))
    assert (found.kept, found.refunded, found.moved) == (D(kept), D(refunded), D(moved))
    assert found.still_due == 0
    assert found.days_before == days


def test_the_rule_and_its_last_day_are_shown() -> None:
    found = settle_cancellation(_before(20))
    assert found.rule == (
        "Cancelled by the client 20 days before the trip: the deposit moves to another date, once."
    )
    assert found.holds_until == date(2026, 5, 2)
    assert settle_cancellation(_before(1)).holds_until is None
    assert "1 day before" in settle_cancellation(_before(1)).rule
    assert "on the day of the trip" in settle_cancellation(_before(0)).rule


def test_a_deposit_moves_only_once() -> None:
    found = settle_cancellation(_before(20, moved_before=True))
    assert (found.kept, found.refunded, found.moved) == (D(174), D(406), D(0))
    assert "moved once before" in found.rule


def test_a_place_that_is_filled_again_costs_the_deposit() -> None:
    found = settle_cancellation(_before(3, refilled=True))
    assert (found.kept, found.refunded) == (D(174), D(406))
    assert "filled again" in found.rule
    # earlier the deposit is the charge anyway, and nothing is said of refilling
    assert "filled again" not in settle_cancellation(_before(10, refilled=True)).rule


@pytest.mark.parametrize(("wish", "refunded", "moved"), [("refund", 580, 0), ("move", 0, 580)])
def test_the_guide_keeps_nothing_when_calling_off(wish: str, refunded: int, moved: int) -> None:
    found = settle_cancellation(_before(0, by=CancelledBy.GUIDE, wish=Wish(wish)))
    assert (found.kept, found.refunded, found.moved) == (D(0), D(refunded), D(moved))
    assert found.still_due == 0


def test_what_was_not_paid_yet_stays_due() -> None:
    found = settle_cancellation(_before(3, paid=D(174)))
    assert (found.kept, found.refunded, found.still_due) == (D(174), D(0), D(406))


def test_a_ladder_of_the_guides_own() -> None:
    ladder = (Rung(0, Charge.SHARE, D("0.505")), Rung(45, Charge.NOTHING))
    found = settle_cancellation(
        _before(44, price=D("99.99"), paid=D("99.99"), deposit=D(0)), ladder
    )
    assert found.kept == D("50.49")  # 50.49495 rounded down: not a half
    assert found.rule.endswith("50.5 % of the price is charged.")


def test_the_dates_of_the_ladder_for_a_quote() -> None:
    days = ladder_days(TRIP, on=date(2026, 4, 16))
    assert [(x.first_on, x.last_on) for x in days] == [
        (None, date(2026, 4, 16)),
        (date(2026, 4, 17), date(2026, 5, 2)),
        (date(2026, 5, 3), date(2026, 5, 9)),
        (date(2026, 5, 10), None),
    ]
    assert days[0].rule == "Nothing is charged."
    assert days[3].rule == (
        "The whole price is charged; if the place is filled again, the deposit is kept."
    )


@pytest.mark.parametrize(
    ("on", "steps"),
    [
        (date(2026, 4, 17), [(None, date(2026, 5, 2)), "3", "4"]),
        (date(2026, 5, 2), [(None, date(2026, 5, 2)), "3", "4"]),
        (date(2026, 5, 8), [(None, date(2026, 5, 9)), "4"]),
        (date(2026, 5, 10), [(None, None)]),
        (date(2026, 5, 20), [(None, None)]),
    ],
)
def test_steps_that_are_over_are_not_listed(on: date, steps: list[object]) -> None:
    known = {"3": (date(2026, 5, 3), date(2026, 5, 9)), "4": (date(2026, 5, 10), None)}
    found = [(x.first_on, x.last_on) for x in ladder_days(TRIP, on=on)]
    assert found == [known.get(each, each) if isinstance(each, str) else each for each in steps]


@pytest.mark.parametrize(
    ("changes", "ladder", "words"),
    [
        ({"paid": D(-1)}, HOUSE_LADDER, "Paid: -1.00 is below 0"),
        ({"deposit": D(600)}, HOUSE_LADDER, "above the price"),
        ({"paid": D("1.001")}, HOUSE_LADDER, "more digits"),
        ({}, (), "last days out"),
        ({}, (Rung(7, Charge.DEPOSIT),), "last days out"),
        ({}, (Rung(0, Charge.DEPOSIT), Rung(0, Charge.NOTHING)), "Two rungs"),
        ({}, (Rung(0, Charge.SHARE, D("1.2")),), "outside 0 to 1"),
    ],
)
def test_what_cannot_be_settled_is_refused(changes, ladder, words) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=words):
        settle_cancellation(_before(10, **changes), ladder)


amounts = st.decimals(0, 2000, places=2)
charges = st.sampled_from(Charge)
shares = st.decimals(0, 1, places=3)


@st.composite
def cancellations(draw: st.DrawFn) -> Cancellation:
    price = draw(amounts)
    return Cancellation(
        by=draw(st.sampled_from(CancelledBy)),
        cancelled_on=TRIP - timedelta(days=draw(st.integers(-3, 60))),
        trip_on=TRIP,
        price=price,
        deposit=draw(st.decimals(0, price, places=2)),
        paid=draw(amounts),  # also more than the price
        currency="EUR",
        wish=draw(st.sampled_from(Wish)),
        refilled=draw(st.booleans()),
        moved_before=draw(st.booleans()),
    )


@st.composite
def ladders(draw: st.DrawFn) -> tuple[Rung, ...]:
    starts = {0} | draw(st.sets(st.integers(1, 60), max_size=4))
    return tuple(
        Rung(days, draw(charges), draw(shares), draw(st.none() | charges)) for days in starts
    )


@given(cancellations(), ladders())
def test_kept_refunded_and_moved_are_what_was_paid(
    facts: Cancellation, ladder: tuple[Rung, ...]
) -> None:
    found = settle_cancellation(facts, ladder)
    assert found.kept + found.refunded + found.moved == facts.paid
    assert min(found.kept, found.refunded, found.moved, found.still_due) >= 0
    assert found.refunded <= facts.paid
    assert found.kept + found.still_due <= facts.price
    assert found.rule.endswith(".")


@given(cancellations(), st.integers(1, 40))
def test_cancelling_later_never_leaves_the_client_better_off(
    facts: Cancellation, later: int
) -> None:
    early = settle_cancellation(facts)
    late = settle_cancellation(
        replace(facts, cancelled_on=facts.cancelled_on + timedelta(days=later))
    )
    assert late.kept >= early.kept
    assert late.refunded <= early.refunded or facts.wish is Wish.MOVE


@given(cancellations())
def test_the_last_day_is_the_last_day(facts: Cancellation) -> None:
    found = settle_cancellation(facts)
    if found.holds_until is None:
        return
    on_it = settle_cancellation(replace(facts, cancelled_on=found.holds_until))
    assert (on_it.kept, on_it.refunded, on_it.moved) == (found.kept, found.refunded, found.moved)
    after = settle_cancellation(replace(facts, cancelled_on=found.holds_until + timedelta(days=1)))
    assert after.holds_until != found.holds_until
