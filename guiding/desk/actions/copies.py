"""The copy that a signer asked for: a signed form for each text, in one mail, once."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence

from bookings.actions.outbox import put_in_outbox
from bookings.models import Business, Message, MessageKind, OwedCopy
from bookings.queries.records import record_of
from bookings.rules.mail import Enclosed
from guiding.desk.queries.due_messages import Due
from guiding.desk.sheets.languages import LOCALES
from guiding.desk.sheets.messages import Written, formats, house_values, written
from guiding.desk.sheets.signed import proof_address, signed_form_file


def write_copies(due: Due, at: datetime.datetime) -> Iterator[Message | None]:
    """The mail of one form. The owed copies are ticked off with it, in one transaction.

    ValueError when a record was erased or changed: then there is nothing that could be a copy.
    """
    copies, business = due.copies, Business.objects.get()
    first = copies[0]
    words = _words(copies, business)
    person = first.signature.participant
    yield put_in_outbox(
        kind=MessageKind.COPY,
        cause=due.cause,
        to_name=_facts(first)["signer_name"],
        to_mail=first.to,
        subject=words.subject,
        body=words.body,
        party=person.party if person else None,
        trip=first.signature.trip,
        enclosed=[_form(copy, business, at) for copy in copies],
        by_rule=True,
        at=at,
    )
    OwedCopy.objects.filter(pk__in=[copy.pk for copy in copies]).update(sent_at=at)


def _facts(copy: OwedCopy) -> dict[str, str]:
    return record_of(copy.signature).facts


def _words(copies: Sequence[OwedCopy], business: Business) -> Written:
    """Said in the language of the texts that were signed."""
    first = copies[0]
    facts, trip = _facts(first), first.signature.trip
    language = first.language if first.language in LOCALES else "en"
    shape = formats(business, language)
    values = house_values(business, facts["signer_name"]) | {
        "trip": trip.offer.name,
        "day": shape.day(shape.local(trip.starts_at).date()),
        "signed_for": facts["signed_for"],
        "copies": "\n".join(f"- {copy.signature.text.title}" for copy in copies),
    }
    return written(MessageKind.COPY, language, values)


def _form(copy: OwedCopy, business: Business, at: datetime.datetime) -> Enclosed:
    signature = copy.signature
    content = signed_form_file(
        signature,
        business=business,
        printed_at=at.replace(second=0, microsecond=0),
        proof=proof_address(signature),
    )
    return Enclosed(f"record-{signature.pk}-{signature.text.kind}.pdf", "application/pdf", content)
