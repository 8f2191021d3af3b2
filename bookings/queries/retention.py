"""What has been kept for long enough: by kind, as of a moment."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace

from django.db.models import Exists, F, Max, OuterRef, Q, QuerySet

from bookings.models import (
    Booking,
    BrowserTrace,
    HealthLog,
    Hold,
    Participant,
    Party,
    RetentionRule,
    RetentionRun,
    Signature,
    SigningLink,
    Trip,
)
from bookings.queries.health import notes_due, told_due
from bookings.queries.records import read_content
from bookings.rules.retention import KEEP_RULES, KeepRule, Kept, signature_kept_until


@dataclass(frozen=True, slots=True)
class DueKind:
    """One kind with its rule and how much of it has been kept for long enough."""

    rule: KeepRule
    due: int


def rules_in_force() -> dict[Kept, KeepRule]:
    """The rule of each kind: ours from Setup, or the house's default."""
    own = dict(RetentionRule.objects.values_list("kind", "days"))
    return {rule.kind: replace(rule, days=own.get(rule.kind, rule.days)) for rule in KEEP_RULES}


def due_by_kind(*, at: datetime.datetime) -> list[DueKind]:
    """How much of each kind would be erased at a moment."""
    return [DueKind(rule, _count(rule, at)) for rule in rules_in_force().values()]


def _count(rule: KeepRule, at: datetime.datetime) -> int:
    if rule.kind is Kept.SIGNATURE:
        return len(signatures_due(rule, at=at))
    more = 0
    if rule.kind is Kept.HEALTH:
        more = told_due(ended_before=at - datetime.timedelta(days=rule.days)).count()
    return due(rule, at=at).count() + more


def held_trips() -> QuerySet[Hold]:
    """Trips that something, an incident say, keeps from being erased."""
    return Hold.objects.filter(released_at=None).values("trip")  # type: ignore[return-value]


def due(rule: KeepRule, *, at: datetime.datetime) -> QuerySet:
    """The rows of one kind whose time is up; signed records have a question of their own."""
    before = at - datetime.timedelta(days=rule.days)
    match rule.kind:
        case Kept.HEALTH:
            return notes_due(ended_before=before)
        case Kept.TRACE:
            held = Signature.objects.filter(trip__in=held_trips()).values("trace")
            traces = BrowserTrace.objects.filter(erased_at=None, taken_at__lt=before)
            return traces.exclude(pk__in=held.exclude(trace=None))
        case Kept.LINK:
            return SigningLink.objects.filter(expires_at__lt=before)
        case Kept.LOOK:
            looked = [HealthLog.Act.LOOKED, HealthLog.Act.EXPORTED]
            return HealthLog.objects.filter(at__lt=before, act__in=looked)
        case Kept.ENQUIRY:
            return _closed_questions(before)
        case Kept.PERSON:
            return _people(before)
    raise ValueError(f"There is no question for {rule.kind}.")


def _closed_questions(before: datetime.datetime) -> QuerySet[Party]:
    """Cases that came to nothing: no booking ever, no money."""
    return Party.objects.filter(
        state=Party.State.CLOSED, closed_at__lt=before, bookings=None, money=None
    )


def _people(before: datetime.datetime) -> QuerySet[Participant]:
    """People with particulars left whose party's last trip, or last word, is long over."""
    trips = Booking.objects.filter(party=OuterRef("party"))
    held = trips.filter(trip__in=held_trips())
    particulars = ~Q(email="") | ~Q(phone="") | Q(born_on__isnull=False)
    return (
        Participant.objects.filter(particulars)
        .annotate(last_trip=Max("party__bookings__trip__ends_at"))
        .filter(
            Q(last_trip__lt=before)
            | Q(last_trip=None, party__state=Party.State.CLOSED, party__closed_at__lt=before)
        )
        .exclude(Exists(held))
    )


def signatures_due(rule: KeepRule, *, at: datetime.datetime) -> list[Signature]:
    """Signed records whose time is up; what a minor's guardian signed is kept for longer."""
    before = at - datetime.timedelta(days=rule.days)
    old = (
        Signature.objects.filter(trip__ends_at__lt=before, erased_at=None)
        .exclude(trip__in=held_trips())
        .order_by("record")
    )
    return [each for each in old if _kept_until(each, rule.days) < at.date()]


def _kept_until(signature: Signature, days: int) -> datetime.date:
    try:
        facts = read_content(signature.sealed)
        age, day = facts.get("age"), facts["trip_day"]
    except (ValueError, KeyError):
        return datetime.date.max  # changed after it was written: evidence, not to be cleared away
    minor_age = age if signature.by_guardian and isinstance(age, int) else None
    return signature_kept_until(day, days, minor_age)


def last_run() -> RetentionRun | None:
    return RetentionRun.objects.first()


def held_for(trip: Trip) -> list[Hold]:
    return list(Hold.objects.filter(trip=trip, released_at=None).order_by(F("held_at")))
