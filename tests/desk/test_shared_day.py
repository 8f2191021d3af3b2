"""Two parties on one day: nothing that the one reads is made from what we know of the other."""

from __future__ import annotations

import datetime
import email
import email.policy
import html
import uuid
from collections.abc import Iterator

import pytest
import time_machine
from django.core.cache import cache
from django.test import Client as Browser
from django.urls import reverse

from bookings.actions.party_links import make_party_link
from bookings.actions.signing_links import ask_to_sign
from bookings.models import Booking, Business, Message, MessageKind, Party, Trip, TripAttendee
from bookings.queries.health import health_facts
from bookings.rules.states import TripState
from guiding.desk.actions.invites import tell_calendars
from guiding.desk.actions.messages import write_due
from guiding.desk.actions.telling import move_and_tell, send_by_hand
from guiding.desk.queries.due_messages import Due
from guiding.desk.sheets.answers import answer_token
from guiding.desk.sheets.files import make_trip_file, papers_of_trip
from guiding.desk.sheets.gather import TripFile, gather
from guiding.safety.actions.assessment import choose_hazard
from guiding.safety.actions.library import load_library
from guiding.safety.models import Hazard
from tests.factories import NOON, BookingFactory, ParticipantFactory, PartyFactory, UserFactory
from tests.factories_days import CatchFactory, DayPlanFactory
from tests.factories_signing import (
    ALLERGIC,
    CHILD,
    GROWN,
    SECRET_WORDS,
    booked_trip,
    form_of,
    signed,
)
from tests.papers import reading

pytestmark = pytest.mark.django_db

# Of the family alone: who they are, how to reach them, what they declared, how many they are.
FAMILY = (
    *("Moira", "Whelkan", "moira@", "555 0171", "5550171"),
    *("Fintan", "fintan@", "Bridgeen", "bridgeen@", "Oisin", "Peigi", SECRET_WORDS),
    *("severe allergy", "injectors", "does not swim", "known condition", "child out of sight"),
    *("no guardian", "allergy declared", "under 18", "who do not swim", "condition declared"),
    *("bees and wasps", "61 cm"),
)
COUPLE = ("Anton", "Sandgrube", "anton@", "555 0199", "5550199", "Dagmar", "dagmar@", "44 cm")


@pytest.fixture(autouse=True)
def at_noon() -> Iterator[None]:
    cache.clear()
    with time_machine.travel(NOON, tick=False):
        yield


@pytest.fixture
def trip() -> Trip:
    """A day of two parties: a family with somebody of every kind, and a couple."""
    load_library()
    trip = booked_trip(heads=6, places=8, places_taken=8, status="confirmed")
    family = Party.objects.get(bookings__trip=trip)
    family.client.given_name, family.client.family_name = "Moira", "Whelkan"
    family.client.email, family.client.phone = "moira@example.org", "+35315550171"
    family.client.save()
    person = {"party": family, "family_name": "Whelkan"}
    fintan = ParticipantFactory(given_name="Fintan", email="fintan@x.org", born_on=GROWN, **person)
    bridgeen = ParticipantFactory(
        given_name="Bridgeen", email="bridgeen@x.org", born_on=GROWN, swims="no", **person
    )
    ParticipantFactory(given_name="Oisin", born_on=CHILD, guardian=bridgeen, **person)
    ParticipantFactory(given_name="Peigi", born_on=CHILD, **person)
    signed(trip, fintan, form=form_of(fintan, health=ALLERGIC))
    couple = PartyFactory(
        heads=2,
        client__given_name="Anton",
        client__family_name="Sandgrube",
        client__email="anton@example.org",
        client__phone="+35315550199",
        offer=trip.offer,
    )
    BookingFactory(party=couple, trip=trip)
    dagmar = ParticipantFactory(
        party=couple, given_name="Dagmar", email="dagmar@x.org", born_on=GROWN
    )
    DayPlanFactory(trip=trip)
    CatchFactory(trip=trip, person=fintan, length_mm=610)
    CatchFactory(trip=trip, person=dagmar, length_mm=440)
    for hazard in Hazard.objects.filter(key__in=["allergy", "alcohol"]):
        choose_hazard(
            trip=trip, hazard=hazard, take=True, reason="bees and wasps", by=UserFactory()
        )
    return trip


def _file(trip: Trip) -> TripFile:
    file = gather(trip.pk, business=Business.objects.get())
    assert file is not None
    return file


def _told(trip: Trip) -> None:
    """Everything that a party is sent of a day, from the yes to the call-off."""
    tell_calendars(trip_pk=trip.pk, at=NOON)
    for booking in Booking.objects.filter(trip=trip):
        for kind in (MessageKind.FORMS, MessageKind.TRIP_SHEET):
            write_due(
                Due(
                    kind=kind,
                    event_at=trip.starts_at,
                    send_at=NOON,
                    cause=f"{kind} {booking.pk}",
                    what="a test",
                    trip_pk=trip.pk,
                    booking_pk=booking.pk,
                ),
                at=NOON,
            )
    for kind in (MessageKind.GO, MessageKind.HOLD, MessageKind.TRIP_SHEET, MessageKind.THANKS):
        send_by_hand(trip_pk=trip.pk, kind=kind, subject="", body="", once=uuid.uuid4(), at=NOON)
    later = NOON + datetime.timedelta(hours=1)
    move_and_tell(trip=trip, to=TripState.CANCELLED, reason="Swell of 3 m.", at=later)


def _read(content: bytes, kind: str) -> str:
    if kind == "application/pdf":
        return reading.text(content) + str(reading.facts(content))
    return content.decode().replace("\r\n ", "")


def _whole_mail(row: Message) -> str:
    """A mail as its reader has it: head, words and what is enclosed, papers read back."""
    mail = email.message_from_bytes(bytes(row.mail), policy=email.policy.default)
    parts = [str(mail.items())]
    for part in mail.walk():
        if not part.is_multipart():
            content = part.get_payload(decode=True)
            assert isinstance(content, bytes)
            parts.append(_read(content, part.get_content_type()))
    return "\n".join(parts)


def _pages(trip: Trip, party: Party, browser: Browser) -> Iterator[tuple[str, str]]:
    """Every page and file behind a private link of the party's."""
    booking = party.bookings.get(trip=trip)
    own = make_party_link(party=party, at=NOON)
    addresses = [reverse("client", args=[own])]
    addresses += [
        reverse("client_file", args=[own, booking.pk, name])
        for name in ("trip-sheet.pdf", "invite.ics")
    ]
    addresses += [
        reverse("sign_start", args=[one.token])
        for one in ask_to_sign(trip=trip, at=NOON)
        if one.signer.name in {str(person) for person in party.participants.all()}
    ]
    addresses += [
        reverse("invite_answer", args=[answer_token(one)])
        for one in TripAttendee.objects.filter(booking=booking, removed_at=None)
    ]
    assert len(addresses) >= 4
    for address in addresses:
        answer = browser.get(address)
        assert answer.status_code == 200, address
        kind = answer.headers["Content-Type"].split(";")[0]
        yield address, html.unescape(_read(answer.content, kind))


def _facts_in(words: str, facts: tuple[str, ...]) -> list[str]:
    return [fact for fact in facts if fact.lower() in words.lower()]


def test_a_party_reads_nothing_of_the_other_on_any_page_file_or_mail(
    trip: Trip, client: Browser
) -> None:
    found: dict[str, list[str]] = {}
    couple = Party.objects.get(client__given_name="Anton")
    family = Party.objects.get(client__given_name="Moira")
    tell_calendars(trip_pk=trip.pk, at=NOON)
    for party, others in ((couple, FAMILY), (family, COUPLE)):
        for where, words in _pages(trip, party, client):
            found[where] = _facts_in(words, others)
    handed = _read(make_trip_file("invite.ics", _file(trip), printed_at=NOON), "text/calendar")
    found["invite.ics"] = _facts_in(handed, FAMILY + COUPLE)
    _told(trip)
    for row in Message.objects.filter(trip=trip):
        others = FAMILY if row.party_id == couple.pk else COUPLE
        found[f"{row} {row.pk}"] = _facts_in(_whole_mail(row), others)
    kinds = set(Message.objects.filter(party=couple).values_list("kind", flat=True))
    assert kinds >= {"confirmation", "forms", "trip_sheet", "go", "hold", "thanks", "call_off"}
    assert {where: facts for where, facts in found.items() if facts} == {}


def test_each_party_has_a_sheet_of_its_own_at_the_desk(trip: Trip) -> None:
    file, found = _file(trip), {}
    for party in file.parties:
        others = FAMILY if party.client.given_name == "Anton" else COUPLE
        name = f"trip-sheet-of-{party.pk}.pdf"
        assert name in papers_of_trip(file)
        found[name] = _facts_in(reading.text(make_trip_file(name, file, printed_at=NOON)), others)
    assert [facts for facts in found.values() if facts] == []
    assert len(found) == 2


def test_a_partys_own_sheet_says_what_we_do_and_never_of_whom(trip: Trip) -> None:
    family = Party.objects.get(client__given_name="Moira")
    assert health_facts(trip).allergies == 1
    assert health_facts(trip, party=family.pk).allergies == 1
    assert health_facts(trip, party=family.pk + 1).allergies == 0
    name = f"trip-sheet-of-{family.pk}.pdf"
    words = reading.text(make_trip_file(name, _file(trip), printed_at=NOON))
    assert "Two injectors on the person" in words
    assert "A vest that fits is found for each" in words
    for count in ("declared", "1 who", "2 under 18", "1 under 18", SECRET_WORDS):
        assert count not in words, count
    assert "Oisin: Bridgeen" in words


def test_the_guides_own_papers_count_everybody(trip: Trip) -> None:
    words = reading.text(make_trip_file("briefing.pdf", _file(trip), printed_at=NOON))
    assert "1 with an allergy declared" in words
    assert "2 under 18" in words


def test_a_shared_day_has_no_sheet_for_all(trip: Trip, desk: Browser) -> None:
    with pytest.raises(ValueError, match="each has a trip sheet of its own"):
        make_trip_file("trip-sheet.pdf", _file(trip), printed_at=NOON)
    page = desk.get(reverse("trip", args=[trip.pk])).content.decode()
    assert "Trip sheet, for Moira Whelkan (PDF)" in page
    assert "Trip sheet, for the clients" not in page
    assert desk.get(f"/trips/{trip.pk}/papers/trip-sheet-of-999999.pdf").status_code == 404
