"""Signing is found where a guide looks: on Today, on the trip's page, in Setup."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import Group
from django.test import Client
from django.urls import reverse

from bookings.actions.health import set_guides
from bookings.models import Trip
from bookings.queries.signatures import outstanding
from guiding.desk.actions.first_run import make_roles
from tests.bookings.reading import in_one_line
from tests.factories import NOON, UserFactory
from tests.factories_signing import CHILD, booked_trip, on_board, signed

pytestmark = pytest.mark.django_db

TEXTS = ("text_list", "signing_setup", "chain_check")
KEPT = ("rights", "retention")


@pytest.fixture
def trip() -> Trip:
    """Maeve has signed; Tomas and little Finn, for whom she signs, have not."""
    trip = booked_trip(heads=3)
    maeve = on_board(trip, "Maeve", family_name="Skerry")
    on_board(trip, "Tomas", family_name="Seabright")
    on_board(trip, "Finn", family_name="Skerry", born_on=CHILD, guardian=maeve)
    signed(trip, maeve)
    return trip


def as_(name: str, **fields: Any) -> Client:
    make_roles()
    user = UserFactory(username=name, email=f"{name}@example.org", **fields)
    if not fields:
        user.groups.add(Group.objects.get(name=name))
    client = Client()
    client.force_login(user)
    return client


def page_of(client: Client, name: str, *args: object) -> str:
    with time_machine.travel(NOON, tick=False):
        answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200
    return in_one_line(answer.content.decode())


TALLY = "1 of 3 have signed; missing: Tomas Seabright, Finn Skerry (Maeve Skerry signs)"


def test_the_tally_names_who_is_missing_and_who_signs_for_them(trip: Trip) -> None:
    stand = outstanding(trip, at=NOON)
    assert stand.tally == TALLY
    assert stand.short == (TALLY,)


def test_a_child_without_a_guardian_is_told_apart() -> None:
    trip = booked_trip(heads=2)
    on_board(trip, "Finn", family_name="Skerry", born_on=CHILD)
    stand = outstanding(trip, at=NOON)
    assert stand.tally == "0 of 1 have signed; missing: Finn Skerry (no guardian)"
    assert stand.short[-2:] == (
        f"{trip.bookings.get().party.client}: 1 of 2 not named",
        stand.tally,
    )


def test_while_no_text_is_out_nobody_counts_as_having_signed() -> None:
    trip = booked_trip(heads=1, texts=False)
    on_board(trip, "Maeve")
    stand = outstanding(trip, at=NOON)
    assert stand.tally == ""
    assert stand.short == ("No risk acknowledgement is published: publish one in Setup",)


def test_when_all_have_signed_nothing_is_missing(trip: Trip) -> None:
    _maeve, tomas, finn = trip.bookings.get().party.participants.order_by("pk")
    signed(trip, tomas)
    state = outstanding(trip, at=NOON).of(finn.pk)
    assert state is not None
    signed(trip, finn, signer=state.signers[0])
    stand = outstanding(trip, at=NOON)
    assert (stand.tally, stand.short) == ("3 of 3 have signed", ())


def test_the_trips_page_tells_and_leads_on(trip: Trip) -> None:
    page = page_of(as_("orla", is_superuser=True), "trip", trip.pk)
    assert f"{TALLY}." in page
    for name in ("trip_signing", "meeting", "health"):
        assert f'href="{reverse(name, args=[trip.pk])}"' in page


def test_who_may_not_collect_reads_the_tally_without_the_doors(trip: Trip) -> None:
    page = page_of(as_("helper"), "trip", trip.pk)
    assert TALLY in page
    for name in ("trip_signing", "meeting", "health"):
        assert reverse(name, args=[trip.pk]) not in page


def test_a_helper_named_as_guide_gets_the_doors(trip: Trip) -> None:
    helper = as_("helper")
    set_guides(trip=trip, users=[Group.objects.get(name="helper").user_set.get()])
    page = page_of(helper, "trip", trip.pk)
    for name in ("trip_signing", "meeting", "health"):
        assert f'href="{reverse(name, args=[trip.pk])}"' in page


def test_today_tells_it_for_the_fortnight_ahead(trip: Trip) -> None:
    assert trip.starts_at - NOON < datetime.timedelta(days=14)
    page = page_of(as_("orla", is_superuser=True), "today")
    assert TALLY in page


def test_setup_leads_the_owner_to_all_of_it(trip: Trip) -> None:
    page = page_of(as_("orla", is_superuser=True), "setup")
    for name in (*TEXTS, *KEPT):
        assert f'href="{reverse(name)}"' in page


def test_setup_shows_nobody_a_door_that_is_shut_to_them(trip: Trip) -> None:
    client = as_("bookkeeper")
    page = page_of(client, "setup")
    for name in (*TEXTS, *KEPT):
        shown = f'href="{reverse(name)}"' in page
        with time_machine.travel(NOON, tick=False):
            opens = client.get(reverse(name)).status_code == 200
        assert shown == opens, name
