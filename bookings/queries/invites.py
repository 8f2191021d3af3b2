"""Questions about private feed links and what attendees have answered."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable

from django.contrib.auth.models import User
from django.db.models import Count, Prefetch, QuerySet

from bookings.models import FeedLink, Trip, TripAttendee


def feed_hash(token: str) -> str:
    """What is kept of a link's secret."""
    return hashlib.sha256(token.encode()).hexdigest()


def feed_owner(token: str) -> User | None:
    """Whose feed an address opens; None where it was revoked, or never was one."""
    if not 20 <= len(token) <= 80:
        return None
    link = (
        FeedLink.objects.select_related("user")
        .filter(token_hash=feed_hash(token), revoked_at=None, user__is_active=True)
        .first()
    )
    return link.user if link else None


def people_with_links() -> QuerySet[User]:
    """Every login with the feed link that is open for it, if there is one."""
    live = FeedLink.objects.filter(revoked_at=None)
    return (
        User.objects.filter(is_active=True)
        .prefetch_related(Prefetch("feed_links", live, to_attr="live_links"))
        .order_by("-is_superuser", "first_name", "pk")
    )


def answers_counted(trip: Trip) -> list[tuple[str, int]]:
    """How many of those invited said what, in the words of the list; nobody invited: nothing."""
    rows = (
        TripAttendee.objects.filter(trip=trip, removed_at=None)
        .order_by()
        .values_list("answer")
        .annotate(Count("pk"))
    )
    found = dict(rows)
    return [
        (label.removeprefix("is "), found[word])
        for word, label in TripAttendee.Answer.choices
        if word in found
    ]


def refused_answers(trips: Iterable[Trip]) -> dict[int, list[str]]:
    """A sentence for each answer that came from somebody else than who was asked, by trip."""
    found: dict[int, list[str]] = defaultdict(list)
    for row in TripAttendee.objects.filter(trip__in=list(trips), removed_at=None).exclude(
        refused_at=None
    ):
        sender = row.refused_from or "an unnamed address"
        found[row.trip_id].append(
            f"{row.name or row.mail}: an answer in their name came from {sender} and was refused"
        )
    return found


def answers_of(trip: Trip) -> QuerySet[TripAttendee]:
    return TripAttendee.objects.filter(trip=trip, removed_at=None).select_related("booking__party")
