"""People who sign, made by the actions: a trip with texts out, a party named, forms filled in."""

from __future__ import annotations

import datetime
import json
import math
import uuid
from typing import Any

from bookings.actions.handed_in import Circumstances, FormSigned, by_link
from bookings.actions.health import HealthAnswers
from bookings.actions.signatures import sign
from bookings.actions.signing_links import make_link
from bookings.actions.texts import publish_starting_texts
from bookings.models import Booking, Participant, Signature, SigningLink, TextVersion, Trip
from bookings.queries.signatures import outstanding
from bookings.queries.signers import Signer, of_person
from bookings.queries.texts import texts_in
from tests.factories import (
    NOON,
    BookingFactory,
    BusinessFactory,
    OfferFactory,
    ParticipantFactory,
    PartyFactory,
    TripFactory,
)

GROWN = datetime.date(1985, 4, 3)
CHILD = datetime.date(2016, 9, 20)
DAY = datetime.date(2026, 6, 13)
SECRET_WORDS = "ZANZIBAR-NUTS-9041"
WELL = HealthAnswers(allergy=False, medicine=False, swims=True)
ALLERGIC = HealthAnswers(
    allergy=True,
    allergy_note=f"{SECRET_WORDS}, even a trace",
    injector=True,
    medicine=True,
    medicine_note=f"{SECRET_WORDS} tablets at noon",
    swims=False,
    more=f"{SECRET_WORDS} more",
    kin_name=f"{SECRET_WORDS} kin",
    kin_phone="+353 1 555 0199",
)


def loop(points: int = 60) -> str:
    """A drawn signature as the page sends it: two strokes, whole numbers."""
    first = [
        [round(5000 + 3000 * math.cos(n / 8)), round(5000 + 3500 * math.sin(n / 5))]
        for n in range(points)
    ]
    return json.dumps([first, [[1000, 8000], [9000, 8200]]])


def published(at: datetime.datetime = NOON) -> list[TextVersion]:
    """The shipped texts, out in both languages."""
    BusinessFactory()
    return publish_starting_texts(checked_by="nobody: a test", at=at)


def booked_trip(*, heads: int = 2, texts: bool = True, **trip: Any) -> Trip:
    """A trip on 13 June 2026 with one confirmed party, nobody named yet."""
    BusinessFactory()
    if texts and not TextVersion.objects.exists():
        published(NOON - datetime.timedelta(days=1))
    offer = trip.pop("offer", None) or OfferFactory(places=max(heads, 4), heads_per_guide=6)
    trip = {"places": max(heads, 4), "places_taken": heads} | trip
    made: Trip = TripFactory(offer=offer, **trip)
    BookingFactory(party=PartyFactory(offer=offer, heads=heads), trip=made, heads=heads)
    return made


def on_board(trip: Trip, given_name: str, **fields: Any) -> Participant:
    """A person of the trip's first party, of age unless told otherwise."""
    booking = Booking.objects.filter(trip=trip).order_by("pk").first()
    assert booking is not None
    fields.setdefault("born_on", GROWN)
    person: Participant = ParticipantFactory(party=booking.party, given_name=given_name, **fields)
    return person


def form_of(person: object, **changes: Any) -> FormSigned:
    """A form filled in rightly; for a minor with the guardian's part."""
    fields: dict[str, Any] = {
        "signer_name": str(person),
        "once": str(uuid.uuid4()),
        "agrees": True,
        "intent": "I have read this and sign it.",
        "drawn": loop(),
        "photos": "yes",
        "health": WELL,
    }
    return FormSigned(**(fields | changes))


def guardian_form(name: str, **changes: Any) -> FormSigned:
    return form_of(
        name,
        **{
            "relation": "mother",
            "contact_phone": "+353 1 555 0123",
            "responsible_name": "Aunt Sandra",
        }
        | changes,
    )


def link_of(
    signer: Signer, trip: Trip, at: datetime.datetime = NOON, **more: Any
) -> tuple[SigningLink, str]:
    return make_link(signer=signer, trip=trip, at=at, **more)


def signed(
    trip: Trip,
    person: Participant,
    *,
    signer: Signer | None = None,
    form: FormSigned | None = None,
    kinds: tuple[str, ...] = (),
    how: Circumstances | None = None,
    language: str = "en",
    at: datetime.datetime = NOON,
) -> list[Signature]:
    """Everything that is outstanding for a person, signed on their own link."""
    signer = signer or of_person(person)
    state = outstanding(trip, at=at).of(person.pk)
    assert state is not None
    texts = texts_in(language, kinds or state.kinds, at=at)
    link, _ = make_link(signer=signer, trip=trip, at=at)
    fill = guardian_form if state.minor else form_of
    return sign(
        trip=trip,
        person=person,
        signer=signer,
        texts=list(texts.values()),
        form=form or fill(signer.name),
        how=how or by_link(link, address="192.0.2.77", agent="A browser/1.0"),
        link=link,
        at=at,
    )
