"""Papers in date: what is asked for on a day, what is held, and what keeps a trip from going."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from bookings.models import Trip
from equipment.models import Thing
from guiding.days.models import Spot
from guiding.safety.models import HeldPaper, PaperKind
from guiding.safety.rules.papers import PaperState, paper_state

_SCOPE, _ACTIVITY = PaperKind.Scope, PaperKind.Activity
CHECK = "Check with your own authority."


@dataclass(frozen=True, slots=True)
class DayScope:
    """What a day needs papers for: where, with which craft and vehicles, doing what."""

    spot: Spot | None
    craft: Thing | None
    vehicles: tuple[Thing, ...]
    flying: bool
    sand: bool
    minors: bool


@dataclass(frozen=True, slots=True)
class PaperAnswer:
    """A paper that is asked for on a day: which one proves it, or why none does."""

    kind: PaperKind
    subject: str
    on: datetime.date
    state: PaperState
    paper: HeldPaper | None
    sentence: str

    @property
    def missing(self) -> bool:
        return self.state in {PaperState.MISSING, PaperState.OUT_OF_DATE}

    @property
    def blocks(self) -> bool:
        return self.missing and self.kind.hard


class PaperBook:
    """Kinds and papers, read once and asked for many days."""

    def __init__(self) -> None:
        self.kinds = list(PaperKind.objects.filter(in_force=True))
        self._held: dict[int, list[HeldPaper]] = {}
        rows = HeldPaper.objects.filter(kind__in_force=True).select_related("kind", "thing")
        for paper in rows.prefetch_related("spots"):
            self._held.setdefault(paper.kind_id, []).append(paper)

    def answers(self, scope: DayScope, on: datetime.date) -> list[PaperAnswer]:
        """Every paper that a day asks for, with what proves it or what is wrong."""
        return [
            self._answer(kind, subject, name, on)
            for kind in self.kinds
            if _asked(kind, scope)
            for subject, name in _subjects(kind, scope)
        ]

    def standing(
        self, on: datetime.date, things: Sequence[Thing], spots: Sequence[Spot]
    ) -> list[PaperAnswer]:
        """Every kind for everything there is, whatever is booked; the worst first."""
        subjects: dict[str, list[tuple[Thing | Spot | None, str]]] = {
            _SCOPE.SPOT: [(spot, spot.name) for spot in spots]
        }
        for thing in things:
            subjects.setdefault(thing.kind, []).append((thing, thing.label))
        found = [
            self._answer(kind, subject, name, on)
            for kind in self.kinds
            for subject, name in _all_subjects(kind, subjects)
        ]
        return sorted(found, key=lambda one: (-one.state.gravity, one.kind.name, one.subject))

    def _answer(
        self, kind: PaperKind, subject: Thing | Spot | None, name: str, on: datetime.date
    ) -> PaperAnswer:
        held = [paper for paper in self._held.get(kind.pk, ()) if _covers(paper, kind, subject)]
        good = [paper for paper in held if paper.holds_on(on)]
        best = max(good or held, key=lambda paper: paper.holds_until, default=None)
        state = paper_state(
            held=bool(held),
            holds=bool(good),
            holds_until=best.holds_until if best else None,
            lead_days=kind.lead_days,
            on=on,
        )
        return PaperAnswer(kind, name, on, state, best, _sentence(kind, name, state, best, on))


def _asked(kind: PaperKind, scope: DayScope) -> bool:
    return {
        _ACTIVITY.EVERY_DAY: True,
        _ACTIVITY.FLYING: scope.flying,
        _ACTIVITY.SAND: scope.sand,
        _ACTIVITY.MINORS: scope.minors,
        _ACTIVITY.DRIVING: True,  # clients are driven on every guided day
    }[_ACTIVITY(kind.activity)]


def _subjects(kind: PaperKind, scope: DayScope) -> list[tuple[Thing | Spot | None, str]]:
    if kind.scope == _SCOPE.CRAFT:
        return [(scope.craft, scope.craft.label)] if scope.craft and scope.flying else []
    if kind.scope == _SCOPE.SPOT:
        return [(scope.spot, scope.spot.name)] if scope.spot else []
    if kind.scope == _SCOPE.VEHICLE:
        return [(vehicle, vehicle.label) for vehicle in scope.vehicles]
    return [(None, kind.get_scope_display())]


def _all_subjects(
    kind: PaperKind, subjects: dict[str, list[tuple[Thing | Spot | None, str]]]
) -> list[tuple[Thing | Spot | None, str]]:
    if kind.scope in {_SCOPE.CRAFT, _SCOPE.VEHICLE, _SCOPE.SPOT}:
        return subjects.get(kind.scope, [])
    return [(None, kind.get_scope_display())]


def _covers(paper: HeldPaper, kind: PaperKind, subject: Thing | Spot | None) -> bool:
    if kind.scope in {_SCOPE.CRAFT, _SCOPE.VEHICLE}:
        return subject is not None and paper.thing_id == subject.pk
    if kind.scope == _SCOPE.SPOT:
        return subject is not None and subject.pk in {spot.pk for spot in paper.spots.all()}
    return True


def _sentence(
    kind: PaperKind,
    subject: str,
    state: PaperState,
    paper: HeldPaper | None,
    on: datetime.date,
) -> str:
    of = f"{kind.name} for {subject}"
    if paper is None:
        return f"{of}: no paper is on record."
    until = f"{paper.holds_until:%-d %B %Y}"
    if state is PaperState.OUT_OF_DATE and on < paper.valid_from:
        return f"{of}: {paper.number} holds only from {paper.valid_from:%-d %B %Y}."
    if state is PaperState.OUT_OF_DATE:
        return f"{of}: {paper.number} held until {until}, the day is {on:%-d %B %Y}."
    if state is PaperState.RUNNING_OUT:
        days = f"{kind.lead_days} day{'s' * (kind.lead_days != 1)}"
        return f"{of}: {paper.number} holds until {until}; renewing takes {days}."
    return f"{of}: {paper.number}, {paper.issuer}, holds until {until}."


def vehicles_in_use() -> tuple[Thing, ...]:
    """Every vehicle that is not retired: which one drives is known only on the day."""
    return tuple(Thing.objects.filter(kind=Thing.Kind.VEHICLE, retired_on=None))


def standing(on: datetime.date) -> list[PaperAnswer]:
    """Every paper asked for here on a day, for each craft, vehicle and spot there is."""
    craft = Thing.objects.filter(kind=Thing.Kind.CRAFT, retired_on=None)
    return PaperBook().standing(on, (*craft, *vehicles_in_use()), tuple(Spot.objects.all()))


def trip_days(trip: Trip, zone: datetime.tzinfo) -> tuple[datetime.date, ...]:
    """Every local date that a trip touches."""
    first, last = (at.astimezone(zone).date() for at in (trip.starts_at, trip.ends_at))
    return tuple(first + datetime.timedelta(days=n) for n in range((last - first).days + 1))


def trip_papers(
    scope: DayScope, days: Sequence[datetime.date], book: PaperBook | None = None
) -> list[PaperAnswer]:
    """What the papers say for a trip: for each paper the day on which it is worst."""
    book = book or PaperBook()
    worst: dict[tuple[int, str], PaperAnswer] = {}
    for day in days:
        for answer in book.answers(scope, day):
            key = (answer.kind.pk, answer.subject)
            if key not in worst or answer.state.gravity > worst[key].state.gravity:
                worst[key] = answer
    return sorted(worst.values(), key=lambda one: (-one.state.gravity, one.kind.name, one.subject))


def refusals(answers: Iterable[PaperAnswer]) -> list[str]:
    """Why a trip may not be confirmed; empty where every hard paper is in date."""
    return [answer.sentence for answer in answers if answer.blocks]


def held_papers() -> QuerySet[HeldPaper]:
    return HeldPaper.objects.select_related("kind", "thing").prefetch_related("spots")
