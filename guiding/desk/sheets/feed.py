"""The private calendar of a person: trips, holds, prep, what is due, what lapses.

The guide sees everything. A helper sees the trips they guide and the prep for them, with heads
instead of names: a calendar lies on more phones than the desk does.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from functools import lru_cache

from django.contrib.auth.models import User
from django.db.models import QuerySet

from bookings.models import Booking, Business, Trip
from bookings.queries.trips import trips_between
from equipment.queries.due import due_list
from guiding.calendars import records as calendar
from guiding.calendars.feed import Feed, feed_ics
from guiding.days.models import Away, DayPlan, DropPermit
from guiding.days.rules.prep import PrepTimes, prep_times
from guiding.desk.sheets.invites import STATUS, banded, trip_uid
from guiding.safety.models import HeldPaper

_BACK = datetime.timedelta(days=30)
_AHEAD = datetime.timedelta(days=400)
_MINUTE = datetime.timedelta(minutes=1)
_PREP = (
    ("bought_by", "Buy for"),
    ("tied_by", "Tie rigs for"),
    ("thaw_from", "Thaw bait for"),
    ("charged_by", "Packs charged for"),
    ("loaded_by", "Loaded for"),
)


def person_feed(user: User, *, business: Business, at: datetime.datetime) -> Feed:
    """What one person subscribes to, as of a moment; a fixed number of queries."""
    host = business.email.rsplit("@", 1)[-1]
    trips = trips_between(start=at - _BACK, end=at + _AHEAD)
    if not user.is_superuser:
        trips = trips.filter(guides__user=user)
    events = list(_trips(trips, business, host, names=user.is_superuser, at=at))
    if user.is_superuser:
        events += _due_gear(business, host, at)
        events += _lapsing(business, host, at)
        events += _away(business, host, at)
    name = business.name if user.is_superuser else f"{business.name}: {user.first_name or user}"
    return Feed(name=name, events=tuple(events))


@lru_cache(maxsize=64)
def feed_bytes(feed: Feed) -> bytes:
    """A feed as it is read. The record is its own key: what has not changed is not written anew."""
    return feed_ics(feed)


def _trips(
    trips: QuerySet[Trip],
    business: Business,
    host: str,
    *,
    names: bool,
    at: datetime.datetime,
) -> Iterator[calendar.Invite]:
    found = list(trips)
    plans = {
        plan.trip_id: plan for plan in DayPlan.objects.filter(trip__in=found).select_related("spot")
    }
    for trip in found:
        plan = plans.get(trip.pk)
        where = plan.spot.name if plan else "no spot yet"
        yield calendar.Invite(
            uid=trip_uid(trip, host),
            sequence=trip.sequence,
            dtstamp=trip.changed_at,
            start=trip.starts_at,
            end=trip.ends_at,
            zone=business.zone,
            summary=banded(f"{trip.offer.name}, {where}", trip),
            method=None,
            status=STATUS[Trip.Status(trip.status)],
            description=_who_comes(trip, names=names),
            location=trip.meeting_place,
            latitude_deg=trip.meeting_latitude,
            longitude_deg=trip.meeting_longitude,
            last_modified=trip.changed_at,
            categories=("trip",),
        )
        if trip.status not in {Trip.Status.TENTATIVE, Trip.Status.CONFIRMED}:
            continue
        if names:
            yield from _holds(trip, business, host)
        if plan is not None and trip.starts_at > at:
            yield from _prep(trip, business, host)


def _live(trip: Trip) -> list[Booking]:
    return list(trip.live_bookings)  # type: ignore[attr-defined]


def _who_comes(trip: Trip, *, names: bool) -> str:
    if not names:
        heads = sum(one.heads for one in _live(trip))
        return f"{heads} on the list"
    lines = [f"{one.party.client}, {one.heads} ({one.status})" for one in _live(trip)]
    return "\n".join(lines) or "Nobody is booked on it yet."


def _holds(trip: Trip, business: Business, host: str) -> Iterator[calendar.Invite]:
    for booking in _live(trip):
        if booking.status == Booking.Status.TENTATIVE and booking.hold_until is not None:
            yield _moment(
                f"hold-{booking.pk}@{host}",
                booking.hold_until,
                f"Hold of {booking.party.client} ends: {trip.offer.name}",
                business,
                booking.booked_at,
                "hold",
                remind_min=12 * 60,
            )


def _prep(trip: Trip, business: Business, host: str) -> Iterator[calendar.Invite]:
    times: PrepTimes = prep_times(leave_at=trip.starts_at, zone=business.zone)
    for name, words in _PREP:
        yield _moment(
            f"prep-{name}-{trip.pk}@{host}",
            getattr(times, name),
            f"{words} {trip.offer.name}",
            business,
            trip.changed_at,
            "prep",
            remind_min=60,
        )


def _due_gear(business: Business, host: str, at: datetime.datetime) -> Iterator[calendar.Invite]:
    today = at.astimezone(business.tz).date()
    for item in due_list(on=today):
        if item.due_on is not None:
            yield _day(
                f"due-{item.thing_id}-{item.rule or item.state}@{host}".replace(" ", "-"),
                max(item.due_on, today),
                f"{item.what}: {item.label}",
                business,
                "service",
            )


def _lapsing(business: Business, host: str, at: datetime.datetime) -> Iterator[calendar.Invite]:
    """The last day of each permission and paper that holds today or later."""
    today = at.astimezone(business.tz).date()
    for permit in DropPermit.objects.filter(valid_until__gte=today, withdrawn_on=None):
        words = f"Last day: {permit.get_kind_display()} permission {permit.number}"
        yield _day(f"permit-{permit.pk}@{host}", permit.valid_until, words, business, "permit")
    for paper in HeldPaper.objects.filter(valid_until__gte=today, withdrawn_on=None).select_related(
        "kind"
    ):
        words = f"Last day: {paper.kind} {paper.number}"
        yield _day(f"paper-{paper.pk}@{host}", paper.valid_until, words, business, "paper")


def _away(business: Business, host: str, at: datetime.datetime) -> Iterator[calendar.Invite]:
    today = at.astimezone(business.tz).date()
    for away in Away.objects.filter(last_day__gte=today):
        yield _day(
            f"away-{away.pk}@{host}",
            away.first_day,
            f"Away: {away.reason}" if away.reason else "Away",
            business,
            "away",
            last=away.last_day,
            busy=True,
        )


def _moment(
    uid: str,
    at: datetime.datetime,
    summary: str,
    business: Business,
    stamp: datetime.datetime,
    category: str,
    *,
    remind_min: int,
) -> calendar.Invite:
    """A deadline: a quarter of an hour that blocks nothing."""
    return calendar.Invite(
        uid=uid,
        sequence=0,
        dtstamp=stamp,
        start=at,
        end=at + 15 * _MINUTE,
        zone=business.zone,
        summary=summary,
        method=None,
        status=calendar.Status.CONFIRMED,
        reminders=(calendar.Reminder(remind_min, summary),),
        categories=(category,),
        busy=False,
    )


def _day(
    uid: str,
    first: datetime.date,
    summary: str,
    business: Business,
    category: str,
    *,
    last: datetime.date | None = None,
    busy: bool = False,
) -> calendar.Invite:
    start = datetime.datetime.combine(first, datetime.time(), business.tz)
    after = (last or first) + datetime.timedelta(days=1)
    return calendar.Invite(
        uid=uid,
        sequence=0,
        # Rows of days carry no moment of their own; the day itself keeps the bytes the same.
        dtstamp=start.astimezone(datetime.UTC),
        start=start,
        end=datetime.datetime.combine(after, datetime.time(), business.tz),
        zone=business.zone,
        summary=summary,
        method=None,
        status=calendar.Status.CONFIRMED,
        categories=(category,),
        all_day=True,
        busy=busy,
    )
