"""Told because somebody decided: go, hold, called off, written by hand; kept like all the rest."""

from __future__ import annotations

import datetime
import hashlib
import uuid
from collections.abc import Sequence
from dataclasses import replace

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.actions.fixing import fix_by_hand
from bookings.actions.locks import lock_trips
from bookings.actions.outbox import put_in_outbox, withdraw
from bookings.actions.trips import move_trip_state
from bookings.models import Business, Client, Message, MessageKind, Trip
from bookings.queries.messages import rules, words_of
from bookings.rules.mail import Enclosed
from bookings.rules.states import TripState
from equipment.actions.attachments import redrawn
from guiding.days.models import Decision
from guiding.days.queries.decisions import decision_that_holds
from guiding.desk.actions.invites import tell_calendars
from guiding.desk.actions.writing import (
    choices_for,
    readers,
    to_party,
    trip_sheet_of,
    written_for,
)
from guiding.desk.sheets.files import make_trip_file
from guiding.desk.sheets.gather import TripFile, gather
from guiding.desk.sheets.languages import language_of
from guiding.desk.sheets.messages import (
    formats,
    house_values,
    statement_values,
    trip_values,
    written,
)
from guiding.desk.sheets.statements import account_statement
from guiding.papers.account_statement import account_statement_pdf
from guiding.safety.actions.watch import called_off, set_itself
from guiding.safety.models import Watch

_CONDITIONS = (MessageKind.GO, MessageKind.HOLD)
_NOT_TOLD = (Message.State.WITHDRAWN, Message.State.DEAD)
MOST_PHOTOS = 6
# By hand to every party of a trip; overdue to whoever keeps watch ashore.
BY_HAND = (
    MessageKind.GO,
    MessageKind.HOLD,
    MessageKind.TRIP_SHEET,
    MessageKind.THANKS,
    MessageKind.OVERDUE,
)


@transaction.atomic
def move_and_tell(
    *, trip: Trip, to: TripState, reason: str = "", at: datetime.datetime
) -> tuple[Trip, int]:
    """Confirm, close or call off a trip, and tell every calendar in the same transaction.

    A party that only held places has no entry in its calendar; it is told a call-off as well.
    """
    lock_trips([trip.pk])  # before the parties are read: nobody comes on who is not told
    file = gather(trip.pk, business=Business.objects.get())
    moved = move_trip_state(trip=trip, to=to, reason=reason, at=at)
    if to is TripState.CONFIRMED:
        fix_by_hand(trip=trip)
    if to is TripState.CANCELLED:
        withdraw_waiting(trip)
        called_off(trip=moved, at=at)
    elif to is TripState.CONFIRMED:
        set_itself(trip=moved, at=at)
    count = len(tell_calendars(trip_pk=trip.pk, at=at, by_rule=False))
    if file is not None and to is TripState.CANCELLED:
        told = {row.to_mail.lower() for row in trip.messages.filter(kind=MessageKind.CALL_OFF)}
        for booking in file.bookings:
            mail = booking.party.client.email
            if mail and mail.lower() not in told:
                values = trip_values(file, booking, reason=reason)
                values["choices"] = choices_for(booking, mail, at=at)
                words = written(MessageKind.CALL_OFF, language_of(booking), values)
                cause = f"call_off trip {trip.pk}"
                row = to_party(file, booking, MessageKind.CALL_OFF, cause, words, at)
                count += row is not None
    return moved, count


def withdraw_waiting(trip: Trip) -> None:
    """A go or a hold that has not left yet must not arrive behind what was decided after it."""
    for row in trip.messages.filter(kind__in=_CONDITIONS, state=Message.State.QUEUED):
        withdraw(message=row)


@transaction.atomic
def tell_decision(*, decision: Decision, at: datetime.datetime) -> int:
    """Tell everybody of a trip 'go' or 'hold'; how many mails that were.

    The same word with the same reason for the same hours is told once, however often it is
    decided. Where Setup says by hand, nobody is told.
    """
    kind = MessageKind(decision.verdict)
    file = gather(decision.plan.trip_id, business=Business.objects.get())
    if file is None or not rules()[kind].automatic:
        return 0
    said = hashlib.sha256(decision.reason.strip().encode()).hexdigest()[:12]
    what = f"{kind} {file.trip.sequence} {said}"
    newest = file.trip.messages.filter(kind__in=_CONDITIONS).order_by("-pk").first()
    if newest is not None and newest.cause.endswith(f": {what}"):
        return 0
    withdraw_waiting(file.trip)
    rows = []
    for booking in file.bookings:
        for name, mail, first_name in readers(booking):
            values = trip_values(file, booking, first_name=first_name, reason=decision.reason)
            words = written(kind, language_of(booking), values)
            cause = f"decision {decision.pk}: {what}"
            rows.append(to_party(file, booking, kind, cause, words, at, to=(name, mail)))
    return sum(row is not None for row in rows)


@transaction.atomic
def send_by_hand(
    *,
    trip_pk: int,
    kind: str,
    subject: str,
    body: str,
    reason: str = "",
    catch: str = "",
    photos: Sequence[bytes] = (),
    once: uuid.UUID,
    user: User | None = None,
    at: datetime.datetime,
) -> list[Message]:
    """The same words to every party, each with its own fields; pressed twice, sent once.

    'Overdue' goes to the shore contact of the trip's watch, with the emergency card.
    """
    file = gather(trip_pk, business=Business.objects.get())
    if file is None or kind not in BY_HAND:
        raise ValidationError("There is no such trip, or this kind is not written by hand.")
    if kind == MessageKind.OVERDUE:
        row = _tell_contact(file, subject, body, cause=f"by hand {once}", user=user, at=at)
        return [row] if row else []
    if not file.bookings:
        raise ValidationError("Nobody is booked on this trip.")
    file = _not_told_yet(file, kind, once)
    if words_of(kind, "en").same(subject, body):
        subject = body = ""  # looked at and left alone: each party in its own language
    pictures = _pictures(photos)
    rows = []
    try:
        for booking in file.bookings:
            values = trip_values(file, booking, reason=reason, catch=catch)
            words = written_for(kind, booking.party, values, at=at, subject=subject, body=body)
            papers = trip_sheet_of(file, booking, at=at) if kind == MessageKind.TRIP_SHEET else ()
            rows.append(
                to_party(
                    file,
                    booking,
                    kind,
                    f"by hand {once}",
                    words,
                    at,
                    enclosed=(*papers, *pictures),
                    user=user,
                )
            )
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from None
    return [row for row in rows if row is not None]


def conditions_told(trip: Trip) -> Message | None:
    """The newest go or hold that was told for the trip as it stands, or is on its way."""
    newest = (
        trip.messages.filter(kind__in=_CONDITIONS)
        .exclude(state__in=_NOT_TOLD)
        .order_by("-pk")
        .first()
    )
    return newest if newest and newest.made_at >= trip.changed_at else None


def _not_told_yet(file: TripFile, kind: str, once: uuid.UUID) -> TripFile:
    """The trip with those alone who were not told this go or hold: one message a decision."""
    newest = conditions_told(file.trip) if kind in _CONDITIONS else None
    if newest is None or newest.kind != kind or newest.cause == f"by hand {once}":
        return file
    since = file.trip.changed_at
    decided = decision_that_holds(file.plan) if file.plan else None
    if decided is not None and decided.verdict == kind and not rules()[kind].automatic:
        since = max(since, decided.taken_at)  # told by hand alone: each decision once
    rows = file.trip.messages.filter(kind=kind, made_at__gte=since)
    told = set(rows.exclude(state__in=_NOT_TOLD).values_list("party", flat=True))
    left = tuple(one for one in file.bookings if one.party_id not in told)
    if not left:
        when = formats(file.business, "en").when(newest.made_at)
        raise ValidationError(
            f"'{newest.get_kind_display().split(': ')[1].capitalize()}' has been sent already, "
            f"{when}. Decide anew first where something has changed."
        )
    return replace(file, bookings=left)


def _tell_contact(
    file: TripFile,
    subject: str,
    body: str,
    *,
    cause: str,
    user: User | None,
    at: datetime.datetime,
) -> Message | None:
    watch = Watch.objects.filter(trip=file.trip).first()
    if watch is None:
        raise ValidationError("Nobody watches over this trip: set the watch first.")
    values = trip_values(file, None, first_name=watch.contact_name.split(" ")[0])
    values["overdue_time"] = formats(file.business, "en").when(watch.overdue_at)
    printed_at = at.replace(second=0, microsecond=0)
    try:
        words = written(MessageKind.OVERDUE, "en", values, subject, body)
        card = make_trip_file("card-sheet.pdf", file, printed_at=printed_at)
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from None
    return put_in_outbox(
        kind=MessageKind.OVERDUE,
        cause=cause,
        to_name=watch.contact_name,
        to_mail=watch.contact_mail,
        subject=words.subject,
        body=words.body,
        trip=file.trip,
        enclosed=(Enclosed("emergency-card.pdf", "application/pdf", card),),
        user=user,
        at=at,
    )


def _pictures(photos: Sequence[bytes]) -> tuple[Enclosed, ...]:
    """Photographs drawn anew: without the place, the time and the camera they came with."""
    if len(photos) > MOST_PHOTOS:
        raise ValidationError({"photos": f"A mail takes {MOST_PHOTOS} pictures at most."})
    drawn = []
    for number, content in enumerate(photos, start=1):
        try:
            picture, _width, _height = redrawn(content)
        except ValidationError as refusal:
            raise ValidationError(
                {"photos": f"Picture {number}: {' '.join(refusal.messages)}"}
            ) from None
        drawn.append(Enclosed(f"photo-{number}.jpg", "image/jpeg", picture))
    return tuple(drawn)


@transaction.atomic
def send_statement(
    *,
    client: Client,
    subject: str = "",
    body: str = "",
    once: uuid.UUID,
    user: User | None = None,
    at: datetime.datetime,
) -> Message | None:
    """A client's statement of account with its paper; None where it went out already."""
    business = Business.objects.get()
    party = client.parties.order_by("-asked_at", "-pk").first()
    if party is None or not client.email:
        raise ValidationError(f"{client} has no mail address.")
    if words_of(MessageKind.STATEMENT, "en").same(subject, body):
        subject = body = ""
    try:
        statement = account_statement(client, business=business, printed_at=at)
        values = statement_values(statement, client, business)
        words = written_for(MessageKind.STATEMENT, party, values, at=at, subject=subject, body=body)
        paper = account_statement_pdf(statement)
    except ValueError as refusal:
        raise ValidationError(str(refusal)) from None
    return put_in_outbox(
        kind=MessageKind.STATEMENT,
        cause=f"by hand {once}",
        to_name=str(client),
        to_mail=client.email,
        subject=words.subject,
        body=words.body,
        party=party,
        enclosed=(Enclosed("statement.pdf", "application/pdf", paper),),
        user=user,
        at=at,
    )


def send_test_mail(*, address: str, at: datetime.datetime) -> Message:
    """A mail that tells whether the settings work; every press writes a new one."""
    business = Business.objects.get()
    words = written(MessageKind.TEST, "en", house_values(business, business.guide_name))
    row = put_in_outbox(
        kind=MessageKind.TEST,
        cause=f"test {uuid.uuid4()}",
        to_mail=address,
        subject=words.subject,
        body=words.body,
        at=at,
    )
    if row is None:
        raise ValidationError("This mail was written already.")
    return row
