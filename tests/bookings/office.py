"""One of many people in the office: presses one button after the other on whatever is there."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Callable
from decimal import Decimal
from random import Random
from typing import Any

from django.core.exceptions import ValidationError
from django.db import OperationalError
from django.utils import timezone

from bookings.actions.changes import carry_out_choices, change_heads, move_booking
from bookings.actions.merges import merge_clients, undo_merge
from bookings.actions.money.invoices import invoice_balance
from bookings.actions.money.payments import record_payment, record_refund
from bookings.actions.money.settlements import choose
from bookings.actions.parties import save_participant
from bookings.actions.quotes import accept_quote, draft_quote, lapse_quotes, send_quote
from bookings.actions.trips import (
    cancel_booking,
    change_trip,
    hold_places,
    plan_trip,
    release_lapsed_holds,
)
from bookings.actions.waiting import join_waiting_list, place_waiting
from bookings.models import Booking, Client, ClientMerge, Party, Quote, Settlement, Trip, Waiting
from bookings.rules.states import TripState
from guiding.desk.actions.holding import hold_with_price
from guiding.desk.actions.invites import tell_calendars
from guiding.desk.actions.telling import move_and_tell

SOON = datetime.timedelta(milliseconds=400)


class Clerk:
    """Dice of their own; what was done, what was refused, what the database ended."""

    def __init__(self, seed: int) -> None:
        self.dice = Random(seed)  # noqa: S311  a test, no secret
        self.done: Counter[str] = Counter()
        self.ended: list[str] = []
        often = [self.hold, self.accept, self.move, self.heads, self.cancel]
        self.deck: list[Callable[[], Any]] = [
            *(2 * often), self.accept, self.hold_with_price, self.wait, self.place,
            self.lapse_holds, self.lapse_quotes, self.bill, self.pay, self.give_back, self.choose,
            self.carry_out, self.call_off, self.confirm, self.change_trip, self.tell, self.merge,
            self.part, self.name,
        ]  # fmt: skip

    def work(self, decks: int) -> None:
        """Every act of the deck, shuffled, as many times."""
        for _ in range(decks):
            for act in self.dice.sample(self.deck, len(self.deck)):
                self.press(act)

    def press(self, act: Callable[[], Any]) -> None:
        try:
            if act():
                self.done[act.__name__] += 1
        except ValidationError:
            self.done["refused"] += 1
        except OperationalError as problem:
            words = str(problem).splitlines()
            self.ended.append(f"{act.__name__}: {words[0]} {words[-1]}")

    def one(self, rows: Any) -> Any:
        found = list(rows.order_by("pk"))
        return self.dice.choice(found) if found else None

    def trip(self) -> Trip:
        return self.one(Trip.objects.filter(status__in=["tentative", "confirmed"]))  # type: ignore[no-any-return]

    def party(self) -> Party:
        return self.one(Party.objects.all())  # type: ignore[no-any-return]

    def booking(self, *states: str) -> Booking | None:
        rows = Booking.objects.filter(status__in=states or ["tentative", "confirmed"])
        return self.one(rows)  # type: ignore[no-any-return]

    def hold(self) -> Any:
        until = timezone.now() + SOON * self.dice.choice((1, 40))
        heads = self.dice.randrange(1, 4)
        return hold_places(party=self.party(), trip=self.trip(), heads=heads, hold_until=until)

    def hold_with_price(self) -> Any:
        return hold_with_price(party=self.party(), trip=self.trip(), cost_estimate={})

    def accept(self) -> Any:
        """Yes to a price that lies there, or to a new one for a hold."""
        quote = self.one(Quote.objects.filter(status__in=["draft", "sent"]))
        held = self.booking("tentative")
        if held is not None and (quote is None or self.dice.random() < 0.5):
            quote = draft_quote(
                party=held.party,
                offer=held.trip.offer,
                heads=held.heads,
                booking=held,
                valid_until=timezone.now() + SOON * self.dice.choice((1, 40)),
            )
        if quote is not None and quote.status == Quote.Status.DRAFT:
            quote = send_quote(quote=quote)
        return quote and accept_quote(quote=quote)

    def move(self) -> Any:
        booking, by = self.booking(), self.dice.choice(["client", "guide"])
        return booking and move_booking(booking=booking, trip=self.trip(), by=by)

    def heads(self) -> Any:
        booking = self.booking()
        return booking and change_heads(booking=booking, heads=self.dice.randrange(1, 5))

    def cancel(self) -> Any:
        booking, by = self.booking(), self.dice.choice(["client", "guide"])
        choice = self.dice.choice(["open", "refund", "move"])
        return booking and cancel_booking(booking=booking, by=by, choice=choice)

    def wait(self) -> Any:
        return join_waiting_list(party=self.party(), trip=self.trip(), heads=1)

    def place(self) -> Any:
        waiting = self.one(Waiting.objects.filter(outcome="waits"))
        return waiting and place_waiting(waiting=waiting)

    def lapse_holds(self) -> Any:
        return release_lapsed_holds(at=timezone.now())

    def lapse_quotes(self) -> Any:
        return lapse_quotes(at=timezone.now())

    def bill(self) -> Any:
        booking = self.booking("confirmed")
        return booking and invoice_balance(booking=booking)

    def pay(self) -> Any:
        booking = self.booking("confirmed")
        mine = [booking] if booking and self.dice.random() < 0.5 else []
        return record_payment(
            party=mine[0].party if mine else self.party(),
            amount=Decimal(self.dice.randrange(1, 90_000)) / 100,
            moved_on=timezone.localdate(),
            bookings=mine,
            again=True,
        )

    def give_back(self) -> Any:
        booking = self.booking("confirmed")
        return booking and record_refund(
            party=booking.party,
            booking=booking,
            amount=Decimal(self.dice.randrange(1, 30_000)) / 100,
            moved_on=timezone.localdate(),
            reason="goodwill",
        )

    def choose(self) -> Any:
        settlement = self.one(Settlement.objects.filter(choice="open"))
        choice = self.dice.choice(["refund", "move"])
        return settlement and choose(settlement=settlement, choice=choice)

    def carry_out(self) -> Any:
        found = list(Settlement.objects.filter(choice="open").order_by("?")[:3])
        choices = {each: self.dice.choice([self.trip(), "refund", "move"]) for each in found}
        return carry_out_choices(choices=choices)

    def call_off(self) -> Any:
        """A day is called off; another is planned in its place."""
        self._state(TripState.CANCELLED)
        old = Trip.objects.select_related("offer").order_by("-pk")[0]
        return plan_trip(
            offer=old.offer,
            starts_at=old.starts_at + datetime.timedelta(days=1),
            ends_at=old.ends_at + datetime.timedelta(days=1),
            meeting_place=old.meeting_place,
            places=old.places,
        )

    def confirm(self) -> Any:
        return self._state(TripState.CONFIRMED)

    def _state(self, to: TripState) -> Any:
        return move_and_tell(trip=self.trip(), to=to, reason="gale", at=timezone.now())

    def change_trip(self) -> Any:
        trip = self.trip()
        return change_trip(
            trip=trip,
            starts_at=trip.starts_at,
            ends_at=trip.ends_at + datetime.timedelta(minutes=self.dice.randrange(3)),
            meeting_place=trip.meeting_place,
            places=trip.places,
        )

    def tell(self) -> Any:
        return tell_calendars(trip_pk=self.trip().pk, at=timezone.now())

    def merge(self) -> Any:
        kept, gone = self.dice.sample(list(Client.objects.all()), 2)
        return merge_clients(kept=kept, gone=gone)

    def part(self) -> Any:
        merge = self.one(ClientMerge.objects.filter(undone_at=None))
        return merge and undo_merge(merge=merge)

    def name(self) -> Any:
        on, word = timezone.localdate(), f"Guest {self.dice.randrange(10**6)}"
        return save_participant(party=self.party(), country="IE", on=on, given_name=word)
