"""Service: which rules a thing has, where each stands on a day, what was done."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from django.db.models import Exists, OuterRef
from django.utils import timezone

from equipment.models import FlightPack, ServiceRecord, ServiceRule, Thing
from equipment.queries.use import NO_USE, Counts, end_of
from equipment.rules.marks import Mark
from equipment.rules.service import BookedTrip, ServiceFacts, UseCounts
from equipment.rules.service import ServiceRule as Rule

_FEW = 50  # things are named to the database one by one up to this many
MEASURES = ("days", "trips", "flights", "cycles", "hours", "metres", "km")


@dataclass(frozen=True, slots=True)
class Standing:
    """The rules of a thing with what is known of each, as `service_state` takes them."""

    rules: tuple[Rule, ...]
    facts: tuple[ServiceFacts, ...]


def as_rule(row: ServiceRule) -> Rule:
    """A row of the rule table as the rules read it."""
    return Rule(
        name=row.name,
        **{f"every_{measure}": getattr(row, f"every_{measure}") for measure in MEASURES},
        by_printed_date=row.by_printed_date,
        lead_days=row.lead_days,
        lead_share=row.lead_percent / 100,
        grounds=row.grounds,
        mark=Mark[row.mark.upper()],
    )


class RuleBook:
    """The rules in force, read once: those of a kind, and those of one thing in their place."""

    def __init__(self) -> None:
        self._of_kind: dict[str, dict[str, Rule]] = {}
        self._of_thing: dict[int, dict[str, Rule]] = {}
        for row in ServiceRule.objects.order_by("name"):
            shelf = (
                self._of_kind.setdefault(row.kind, {})
                if row.thing_id is None
                else self._of_thing.setdefault(row.thing_id, {})
            )
            # A rule of one thing that is not in force switches off the one of its kind.
            if row.in_force:
                shelf[row.name.lower()] = as_rule(row)
            elif row.thing_id is not None:
                shelf[row.name.lower()] = None  # type: ignore[assignment]

    def rules_of(self, thing: Thing) -> list[Rule]:
        """The rules of a thing; a rule by printed date only where a date is printed."""
        rules = self._of_kind.get(thing.kind, {})
        own = self._of_thing.get(thing.pk)
        if own:
            rules = rules | own
        return [
            rule
            for rule in rules.values()
            if rule is not None and (thing.expires_on is not None or not rule.by_printed_date)
        ]


class LastService(NamedTuple):
    """The newest record of one service of one thing: when, and what the log had counted then."""

    done_at: datetime.datetime
    trips: int
    flights: int
    cycles: int
    hours: float
    metres: float
    km: float


def last_services(
    *, on: datetime.date, things: Collection[int] | None = None
) -> dict[tuple[int, str], LastService]:
    """The newest record of each service of each thing up to the end of a day."""
    standing = ServiceRecord.objects.filter(done_at__lt=end_of(on), struck_out_reason="")
    newer = standing.filter(
        thing=OuterRef("thing"), rule_name=OuterRef("rule_name"), done_at__gt=OuterRef("done_at")
    )
    rows = standing.filter(~Exists(newer)).order_by("pk")  # of two at one time the later entered
    if things is not None:
        rows = rows.filter(thing__in=things)
    return {
        (thing_id, rule_name.lower()): LastService(*counted)
        for thing_id, rule_name, *counted in rows.values_list(
            "thing_id", "rule_name", *LastService._fields
        )
    }


def standings(
    *,
    things: Sequence[Thing],
    sums: Mapping[int, Counts],
    on: datetime.date,
    cycles_before: Mapping[int, int] | None = None,
) -> dict[int, Standing]:
    """The rules and facts of many things; two queries, however many there are."""
    book = RuleBook()
    few = [thing.pk for thing in things] if len(things) <= _FEW else None
    last = last_services(on=on, things=few)
    zone = timezone.get_current_timezone()
    if cycles_before is None:
        cycles_before = dict(FlightPack.objects.values_list("pk", "cycles_before"))
    found: dict[int, Standing] = {}
    for thing in things:
        rules = tuple(book.rules_of(thing))
        counted = sums.get(thing.pk, NO_USE)
        found[thing.pk] = Standing(
            rules,
            tuple(
                _facts(
                    thing,
                    counted,
                    last.get((thing.pk, rule.name.lower())),
                    on,
                    cycles_before.get(thing.pk, 0),
                    zone,
                )
                for rule in rules
            ),
        )
    return found


def _facts(
    thing: Thing,
    counted: Counts,
    record: LastService | None,
    on: datetime.date,
    cycles_before: int,
    zone: datetime.tzinfo,
) -> ServiceFacts:
    if record is not None:
        since = UseCounts(
            trips=max(0, counted.trips - record.trips),
            flights=max(0, counted.flights - record.flights),
            cycles=max(0, counted.cycles - record.cycles),
            hours=max(0.0, round(counted.hours - record.hours, 6)),
            metres=max(0.0, round(counted.metres - record.metres, 6)),
            km=max(0.0, round(counted.km - record.km, 6)),
        )
        counted_from = record.done_at.astimezone(zone).date()
    else:
        since = UseCounts(
            trips=counted.trips,
            flights=counted.flights,
            cycles=counted.cycles + cycles_before,
            hours=counted.hours,
            metres=counted.metres,
            km=counted.km,
        )
        counted_from = thing.bought_on or (
            timezone.localdate(counted.first_at) if counted.first_at else on
        )
    return ServiceFacts(
        counted_from=min(counted_from, on), since=since, printed_on=thing.expires_on
    )


def expected_trips(*, counted: Counts, booked: Sequence[datetime.date]) -> tuple[BookedTrip, ...]:
    """Booked days with the use they are likely to bring: what a trip brought so far."""
    trips = counted.trips
    if not trips:
        return tuple(BookedTrip(on=day) for day in booked)
    each = UseCounts(
        trips=1,
        flights=counted.flights / trips,
        cycles=counted.cycles / trips,
        hours=counted.hours / trips,
        metres=counted.metres / trips,
        km=counted.km / trips,
    )
    return tuple(BookedTrip(on=day, expected=each) for day in booked)
