"""`check_books`: sound books pass; each invariant that is broken on purpose is named."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.db.models import F

from bookings.models import Booking, MoneySeries, Participant, Party, Quote, QuoteLine, Trip
from equipment.models import Line, PackCheck, UseEntry
from guiding.days.models import DayPlan, Drop
from guiding.desk.queries.books import CHECKS
from tests.commands import manage


def test_sound_books_pass(season: object) -> None:
    done = manage("check_books")
    assert (done.code, done.err) == (0, "")
    assert "The books are sound" in done.out
    facts = manage("check_books", "--json").facts
    assert facts["broken"] == []
    assert facts["checks"] == len(CHECKS)


def test_an_empty_database_is_sound(db: None) -> None:
    assert manage("check_books").code == 0


def _live() -> Booking:
    return Booking.objects.filter(status="confirmed", trip__status="confirmed")[0]


def miscount_places() -> str:
    trip = _live().trip
    Trip.objects.filter(pk=trip.pk).update(places_taken=F("places_taken") - 1)
    return f"Trip {trip.pk}: {trip.places_taken - 1} places counted, {trip.places_taken} booked."


def oversell() -> str:
    booking = _live()
    Booking.objects.filter(pk=booking.pk).update(heads=booking.trip.places + 1)
    return f"Trip {booking.trip_id}: {booking.trip.places + 1} booked on"


def hold_on_a_trip_called_off() -> str:
    booking = Booking.objects.filter(status="tentative")[0]
    Trip.objects.filter(pk=booking.trip_id).update(status="cancelled")
    return f"Booking {booking.pk}: still held on trip {booking.trip_id}"


def change_a_line_of_a_quote() -> str:
    line = QuoteLine.objects.all()[0]
    QuoteLine.objects.filter(pk=line.pk).update(amount=line.amount + Decimal("0.01"))
    return f"Price note {line.quote_id}: its lines come to"


def lose_the_lines_of_a_quote() -> str:
    quote = Quote.objects.all()[0]
    quote.lines.all().delete()
    return f"Price note {quote.pk}: has no lines."


def change_the_price_of_a_booking() -> str:
    quote = Quote.objects.filter(status="accepted", booking__status="confirmed")[0]
    Booking.objects.filter(pk=quote.booking_id).update(price=F("price") + 1)
    return f"Price note {quote.pk}: its booking carries another price."


def lose_a_number_of_a_series() -> str:
    series = MoneySeries.objects.all()[0]
    MoneySeries.objects.filter(pk=series.pk).update(next_number=F("next_number") + 1)
    return f"Series {series.kind} {series.year}: goes on after {series.next_number - 1} at"


def take_a_guardian_from_elsewhere() -> str:
    child = Participant.objects.exclude(guardian=None)[0]
    other = Participant.objects.exclude(party=child.party)[0]
    Participant.objects.filter(pk=child.pk).update(guardian=other)
    return f"Participant {child.pk}: the guardian is of another party."


def name_too_many() -> str:
    party = Party.objects.filter(minors=0, heads__gt=1, participants__isnull=False)[0]
    Party.objects.filter(pk=party.pk).update(heads=1)
    return f"Party {party.pk}: names {party.participants.count()} people"


def fish_outside_the_trip() -> str:
    plan = DayPlan.objects.all()[0]
    DayPlan.objects.filter(pk=plan.pk).update(
        session_end=plan.trip.ends_at + datetime.timedelta(minutes=1)
    )
    return f"Plan {plan.pk}: the session lies outside trip {plan.trip_id}."


def lose_metres_without_a_word() -> str:
    line = Line.objects.all()[0]
    Line.objects.filter(pk=line.pk).update(used_m=F("used_m") + 5)
    return f"Line {line.pk}:"


def change_the_lowest_cell() -> str:
    check = PackCheck.objects.exclude(cells_v=[])[0]
    PackCheck.objects.filter(pk=check.pk).update(cell_low_v=check.cell_low_v - 0.1)
    return f"Check {check.pk} of {check.pack}: lowest and highest cell"


def measure_a_cell_too_few() -> str:
    check = PackCheck.objects.exclude(cells_v=[])[0]
    cells = check.cells_v[:-1]
    PackCheck.objects.filter(pk=check.pk).update(
        cells_v=cells, cell_low_v=min(cells), cell_high_v=max(cells)
    )
    return f"Check {check.pk} of {check.pack}: measures {len(cells)} cells."


def lose_the_wear_of_a_drop() -> str:
    drop = Drop.objects.filter(reverses=None, reversed_by=None).first()
    assert drop is not None
    UseEntry.objects.filter(thing=drop.craft_id, kind="drop", at=drop.at).delete()
    return f"Drop {drop.pk} "


# Each breaks the books in one way and says how that is told.
BREAKINGS: list[Callable[[], str]] = [
    miscount_places,
    oversell,
    hold_on_a_trip_called_off,
    change_a_line_of_a_quote,
    lose_the_lines_of_a_quote,
    change_the_price_of_a_booking,
    lose_a_number_of_a_series,
    take_a_guardian_from_elsewhere,
    name_too_many,
    fish_outside_the_trip,
    lose_metres_without_a_word,
    change_the_lowest_cell,
    measure_a_cell_too_few,
    lose_the_wear_of_a_drop,
]


@pytest.mark.parametrize("breaking", BREAKINGS, ids=lambda breaking: breaking.__name__)
def test_what_is_broken_is_named(season: object, breaking: Callable[[], str]) -> None:
    told = breaking()
    done = manage("check_books")
    assert done.code == 1
    assert told in done.err
    assert "Traceback" not in done.err
    listed = manage("check_books", "--json")
    assert listed.code == 1
    assert any(told in sentence for sentence in listed.facts["broken"])


def test_every_check_is_broken_somewhere_above(season: object) -> None:
    for breaking in BREAKINGS:
        breaking()
    silent = [check.__name__ for check in CHECKS if not list(check())]
    assert silent == [], "break the books so that these speak, in BREAKINGS"
