"""What the guide must see first: the next day out, who waits, what is missing."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from bookings.models import Business, Trip
from bookings.queries.invites import refused_answers
from bookings.queries.outbox import MailState, mail_state
from bookings.queries.signatures import Outstanding, outstanding_of
from bookings.queries.trips import next_trips
from bookings.sheets.inbox import InboxRow, waiting_for_us
from guiding.days.models import DayPlan
from guiding.days.sheets.day import cast_only_reason
from guiding.safety.queries.facts import card_gaps


@dataclass(frozen=True, slots=True)
class Missing:
    """Something that a trip still lacks, and how to go about it."""

    trip: Trip
    text: str


@dataclass(frozen=True, slots=True)
class Today:
    """The page's content as of a moment."""

    next_trip: Trip | None
    ahead: list[Trip]
    missing: list[Missing]
    waiting: list[InboxRow]
    mail: MailState


def today(*, at: datetime.datetime, business: Business) -> Today:
    """As of `at`: the next trip, the fortnight ahead, what it lacks, who waits for an answer."""
    horizon = at + datetime.timedelta(days=14)
    ahead = list(next_trips(at=at).filter(starts_at__lt=horizon))
    plans = {
        plan.trip_id: plan
        for plan in DayPlan.objects.filter(trip__in=ahead)
        .select_related("spot")
        .prefetch_related("packs", "reels", "spot__permits")
    }
    stands = outstanding_of(ahead, at=at) if ahead else {}
    refused, gaps = refused_answers(ahead), card_gaps(plans.values())
    missing = [
        Missing(trip, text)
        for trip in ahead
        for text in [
            *lacking(trip, plans.get(trip.pk), stands[trip.pk], gaps.get(trip.pk, ())),
            *refused.get(trip.pk, []),
        ]
    ]
    later = None if ahead else next_trips(at=at).first()
    return Today(
        next_trip=ahead[0] if ahead else later,
        ahead=ahead,
        missing=missing,
        waiting=waiting_for_us(business=business, at=at),
        mail=mail_state(at=at),
    )


def lacking(
    trip: Trip, plan: DayPlan | None, stand: Outstanding, gaps: Sequence[str] = ()
) -> list[str]:
    """What a trip to come lacks; uses the bookings and people already fetched.

    `gaps` are what its emergency card does not know.
    """
    found = []
    bookings = trip.live_bookings  # type: ignore[attr-defined]
    if plan is None:
        found.append("no plan: choose a spot")
    if not bookings:
        found.append("nobody is booked on it")
    found += [
        f"{booking.party.client}: held, no answer yet"
        for booking in bookings
        if booking.status == "tentative"
    ]
    found += stand.short
    if plan and plan.craft_id:
        reason = cast_only_reason(plan.spot, trip.starts_at.date())
        if reason:
            found.append(reason)
        elif not plan.packs.all():
            found.append("no flight packs chosen")
    if plan and not plan.reels.all():
        found.append("no reels chosen")
    if gaps:
        found.append(f"the emergency card does not know: {', '.join(gaps)}")
    return found
