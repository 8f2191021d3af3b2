"""Writes about incidents and near misses."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.actions.retention import hold_trip, release_hold
from bookings.models import Business, Hold
from guiding.safety.models import FollowUp, Incident, IncidentEntry, Witness
from guiding.safety.queries.incidents import conditions_at, past_keeping
from guiding.safety.rules.reporting import IncidentFacts, incident_kept_until, report_deadlines

_SLACK = datetime.timedelta(minutes=5)
_OLDEST = datetime.timedelta(days=3653)
_HARM = Incident.Harm
_BY_RULE = "the desk"
_TOLD = (
    "kind",
    "happened_at",
    "trip",
    "spot",
    "what",
    "harm",
    "flying",
    "minor_hurt",
    "youngest_born_on",
    "damage_to_others",
    "hazard",
    "people",
    "first_aid",
    "causes",
    "lessons",
)


@transaction.atomic
def enter_incident(
    *, business: Business, by: Any = None, at: datetime.datetime | None = None, **fields: Any
) -> Incident:
    """Enter what happened, with the conditions as they are known now: they stay as they are.

    What authorities and insurer may ask for becomes a reminder with a date.
    """
    at = at or timezone.now()
    incident = Incident(entered_at=at, entered_by=by)
    _set(incident, fields, at)
    if incident.spot_id is None and incident.trip is not None:
        plan = getattr(incident.trip, "plan", None)
        incident.spot = plan.spot if plan else None
    facts = _facts(incident, business)
    incident.keep_until = incident_kept_until(facts)
    incident.full_clean()
    incident.conditions = conditions_at(incident, business=business)
    incident.save()
    blank = Incident(happened_at=incident.happened_at)
    first = [("when", _instant(incident, business)), *_changes(blank, incident)]
    _write(incident, first, by=by, at=at)
    _remind(incident, facts, at)
    _hold(incident, at)
    return incident


def _hold(incident: Incident, at: datetime.datetime) -> None:
    """What people declared for this day is needed: it is not erased while this is open."""
    if incident.trip is not None:
        hold_trip(trip=incident.trip, reason=_reason(incident), at=at)


def _reason(incident: Incident) -> str:
    return f"incident {incident.pk}"


@transaction.atomic
def detail_incident(
    *,
    incident: Incident,
    business: Business,
    by: Any = None,
    at: datetime.datetime | None = None,
    **fields: Any,
) -> Incident:
    """Fill in what was learned since; the frozen conditions are not touched.

    Every change is added to the record beside what stood there before.
    """
    at = at or timezone.now()
    incident = Incident.objects.select_for_update(of=("self",)).get(pk=incident.pk)
    if incident.closed_at is not None:
        raise ValidationError("This is closed. Open it again before you change it.")
    before = Incident.objects.get(pk=incident.pk)
    _set(incident, fields, at)
    facts = _facts(incident, business)
    incident.keep_until = incident_kept_until(facts)
    incident.full_clean()
    incident.save()
    _write(incident, _changes(before, incident), by=by, at=at)
    _remind(incident, facts, at)
    return incident


def _write(
    incident: Incident, told: Iterable[tuple[str, str]], *, by: Any, at: datetime.datetime
) -> None:
    """Add to the record: never changed, never taken out before its time."""
    name = by.get_username() if by is not None else _BY_RULE
    IncidentEntry.objects.bulk_create(
        IncidentEntry(
            incident=incident, written_at=at, by=name[:150], about=about[:60], words=words
        )
        for about, words in told
    )


def _changes(before: Incident, after: Incident) -> list[tuple[str, str]]:
    """What is told now and was not told before, field by field, as people read it."""
    found = []
    for name in _TOLD:
        if getattr(before, name) == getattr(after, name):
            continue
        field: Any = Incident._meta.get_field(name)
        found.append((str(field.verbose_name), _shown(after, name) or "taken back"))
    return found


def _shown(incident: Incident, name: str) -> str:
    value = getattr(incident, name)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime.date):
        return f"{value:%-d %B %Y}"
    display = getattr(incident, f"get_{name}_display", None)
    return str(display() if display else value or "")


def _instant(incident: Incident, business: Business) -> str:
    return f"{incident.happened_at.astimezone(business.tz):%-d %B %Y, %H:%M}"


def _set(incident: Incident, fields: dict[str, Any], at: datetime.datetime) -> None:
    for name, value in fields.items():
        setattr(incident, name, value)
    when = incident.happened_at
    if when is None:
        raise ValidationError({"happened_at": "Say when it happened."})
    if when > at + _SLACK:
        raise ValidationError({"happened_at": "That time is still to come. Check it."})
    if when < at - _OLDEST:
        raise ValidationError({"happened_at": f"The year {when.year} is long past. Check it."})
    if incident.kind == Incident.Kind.NEAR_MISS and incident.harm != _HARM.NONE:
        raise ValidationError({"harm": "Where somebody was hurt it is an incident."})


def _facts(incident: Incident, business: Business) -> IncidentFacts:
    return IncidentFacts(
        country=business.country,
        day=incident.happened_at.astimezone(business.tz).date(),
        hurt=incident.harm != _HARM.NONE,
        serious=incident.harm in {_HARM.SERIOUS, _HARM.DEATH},
        flying=incident.flying,
        damage_to_others=incident.damage_to_others,
        minor_hurt=incident.minor_hurt,
        youngest_born_on=incident.youngest_born_on,
    )


def _remind(incident: Incident, facts: IncidentFacts, at: datetime.datetime) -> None:
    for deadline in report_deadlines(facts):
        row, new = FollowUp.objects.get_or_create(
            incident=incident,
            what=deadline.what,
            defaults={"due_on": deadline.due_on, "authority": True, "source": deadline.source},
        )
        if new:
            _write(incident, [_asked(row)], by=None, at=at)


def _asked(row: FollowUp) -> tuple[str, str]:
    return "to do", f"{row.what}, by {row.due_on:%-d %B %Y}"


@transaction.atomic
def add_witness(
    *, incident: Incident, by: Any = None, at: datetime.datetime | None = None, **fields: str
) -> Witness:
    """What somebody saw, in their own words."""
    row = Witness(incident=incident, taken_at=at or timezone.now(), **fields)
    row.full_clean()
    row.save()
    words = ": ".join(part for part in (row.name, row.statement) if part)
    _write(incident, [("witness", words)], by=by, at=row.taken_at)
    return row


@transaction.atomic
def add_follow_up(
    *,
    incident: Incident,
    what: str,
    due_on: datetime.date,
    by: Any = None,
    at: datetime.datetime | None = None,
) -> FollowUp:
    """Something to be done by a day."""
    if not 2000 <= due_on.year < 2100:
        raise ValidationError({"due_on": f"The year {due_on.year} cannot be right."})
    row = FollowUp(incident=incident, what=what.strip(), due_on=due_on)
    row.full_clean()
    row.save()
    _write(incident, [_asked(row)], by=by, at=at or timezone.now())
    return row


@transaction.atomic
def finish_follow_up(
    *,
    follow_up: FollowUp,
    on: datetime.date,
    note: str,
    by: Any = None,
    at: datetime.datetime | None = None,
) -> FollowUp:
    """It was done: when, and how."""
    row = FollowUp.objects.select_for_update(of=("self",)).get(pk=follow_up.pk)
    if row.done_on is not None:
        raise ValidationError("This was done already.")
    if not note.strip():
        raise ValidationError({"note": "Say how it was done, or why it was not needed."})
    row.done_on, row.done_note = on, note.strip()
    row.full_clean()
    row.save()
    told = ("done", f"{row.what}: {row.done_note}")
    _write(row.incident, [told], by=by, at=at or timezone.now())
    return row


@transaction.atomic
def close_incident(
    *, incident: Incident, by: Any = None, at: datetime.datetime | None = None
) -> Incident:
    """Close it when everything it asked for is done; what was held back for it may go again."""
    at = at or timezone.now()
    incident = Incident.objects.select_for_update(of=("self",)).get(pk=incident.pk)
    if incident.closed_at is not None:
        raise ValidationError("This is closed already.")
    left = incident.follow_ups.filter(done_on=None).count()
    if left:
        things = "1 thing is" if left == 1 else f"{left} things are"
        raise ValidationError(f"{things} still to be done. Finish them first.")
    if not incident.lessons.strip():
        raise ValidationError({"lessons": "Say what changes because of it, or that nothing does."})
    incident.closed_at = at
    incident.save()
    _write(incident, [("closed", "Nothing is left to be done.")], by=by, at=at)
    for hold in Hold.objects.filter(reason=_reason(incident), released_at=None):
        release_hold(hold=hold, at=at)
    return incident


@transaction.atomic
def reopen_incident(
    *, incident: Incident, by: Any = None, at: datetime.datetime | None = None
) -> Incident:
    """Open it again; what is still there of its day is held back again."""
    at = at or timezone.now()
    incident = Incident.objects.select_for_update(of=("self",)).get(pk=incident.pk)
    if incident.closed_at is None:
        raise ValidationError("This is open already.")
    incident.closed_at = None
    incident.save()
    _write(incident, [("opened again", "There is more to it.")], by=by, at=at)
    _hold(incident, at)
    return incident


@transaction.atomic
def erase_past_keeping(*, on: datetime.date) -> int:
    """Erase closed records whose time of keeping is over, with their history; how many went."""
    gone = [incident.pk for incident in past_keeping(on=on)]
    Incident.objects.filter(pk__in=gone).delete()
    Incident.history.filter(id__in=gone).delete()
    return len(gone)
