"""Whatever is quoted, agreed, paid, given back, written off or cancelled: the books agree."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from bookings.actions.changes import change_heads, move_booking
from bookings.actions.money.invoices import credit_invoice, invoice_balance
from bookings.actions.money.payments import (
    record_payment,
    record_refund,
    take_out,
    transfer,
    write_off,
)
from bookings.actions.money.settlements import choose
from bookings.actions.quotes import accept_quote, draft_quote, send_quote
from bookings.actions.trips import cancel_booking, hold_places, move_trip_state
from bookings.models import Booking, Business, MoneyEntry, OfferExtra, Party, Settlement, Trip
from bookings.queries.books import broken_money
from bookings.queries.money import on_account, party_account
from bookings.rules.states import TripState
from tests.factories import (
    NOON,
    BusinessFactory,
    ClientFactory,
    OfferFactory,
    PartyFactory,
    TripFactory,
)

CENTS = st.decimals("0.01", "900", places=2)
RATES = st.sampled_from([Decimal(0), Decimal("13.5"), Decimal(23)])
PERCENT = st.sampled_from([Decimal(0), Decimal("12.5"), Decimal(30), Decimal(100)])
SOME = st.integers(0, 10_000)


class Books(RuleBasedStateMachine):
    """A client with two parties, offers of every price, a clock that only goes on."""

    def __init__(self) -> None:
        super().__init__()
        self.undo = transaction.atomic()
        self.undo.__enter__()
        BusinessFactory()
        self.now = NOON
        client = ClientFactory()
        self.parties = [PartyFactory(client=client, offer=None, heads=4) for _ in range(2)]

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.undo.__exit__(None, None, None)

    def pick(self, rows: Any, place: int) -> Any:
        found = list(rows.order_by("pk"))
        return found[place % len(found)] if found else None

    def try_to(self, action: Any, **facts: Any) -> None:
        """A refusal is an answer; what was refused must have left nothing behind."""
        before = MoneyEntry.objects.count()
        try:
            action(at=self.now, **facts)
        except ValidationError:
            assert MoneyEntry.objects.count() == before

    @initialize(
        basis=st.sampled_from(["inclusive", "exclusive"]), exempt=st.sampled_from(["", "Small."])
    )
    def in_business(self, basis: str, exempt: str) -> None:
        Business.objects.update(tax_basis=basis, tax_exempt_reason=exempt)

    @rule(
        price=CENTS,
        rate=RATES,
        extra=CENTS,
        extra_rate=RATES,
        deposit=PERCENT,
        days=st.integers(1, 60),
        heads=st.integers(1, 4),
        place=SOME,
    )
    def agree(self, extra: Decimal, extra_rate: Decimal, place: int, **terms: Any) -> None:
        heads = terms["heads"]
        offer = OfferFactory(
            price=terms["price"], tax_percent=terms["rate"], deposit_percent=terms["deposit"]
        )
        added = OfferExtra.objects.create(
            offer=offer, name="Lunch", price=extra, tax_percent=extra_rate, per_head=bool(place % 2)
        )
        starts = self.now + datetime.timedelta(days=terms["days"])
        trip = TripFactory(offer=offer, starts_at=starts, ends_at=starts + datetime.timedelta(0.5))
        party = self.parties[place % 2]
        held = hold_places(party=party, trip=trip, heads=heads, at=self.now)
        quote = draft_quote(
            party=party, offer=offer, heads=heads, extras=[added], booking=held, at=self.now
        )
        accept_quote(quote=send_quote(quote=quote, at=self.now), at=self.now)

    @rule(place=SOME)
    def bill(self, place: int) -> None:
        booking = self.pick(Booking.objects.all(), place)
        if booking:
            self.try_to(invoice_balance, booking=booking)

    @rule(place=SOME, amount=CENTS, everybody=st.booleans())
    def pay(self, place: int, amount: Decimal, everybody: bool) -> None:
        bookings = list(Booking.objects.all()) if everybody else []
        self.try_to(
            record_payment,
            party=self.parties[place % 2],
            amount=amount,
            moved_on=NOON.date(),
            bookings=bookings,
            again=bool(place % 3),
        )

    @rule(place=SOME, amount=CENTS)
    def give_back(self, place: int, amount: Decimal) -> None:
        booking = self.pick(Booking.objects.all(), place)
        party = booking.party if booking else self.parties[0]
        self.try_to(
            record_refund,
            party=party,
            booking=booking if place % 2 else None,
            amount=amount,
            moved_on=NOON.date(),
            reason="goodwill",
        )

    @rule(place=SOME, amount=CENTS)
    def give_up(self, place: int, amount: Decimal) -> None:
        booking = self.pick(Booking.objects.all(), place)
        if booking:
            self.try_to(write_off, booking=booking, amount=amount, reason="gone")

    @rule(place=SOME)
    def take_out_a_mistake(self, place: int) -> None:
        entry = self.pick(MoneyEntry.objects.all(), place)
        if entry:
            self.try_to(take_out, entry=entry, reason="mistake")

    @rule(place=SOME, amount=CENTS)
    def credit(self, place: int, amount: Decimal) -> None:
        invoice = self.pick(MoneyEntry.objects.filter(kind="invoice"), place)
        if invoice:
            self.try_to(credit_invoice, invoice=invoice, amount=amount, reason="slip")

    @rule(place=SOME, amount=CENTS, back=st.booleans())
    def move_money(self, place: int, amount: Decimal, back: bool) -> None:
        booking = self.pick(Booking.objects.all(), place)
        if booking:
            ends = {"giver": booking, "taker": None} if back else {"giver": None, "taker": booking}
            self.try_to(transfer, party=booking.party, amount=amount, reason="on account", **ends)

    @rule(place=SOME, by=st.sampled_from(["client", "guide"]), choice=SOME, refilled=st.booleans())
    def cancel(self, place: int, by: str, choice: int, refilled: bool) -> None:
        booking = self.pick(Booking.objects.exclude(status="cancelled"), place)
        if booking:
            wish = ["open", "refund", "move"][choice % 3]
            cancel_booking(booking=booking, by=by, choice=wish, refilled=refilled, at=self.now)

    @rule(place=SOME, heads=st.integers(0, 5))
    def another_size(self, place: int, heads: int) -> None:
        booking = self.pick(Booking.objects.all(), place)
        if booking:
            self.try_to(change_heads, booking=booking, heads=heads, children=place % 2)

    @rule(place=SOME, by=st.sampled_from(["client", "guide"]), other=st.booleans())
    def another_day(self, place: int, by: str, other: bool) -> None:
        booking = self.pick(Booking.objects.all(), place)
        if booking:
            offer = OfferFactory(price=Decimal(place)) if other else booking.trip.offer
            starts = self.now + datetime.timedelta(days=place % 50)
            ends = starts + datetime.timedelta(0.5)
            trip = TripFactory(offer=offer, starts_at=starts, ends_at=ends)
            self.try_to(move_booking, booking=booking, trip=trip, by=by)

    @rule(place=SOME)
    def call_off(self, place: int) -> None:
        trip = self.pick(Trip.objects.exclude(status="cancelled"), place)
        if trip:
            move_trip_state(trip=trip, to=TripState.CANCELLED, reason="gale", at=self.now)

    @rule(place=SOME, choice=st.sampled_from(["refund", "move"]))
    @precondition(lambda self: Settlement.objects.filter(choice="open").exists())
    def decide(self, place: int, choice: str) -> None:
        settlement = self.pick(Settlement.objects.filter(choice="open"), place)
        self.try_to(choose, settlement=settlement, choice=choice)

    @rule(days=st.integers(0, 20))
    def time_passes(self, days: int) -> None:
        self.now += datetime.timedelta(days=days)

    @invariant()
    def the_books_agree(self) -> None:
        assert broken_money() == []

    @invariant()
    def places_are_what_is_booked(self) -> None:
        for trip in Trip.objects.all():
            live = trip.bookings.exclude(status="cancelled")
            assert sum(booking.heads for booking in live) == trip.places_taken <= trip.places

    @invariant()
    def what_came_in_is_somewhere(self) -> None:
        """All cash of a party is on its bookings or on its account; nothing is lost between."""
        for party in Party.objects.all():
            moved = sum(
                -share.owed
                for share in party.money.select_related("entry")
                if share.entry.kind in {"payment", "refund"}
            )
            assert party_account(party).paid == moved
            assert on_account(party) >= 0

    @invariant()
    def kept_refunded_and_moved_make_what_was_paid(self) -> None:
        for each in Settlement.objects.exclude(choice="open"):
            assert each.kept + each.refunded + each.moved == each.paid


@pytest.mark.slow
@pytest.mark.django_db
def test_the_books_agree_whatever_is_done() -> None:
    run_state_machine_as_test(
        Books, settings=settings(max_examples=25, stateful_step_count=25, deadline=None)
    )
