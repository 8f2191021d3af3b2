"""What calendars were told and what they answered; private links to a feed."""

from __future__ import annotations

import datetime
import secrets
from collections.abc import Mapping

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from bookings.actions.locks import lock_trips
from bookings.models import Booking, FeedLink, Trip, TripAttendee, TripInvite
from bookings.queries.invites import feed_hash


def locked_invite(*, trip: Trip) -> TripInvite | None:
    """What was last told of a trip, held until this transaction ends; two tellers queue here."""
    lock_trips([trip.pk])
    return TripInvite.objects.select_for_update().filter(trip=trip).first()


@transaction.atomic
def keep_told(
    *, trip: Trip, uid: str, sequence: int, told: Mapping[str, object], at: datetime.datetime
) -> TripInvite:
    """Write down the event as it is told now; SEQUENCE never goes back."""
    row = TripInvite.objects.filter(trip=trip).first() or TripInvite(trip=trip, uid=uid)
    if row.pk and sequence < row.sequence:
        raise ValidationError("An invitation never goes back to an older version.")
    row.sequence, row.told, row.told_at = sequence, dict(told), at
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def keep_asked(
    *, trip: Trip, booking: Booking, name: str, mail: str, anew: bool, at: datetime.datetime
) -> TripAttendee:
    """Somebody is asked; `anew` when time or place changed and an old answer counts no more."""
    row = TripAttendee.objects.filter(trip=trip, mail__iexact=mail).first()
    if row is None:
        row = TripAttendee(trip=trip, mail=mail, booking=booking, asked_at=at)
    if row.removed_at is not None or anew:
        row.answer, row.answer_comment = TripAttendee.Answer.NEEDS_ACTION, ""
    row.booking, row.name, row.asked_at, row.removed_at = booking, name[:200], at, None
    row.full_clean(validate_constraints=False)
    row.save()
    return row


def keep_taken_off(*, attendee: TripAttendee, at: datetime.datetime) -> None:
    TripAttendee.objects.filter(pk=attendee.pk).update(removed_at=at)


@transaction.atomic
def keep_answer(
    *,
    attendee: TripAttendee,
    answer: str,
    sequence: int,
    stamp: datetime.datetime,
    comment: str = "",
) -> TripAttendee:
    """Take an answer over; what was answered later stays."""
    row = TripAttendee.objects.select_for_update().get(pk=attendee.pk)
    before = (row.answer_sequence or 0, row.answer_stamp)
    if before[1] is not None and (sequence, stamp) < (before[0], before[1]):
        raise ValidationError("A later answer of the same person is already here.")
    row.answer, row.answer_sequence, row.answer_stamp = answer, sequence, stamp
    row.answer_comment = comment[:300]
    row.refused_answer, row.refused_from, row.refused_at = "", "", None
    row.full_clean()
    row.save()
    return row


def keep_refused(
    *, attendee: TripAttendee, answer: str, sender: str, at: datetime.datetime
) -> None:
    """The newest answer that came in somebody's name from elsewhere, for the guide to look at."""
    TripAttendee.objects.filter(pk=attendee.pk).update(
        refused_answer=answer, refused_from=sender[:254], refused_at=at
    )


def drop_refused(*, attendee: TripAttendee) -> None:
    """The guide has looked at it."""
    TripAttendee.objects.filter(pk=attendee.pk).update(
        refused_answer="", refused_from="", refused_at=None
    )


@transaction.atomic
def make_feed_link(*, user: User, at: datetime.datetime | None = None) -> str:
    """A new private address for somebody's feed; the one before it ends. Told once, kept hashed."""
    at = at or timezone.now()
    token = secrets.token_urlsafe(32)
    revoke_feed_link(user=user, at=at)
    try:
        with transaction.atomic():
            FeedLink.objects.create(user=user, token_hash=feed_hash(token), made_at=at)
    except IntegrityError:
        raise ValidationError("A link was made a moment ago. Load the page again.") from None
    return token


def revoke_feed_link(*, user: User, at: datetime.datetime | None = None) -> bool:
    live = FeedLink.objects.filter(user=user, revoked_at=None)
    return bool(live.update(revoked_at=at or timezone.now()))
