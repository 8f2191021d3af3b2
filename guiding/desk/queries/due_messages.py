"""What should be told now: worked out from the tables, so that nothing can be forgotten."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from bookings.models import (
    Booking,
    Business,
    Message,
    MessageKind,
    OwedCopy,
    Participant,
    Quote,
    Trip,
    TripAttendee,
)
from bookings.queries.late import Told, maybe_late, reminder_cause, told_about, told_since
from bookings.queries.messages import When, quiet_hours, rules
from bookings.queries.quotes import open_quotes
from bookings.queries.records import owed_copies
from bookings.queries.signatures import outstanding_of
from bookings.rules.messages import Quiet, after_quiet, before_event, next_reminder
from bookings.sheets.accounts import accounts_of
from bookings.sheets.late import LateMoney, late_money, perhaps_here

_HOUR = datetime.timedelta(hours=1)
_SOON_H = 365 * 24  # due already: as soon as nobody sleeps, yet before the event
# What is older was told in another way: a rule switched on late writes to nobody about last year.
_STALE = datetime.timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Due:
    """One thing to tell: why, since when it is due, and when it may go out."""

    kind: str
    cause: str
    what: str
    event_at: datetime.datetime
    send_at: datetime.datetime
    trip_pk: int | None = None
    booking_pk: int | None = None
    quote: Quote | None = None
    copies: tuple[OwedCopy, ...] = ()


def due_messages(*, at: datetime.datetime) -> list[Due]:
    """Everything that the rules want told by `at` and nobody was told yet, soonest event first.

    A constant number of queries beside the outstanding forms, which are asked for together.
    """
    on, quiet = rules(), quiet_hours()
    found = [
        *_calendars(at, quiet, on),
        *_price_notes(at, quiet, on["price_note"]),
        *_forms(at, quiet, on["forms"]),
        *_copies(at),
        *_balances(at, quiet, on["balance"]),
        *_reminders(at, quiet, on["reminder"]),
        *_trip_sheets(at, quiet, on["trip_sheet"]),
        *_thanks(at, quiet, on["thanks"]),
    ]
    told = set(
        Message.objects.filter(cause__in=[one.cause for one in found if one.cause]).values_list(
            "cause", flat=True
        )
    )
    fresh = [one for one in found if one.cause not in told]
    return sorted(fresh, key=lambda one: (one.event_at, one.cause))


def due_reminder(booking_pk: int, *, at: datetime.datetime) -> Due | None:
    """The reminder that the rules want sent now about one booking."""
    return next(_reminders(at, quiet_hours(), rules()["reminder"], only=booking_pk), None)


def _ahead(at: datetime.datetime, hours: int) -> QuerySet[Trip]:
    """Confirmed trips that begin within so many hours, with their confirmed bookings."""
    booked = Booking.objects.filter(status=Booking.Status.CONFIRMED).select_related("party__client")
    return (
        Trip.objects.filter(
            status=Trip.Status.CONFIRMED, starts_at__gt=at, starts_at__lte=at + hours * _HOUR
        )
        .select_related("offer", "plan")
        .prefetch_related(Prefetch("bookings", booked, to_attr="booked"))
    )


def _calendars(at: datetime.datetime, quiet: Quiet, on: dict[str, When]) -> Iterator[Due]:
    """Trips whose calendars are out of step: never told, moved, called off, or another party."""
    if not on["confirmation"].automatic:
        return
    theirs = Booking.objects.filter(status=Booking.Status.CONFIRMED, awaits_deposit=False)
    people = theirs.select_related("party__client")
    trips = (
        Trip.objects.filter(
            ends_at__gt=at, status__in=[Trip.Status.CONFIRMED, Trip.Status.CANCELLED]
        )
        .select_related("offer", "invite")
        .prefetch_related(
            Prefetch(
                "bookings",
                people.prefetch_related(Prefetch("party__participants", Participant.objects.all())),
                to_attr="booked",
            ),
            Prefetch(
                "attendees", TripAttendee.objects.filter(removed_at=None), to_attr="still_told"
            ),
        )
    )
    for trip in trips:
        if _in_step(trip):
            continue
        yield Due(
            kind=MessageKind.CONFIRMATION,
            cause="",  # each mail has its own: the version of the event
            what=f"invitation to {trip}",
            event_at=trip.starts_at,
            send_at=after_quiet(at, quiet),
            trip_pk=trip.pk,
        )


def _in_step(trip: Trip) -> bool:
    told = {one.mail.lower() for one in trip.still_told}  # type: ignore[attr-defined]
    if trip.status == Trip.Status.CANCELLED:
        return not told
    mails = set()
    for booking in trip.booked:  # type: ignore[attr-defined]
        mails |= {booking.party.client.email.lower()}
        mails |= {one.email.lower() for one in booking.party.participants.all()}
    invite = getattr(trip, "invite", None)
    return mails - {""} == told and (invite is None or trip.changed_at <= invite.told_at)


def _price_notes(at: datetime.datetime, quiet: Quiet, on: When) -> Iterator[Due]:
    if not on.automatic:
        return
    quotes = open_quotes(at=at).filter(sent_at__gt=at - _STALE).select_related("party__client")
    mailed = set(
        Message.objects.filter(
            kind=MessageKind.PRICE_NOTE, cause__contains=" by hand ", made_at__gt=at - _STALE
        ).values_list("cause", flat=True)
    )
    by_hand = {cause.split(" by hand ")[0] for cause in mailed}
    for quote in quotes:
        if f"price_note {quote.pk}" in by_hand:
            continue
        yield Due(
            kind=MessageKind.PRICE_NOTE,
            cause=f"price_note {quote.pk}",
            what=f"price note of {quote.party.client}",
            event_at=quote.sent_at or at,
            send_at=at,
            quote=quote,
        )


def _forms(at: datetime.datetime, quiet: Quiet, on: When) -> Iterator[Due]:
    if not on.automatic:
        return
    trips = list(_ahead(at, on.hours))
    lacks = outstanding_of(trips, at=at) if trips else {}
    for trip in trips:
        for pk in sorted({state.booking.pk for state in lacks[trip.pk].missing}):
            booking = next((one for one in trip.booked if one.pk == pk), None)  # type: ignore[attr-defined]
            if booking is not None:
                yield _of_booking(MessageKind.FORMS, trip, booking, trip.starts_at, at, quiet)


def _copies(at: datetime.datetime) -> Iterator[Due]:
    """What was just signed, to whoever asked for a copy; no rule switches that off."""
    for form in owed_copies():
        first = form[0]
        yield Due(
            kind=MessageKind.COPY,
            cause=f"copy record {first.signature_id}",
            what=f"copy of record {first.signature_id} to {first.to}",
            event_at=first.owed_since,
            send_at=at,
            trip_pk=first.signature.trip_id,
            copies=tuple(form),
        )


def _balances(at: datetime.datetime, quiet: Quiet, on: When) -> Iterator[Due]:
    """Before the next sum is due; of trips still ahead, for what is not paid."""
    if not on.automatic:
        return
    business = Business.objects.get()
    bookings = list(
        Booking.objects.filter(status=Booking.Status.CONFIRMED, trip__ends_at__gt=at)
        .exclude(price=None)
        .select_related("party__client", "trip__offer__ladder")
        .prefetch_related("quotes__lines", "trip__offer__ladder__steps")
    )
    today = at.astimezone(business.tz).date()
    for account in accounts_of(bookings, business=business, on=today):
        due = account.next_due
        if due is None or not account.left:
            continue
        event = datetime.datetime.combine(due.due_on, datetime.time(12), business.tz)
        if at >= event - on.hours * _HOUR:
            yield _of_booking(
                MessageKind.BALANCE,
                account.booking.trip,
                account.booking,
                event,
                at,
                quiet,
                f" {due.due_on}",
            )


def _reminders(
    at: datetime.datetime, quiet: Quiet, on: When, only: int | None = None
) -> Iterator[Due]:
    """Of billed money past its day, in daytime: what comes in overnight needs no mail.

    Nobody is asked whose money may lie with us already, on account or in a bank statement.
    """
    if not on.automatic or after_quiet(at, quiet) > at:
        return
    business = Business.objects.get()
    today = at.astimezone(business.tz).date()
    asked = told_since(at - _STALE - on.again_hours * _HOUR)
    begin = (at - _STALE - on.hours * _HOUR).astimezone(business.tz).date()
    bookings = maybe_late(begin, today, asked)
    wanted = bookings if only is None else bookings.filter(pk=only)
    late = late_money(list(wanted), on=today)
    told = told_about([each.booking for each in late.values()])
    ripe = []
    for pk, each in late.items():
        number, event, when = next_of(each, told[pk], on, business)
        if when is not None and at - _STALE < when <= at:
            ripe.append((each, number, event))
    here = perhaps_here([each.booking for each, *_ in ripe], business=business, on=today)
    for each, number, event in ripe:
        booking = each.booking
        if booking.pk not in here:
            yield Due(
                kind=MessageKind.REMINDER,
                cause=reminder_cause(booking.pk, each.newest, f"no {number}"),
                what=f"reminder {number} of {booking.party.client}",
                event_at=event,
                send_at=at,
                trip_pk=booking.trip_id,
                booking_pk=booking.pk,
            )


def next_of(
    late: LateMoney, told: Sequence[Told], on: When, business: Business
) -> tuple[int, datetime.datetime, datetime.datetime | None]:
    """The number of the next reminder, when the sum was due, and when it goes by rule."""
    times = sum(one.due_on == late.newest.isoformat() for one in told)
    event = datetime.datetime.combine(late.newest, datetime.time(12), business.tz)
    wanted = next_reminder(
        event,
        times,
        told[0].at if told else None,
        hours=on.hours,
        again_hours=on.again_hours,
        most=on.most,
    )
    return times + 1, event, wanted


def _trip_sheets(at: datetime.datetime, quiet: Quiet, on: When) -> Iterator[Due]:
    if not on.automatic:
        return
    for trip in _ahead(at, on.hours):
        if getattr(trip, "plan", None) is None:
            continue
        for booking in trip.booked:  # type: ignore[attr-defined]
            yield _of_booking(MessageKind.TRIP_SHEET, trip, booking, trip.starts_at, at, quiet)


def _thanks(at: datetime.datetime, quiet: Quiet, on: When) -> Iterator[Due]:
    if not on.automatic:
        return
    ended = at - on.hours * _HOUR
    bookings = Booking.objects.filter(
        status=Booking.Status.CONFIRMED,
        trip__status=Trip.Status.FISHED,
        trip__ends_at__lte=ended,
        trip__ends_at__gt=ended - _STALE,
    ).select_related("party__client", "trip__offer")
    for booking in bookings:
        yield _of_booking(
            MessageKind.THANKS, booking.trip, booking, booking.trip.ends_at, at, quiet
        )


def _of_booking(
    kind: str,
    trip: Trip,
    booking: Booking,
    event: datetime.datetime,
    at: datetime.datetime,
    quiet: Quiet,
    more: str = "",
) -> Due:
    return Due(
        kind=kind,
        cause=f"{kind} booking {booking.pk}{more}",
        what=f"{MessageKind(kind).label} of {booking.party.client}",
        event_at=event,
        send_at=before_event(event, _SOON_H, quiet, at) if event > at else after_quiet(at, quiet),
        trip_pk=trip.pk,
        booking_pk=booking.pk,
    )
