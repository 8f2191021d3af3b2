"""The inbox, a party's page and a year's totals over 10,000 parties and 60,000 money entries.

Ten years of one business: one party in fifty is open. Each page is timed in turn with the list that
Django's own admin makes of the same rows with the like columns: the open parties, fifty to a page,
for the inbox and a party; every entry of the year, on one page, for its totals.

    .venv/bin/pytest tests/bench/test_bench_books.py -s
"""

from __future__ import annotations

import datetime
import time
from decimal import Decimal
from functools import partial

import pytest
from django.contrib import admin
from django.db import connection
from django.http import QueryDict
from django.test import RequestFactory
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from bookings.models import Booking, Client, MoneyEntry, MoneyShare, Party, Trip
from tests.factories import NOON, OfferFactory

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
DAY = datetime.timedelta(days=1)
ROUNDS = 7
# Two invoices, a deposit, a balance in two parts, and what was paid too much: six entries a party.
ENTRIES = (
    ("invoice", 200),
    ("payment", -200),
    ("invoice", 400),
    ("payment", -300),
    ("payment", -150),
    ("refund", 50),
)


def build(parties: int) -> None:
    """Parties over ten years up to today, each with a booking and six entries of money."""
    offer = OfferFactory()
    first = Party.objects.count()
    numbers = range(first, first + parties)
    clients = Client.objects.bulk_create(
        Client(given_name=f"Given{n}", family_name=f"Family{n}", email=f"c{n}@example.org")
        for n in numbers
    )
    made = Party.objects.bulk_create(
        Party(
            client=client,
            offer=offer,
            heads=2,
            state="open" if n % 50 == 0 else "closed",
            asked_at=NOON - DAY * (n % 3650),
            closed_at=None if n % 50 == 0 else NOON,
            closed_reason="" if n % 50 == 0 else "over",
        )
        for n, client in zip(numbers, clients, strict=True)
    )
    trips = Trip.objects.bulk_create(
        Trip(
            offer=offer,
            changed_at=NOON,
            starts_at=NOON + DAY * (60 - n % 3650),
            ends_at=NOON + DAY * (60.4 - n % 3650),
            meeting_place="Car park",
            places=4,
            places_taken=2,
        )
        for n in numbers
    )
    bookings = Booking.objects.bulk_create(
        Booking(
            party=party,
            trip=trip,
            heads=2,
            status="confirmed",
            booked_at=NOON,
            currency="EUR",
            price=Decimal(600),
            deposit=Decimal(200),
            agreed_on=party.asked_at.date(),
        )
        for party, trip in zip(made, trips, strict=True)
    )
    rows = [
        (party, booking, kind, Decimal(owed), number)
        for number, (party, booking) in enumerate(zip(made, bookings, strict=True), first + 1)
        for kind, owed in ENTRIES
    ]
    seen: dict[tuple[str, int], int] = {}
    entries = []
    for party, _, kind, owed, _ in rows:
        year = party.asked_at.year
        seen[kind, year] = seen.get((kind, year), first * 3) + 1
        entries.append(
            MoneyEntry(
                kind=kind,
                year=year,
                number=seen[kind, year],
                label=f"{kind[:2]}{year}-{seen[kind, year]}",
                on=party.asked_at.date(),
                moved_on=party.asked_at.date() if kind in {"payment", "refund"} else None,
                due_on=party.asked_at.date() if kind == "invoice" else None,
                currency="EUR",
                amount=abs(owed),
                net=abs(owed) if kind == "invoice" else None,
                tax=Decimal(0) if kind == "invoice" else None,
                reference=f"R{year}N{seen[kind, year]}" if kind == "invoice" else "",
                reason="paid too much" if kind == "refund" else "",
                way="bank" if kind in {"payment", "refund"} else "",
                entered_at=NOON,
            )
        )
    entries = MoneyEntry.objects.bulk_create(entries, batch_size=500)
    MoneyShare.objects.bulk_create(
        (
            MoneyShare(entry=entry, party=party, booking=booking, owed=owed)
            for entry, (party, booking, _, owed, _) in zip(entries, rows, strict=True)
        ),
        batch_size=500,
    )


class PartyList(admin.ModelAdmin):
    """The parties with the columns that the inbox has words for."""

    list_display = ("client", "heads", "minors", "offer", "state", "day_from", "asked_at")
    list_per_page = 50


class EntryList(admin.ModelAdmin):
    """The entries with the columns that the totals are made of."""

    list_display = ("label", "kind", "on", "currency", "amount", "net", "tax")
    list_max_show_all = 100_000


def admin_list(owner, model, shown, query: str):
    """A call that makes the page of a list in the admin as Django ships it."""
    request = RequestFactory().get("/repair/", QueryDict(query).dict())
    request.user, request.session = owner, {}
    return lambda: shown(model, admin.site).changelist_view(request).render()


def pages() -> dict[str, str]:
    """Each page of ours, by name."""
    newest = Party.objects.filter(state="open").earliest("-asked_at")
    return {
        "inbox": reverse("party_list"),
        "party": reverse("party", args=[newest.pk]),
        "year": reverse("money_year", args=[2026]),
    }


def seconds(work) -> float:
    began = time.process_time()
    assert work().status_code == 200
    return time.process_time() - began


def queries(desk, address: str) -> int:
    with CaptureQueriesContext(connection) as found:
        assert desk.get(address).status_code == 200
    return len(found)


def test_pages_of_the_books_against_the_lists_of_the_admin(desk, owner) -> None:
    build(200)
    few = {name: queries(desk, address) for name, address in pages().items()}
    build(9_800)
    assert Party.objects.count() == 10_000
    assert MoneyEntry.objects.count() == 60_000
    ours = pages()
    works = {name: partial(desk.get, address) for name, address in ours.items()} | {
        "admin parties": admin_list(owner, Party, PartyList, "state__exact=open"),
        "admin entries": admin_list(owner, MoneyEntry, EntryList, "year=2026&all="),
    }
    times: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(ROUNDS):
        for name, work in works.items():
            times[name].append(seconds(work))
    best = {name: min(taken) for name, taken in times.items()}
    many = {name: queries(desk, address) for name, address in ours.items()}
    for name in ours:
        against = best["admin entries" if name == "year" else "admin parties"]
        print(f"{name:8} {best[name] * 1000:7.1f} ms, {against / best[name]:5.2f} x as fast")
    print(f"queries {few} with 200 parties, {many} with 10,000")
    assert many == few
