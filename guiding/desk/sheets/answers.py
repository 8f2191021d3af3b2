"""The link by which one person says whether they come: made from what they were asked.

Nothing is kept for it. It names the person and the moment they were asked, under our seal: asked
anew, for another time or place, the link before opens nothing more.
"""

from __future__ import annotations

import datetime
import re

from django.conf import settings
from django.core import signing
from django.urls import reverse

from bookings.models import Trip, TripAttendee

_SALT = "answer to an invitation"
_LONGEST = 200


class ShutAnswerError(Exception):
    """The link opens nothing; `reason` is 'unknown', 'older', 'off' or 'over'."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


def answer_token(attendee: TripAttendee) -> str:
    return signing.dumps([attendee.pk, _moment(attendee)], salt=_SALT)


def answer_address(attendee: TripAttendee) -> str:
    return settings.PUBLIC_URL + reverse("invite_answer", args=[answer_token(attendee)])


def attendee_of_link(token: str, *, at: datetime.datetime) -> TripAttendee:
    """Who answers by this link. ShutAnswerError says why nobody does."""
    if len(token) > _LONGEST:
        raise ShutAnswerError("unknown")
    try:
        pk, moment = signing.loads(token, salt=_SALT)
    except (signing.BadSignature, ValueError, TypeError):
        raise ShutAnswerError("unknown") from None
    row = (
        TripAttendee.objects.select_related("trip__offer", "trip__invite", "booking__party__client")
        .filter(pk=pk)
        .first()
    )
    if row is None:
        raise ShutAnswerError("unknown")
    if row.removed_at is not None or row.trip.status == Trip.Status.CANCELLED:
        raise ShutAnswerError("off")
    if _moment(row) != moment:
        raise ShutAnswerError("older")
    if row.trip.ends_at <= at:
        raise ShutAnswerError("over")
    return row


def quotes_link_of(text: str, attendee: TripAttendee, *, at: datetime.datetime) -> bool:
    """Whether a text holds this person's link, as a reply that quotes our mail does."""
    before, after = reverse("invite_answer", args=["-"]).split("-")
    links = f"{re.escape(before)}([\\w:.-]{{20,{_LONGEST}}}){re.escape(after)}"
    for token in re.findall(links, text):
        try:
            if attendee_of_link(token, at=at).pk == attendee.pk:
                return True
        except ShutAnswerError:
            continue
    return False


def _moment(attendee: TripAttendee) -> int:
    return int(attendee.asked_at.timestamp())
