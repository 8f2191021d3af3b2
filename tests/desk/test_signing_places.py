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
from bookings.actions.signing_links import make_link
from bookings.models import TextVersion, Trip
from bookings.queries.signatures import outstanding
from bookings.queries.signers import of_person
from guiding.desk.actions.first_run import make_roles
from tests.bookings.reading import in_one_line
from tests.factories import NOON, UserFactory
from tests.factories_signing import CHILD, booked_trip, on_board, published, signed

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


GREEN = "tone-good"


@pytest.mark.parametrize("out", [(), ("terms",), ("risks",)])
@time_machine.travel(NOON, tick=False)
def test_what_nobody_can_have_signed_is_nowhere_green(desk: Client, out: tuple[str, ...]) -> None:
    """Without the text of the risks, or of a guardian for a minor, nobody is known to sign."""
    trip = booked_trip(texts=False)
    published(NOON - datetime.timedelta(days=1))
    TextVersion.objects.exclude(kind__in=out).delete()
    maeve = on_board(trip, "Maeve")
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
    for person in (maeve, finn):
        state = outstanding(trip, at=NOON).of(person.pk)
        if state and state.kinds:
            signed(trip, person, signer=of_person(maeve))
    stand = outstanding(trip, at=NOON)
    assert not stand.ready
    assert stand.tally == ""
    child = stand.of(finn.pk)
    assert child
    assert child.signed is None
    for page in (f"/trips/{trip.pk}/signing/", f"/trips/{trip.pk}/meeting/"):
        html = desk.get(page).content.decode()
        assert "not ready" in html
        assert "Everybody has signed" not in html
        assert html.count(GREEN) == (1 if out == ("risks",) and "signing" in page else 0)
    html = desk.get(f"/trips/{trip.pk}/").content.decode()
    row = html[html.index(">Finn") :].split("</tr>")[0]
    assert GREEN not in row
    assert "no text to sign" in row
    _, token = make_link(signer=of_person(maeve), trip=trip, at=NOON)
    html = in_one_line(desk.get(f"/sign/{token}/").content.decode())
    assert "Everything is signed" not in html
    assert "The text to sign is not ready yet." in html
    row = html[html.index("<strong>Finn") :].split("</li>")[0]
    assert GREEN not in row


def test_a_trip_with_nobody_on_it_is_not_ready(desk: Client) -> None:
    trip = booked_trip(heads=1)
    trip.bookings.all().delete()
    assert not outstanding(trip, at=NOON).ready
    assert GREEN not in desk.get(f"/trips/{trip.pk}/signing/").content.decode()
