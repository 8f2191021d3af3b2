"""`manage.py decide`: every limit of a planned day against what is known of it now."""

from __future__ import annotations

import json
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from bookings.models import Trip
from guiding.days.management.reading import the_business
from guiding.days.queries.decisions import decisions_of
from guiding.days.rules.limits import Finding
from guiding.days.sheets.decision import Conditions, trip_conditions
from guiding.days.sheets.fallbacks import Fallbacks, fallbacks


class Command(BaseCommand):
    help = (
        "Print findings (go, caution, stop), leave-by, last drive-out, hours to fly, fallbacks and "
        "the proposal for a trip; it decides nothing. Example: manage.py decide 7 --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("trip", type=int, help="number of the trip")
        parser.add_argument("--json", action="store_true", help="print JSON; times in UTC")

    def handle(self, *, trip: int, json: bool, **_: object) -> None:
        business, now = the_business(), timezone.now()
        row = Trip.objects.select_related("offer").filter(pk=trip).first()
        if row is None:
            raise CommandError(f"There is no trip {trip}.")
        found = trip_conditions(trip=row, business=business, at=now)
        if found is None:
            raise CommandError(f"Trip {trip} has no plan yet: choose its spot first.")
        party = found.facts.party
        instead = fallbacks(
            trip=row, plan=found.plan, heads=party.heads, minors=party.minors,
            business=business, at=now,
        )  # fmt: skip
        facts = decision_facts(found, instead, row)
        self.stdout.write(_dump(facts) if json else _text(facts, business.tz))


def decision_facts(found: Conditions, instead: Fallbacks, trip: Trip) -> dict[str, Any]:
    """What the command prints."""
    last = decisions_of(found.plan.pk).first()
    forecast = found.facts.forecast
    return {
        "trip": trip.pk,
        "spot": found.facts.spot.name,
        "day": found.facts.hours.day.isoformat(),
        "zone": found.facts.hours.zone,
        "proposal": found.call.value,
        "why": found.proposal.why,
        "cast_only": found.proposal.cast_only or not found.facts.fly.planned,
        "forecast": {
            "issued_utc": _utc(forecast.oldest_issued_at),
            "sources": list(forecast.sources),
        },
        "leave_by_utc": _utc(found.leave_by_at),
        "last_drive_out_utc": _utc(found.last_drive_out_at),
        "may_fly": [[_utc(span.start), _utc(span.end)] for span in found.may_fly],
        "glare": [[_utc(span.start), _utc(span.end)] for span in found.glare],
        "findings": [_finding(one) for one in found.findings],
        "decided": {
            "call": last.verdict,
            "by": last.taken_by_name,
            "at_utc": _utc(last.taken_at),
            "reason": last.reason,
        }
        if last
        else None,
        "instead": [
            {
                "day": option.day.isoformat(),
                "spot": option.spot.name,
                "score": option.score.points,
            }
            for option in (*instead.spots, *instead.days)
        ],
        "note": "Not for navigation. Check with your own authority.",
    }


def _finding(one: Finding) -> dict[str, Any]:
    return {
        "what": one.what,
        "whose": one.whose.value,
        "scope": one.scope.value,
        "verdict": one.verdict.value,
        "value": one.value,
        "limit": one.limit,
        "unit": one.unit,
        "at_utc": _utc(one.at),
        "note": one.note,
    }


def _utc(at: Any) -> str | None:
    return None if at is None else f"{at:%Y-%m-%dT%H:%M:%SZ}"


def _dump(facts: dict[str, Any]) -> str:
    return json.dumps(facts, ensure_ascii=False, indent=2)


def _text(facts: dict[str, Any], zone: ZoneInfo) -> str:
    lines = [
        f"{facts['spot']}, {facts['day']}: {facts['proposal']} ({facts['why']})",
        *(_line(one) for one in facts["findings"]),
    ]
    for name, label in (("leave_by_utc", "Leave by"), ("last_drive_out_utc", "Last drive-out")):
        if facts[name]:
            lines.append(f"{label}: {facts[name]}")
    for start, end in facts["may_fly"]:
        lines.append(f"May fly: {start} to {end}")
    for option in facts["instead"]:
        lines.append(f"Instead: {option['day']} at {option['spot']}, {option['score']} points")
    return "\n".join([*lines, facts["note"]])


def _line(one: dict[str, Any]) -> str:
    figure = f" {one['value']:g} {one['unit']}" if one["value"] is not None else ""
    limit = f" (limit {one['limit']:g})" if one["limit"] is not None else ""
    at = f" at {one['at_utc']}" if one["at_utc"] else ""
    note = f", {one['note']}" if one["note"] else ""
    return f"{one['verdict']:<8}{one['what']}{figure}{limit}{at}{note}"
