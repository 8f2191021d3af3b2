"""What every message to a party has in common: who reads it, its links, and the outbox."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping

from django.conf import settings
from django.contrib.auth.models import User
from django.urls import reverse

from bookings.actions.outbox import put_in_outbox
from bookings.actions.party_links import make_party_link
from bookings.models import Booking, Message, Party
from bookings.queries.messages import words_of
from bookings.rules.mail import Enclosed
from guiding.desk.sheets.files import make_trip_file
from guiding.desk.sheets.gather import TripFile
from guiding.desk.sheets.languages import language_of, language_of_client
from guiding.desk.sheets.messages import Written, choices_words, written

PDF = "application/pdf"


def own_page(party: Party, *, at: datetime.datetime) -> str:
    """A new private address of a party's own page; it goes to the one who booked and nobody else.

    Links that were sent before stay open.
    """
    return settings.PUBLIC_URL + reverse("client", args=[make_party_link(party=party, at=at)])


def written_for(
    kind: str,
    party: Party,
    values: Mapping[str, str],
    *,
    at: datetime.datetime,
    subject: str = "",
    body: str = "",
) -> Written:
    """Words for the one who booked; a link to their own page is made only where one is named."""
    language = language_of_client(party.client)
    words = words_of(kind, language)
    if "{page}" in (subject or words.subject) + (body or words.body):
        values = {**values, "page": own_page(party, at=at)}
    return written(kind, language, values, subject, body)


def choices_for(booking: Booking, mail: str, *, at: datetime.datetime) -> str:
    """What somebody may choose whose day is called off; only who booked gets the link to do it."""
    client = booking.party.client
    booked = mail.lower() == client.email.lower()
    page = own_page(booking.party, at=at) if booked else ""
    return choices_words(language_of_client(client), page)


def readers(booking: Booking) -> Iterator[tuple[str, str, str]]:
    """Name, address and given name of the booker and of each person with an address, once."""
    client = booking.party.client
    people = [(str(client), client.email, client.given_name)]
    people += [(str(one), one.email, one.given_name) for one in booking.party.participants.all()]
    seen = {""}
    for name, mail, first_name in people:
        if mail.lower() not in seen:
            seen.add(mail.lower())
            yield name, mail, first_name


def trip_sheet_of(
    file: TripFile, booking: Booking, *, at: datetime.datetime
) -> tuple[Enclosed, ...]:
    """A party's own trip sheet in its own language, with the child's page where minors come."""
    own, papers = file.of_party(booking.party_id), []
    names = ["trip-sheet.pdf"]
    if own.minors or booking.party.minors:
        names.append("child-page.pdf")
    for name in names:
        content = make_trip_file(
            name,
            own,
            printed_at=at.replace(second=0, microsecond=0),
            language=language_of(booking),
        )
        papers.append(Enclosed(name, PDF, content))
    return tuple(papers)


def to_party(
    file: TripFile,
    booking: Booking,
    kind: str,
    cause: str,
    words: Written,
    at: datetime.datetime,
    *,
    to: tuple[str, str] | None = None,
    enclosed: tuple[Enclosed, ...] = (),
    due_at: datetime.datetime | None = None,
    user: User | None = None,
) -> Message | None:
    """Into the outbox, for the one who booked or for `to`; None where they were told before."""
    client = booking.party.client
    name, mail = to or (str(client), client.email)
    if not mail:
        raise ValueError(f"{client} has no mail address.")
    return put_in_outbox(
        kind=kind,
        cause=cause,
        to_name=name,
        to_mail=mail,
        subject=words.subject,
        body=words.body,
        party=booking.party,
        trip=file.trip,
        enclosed=enclosed,
        due_at=due_at,
        by_rule=user is None,
        user=user,
        at=at,
    )
