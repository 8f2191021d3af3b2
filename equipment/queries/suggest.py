"""Which packs, reels and craft to take on a trip, and why."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from equipment.models import Thing
from equipment.queries.gear import (
    FIT,
    GROUNDED,
    Fitness,
    GearState,
    fitness,
    gear_list,
    own_words,
)
from equipment.queries.lines import USUAL_DROP_M

_TAKEN_KINDS = (Thing.Kind.CRAFT, Thing.Kind.PACK, Thing.Kind.REEL)
_Ranked = tuple[Fitness, GearState]
_NOTHING: Mapping[int, str] = {}


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One thing, whether it should go along, and the reason in a sentence.

    `take` is what counts: the guide's own word where there is one, else the advice in `advised`;
    `may_go` says whether it could go at all.
    """

    fitness: Fitness
    advised: bool
    take: bool
    place: int | None
    reason: str
    may_go: bool


@dataclass(frozen=True, slots=True)
class Suggestions:
    """What to take, kind by kind, best first; `short` says in sentences what is lacking."""

    craft: tuple[Suggestion, ...]
    packs: tuple[Suggestion, ...]
    reels: tuple[Suggestion, ...]
    short: tuple[str, ...]


def suggest(
    *,
    on: datetime.date,
    trip_uid: uuid.UUID | None = None,
    craft: int = 1,
    packs: int = 0,
    reels: int = 0,
    drop_m: float = USUAL_DROP_M,
    planned_craft: int | None = None,
) -> Suggestions:
    """What to take on a trip that needs so many craft, packs and reels.

    Grounded things stay; of the others those that are fit come before those to be watched. Packs:
    the ones of least cycles first among those alike in health to five points, so that wear is
    levelled and the strong ones are not kept for show; what fits a craft that stays, stays with it.
    Reels: the shortest line that still serves the distance with its reserve goes first, so that
    long lines stay long. Craft: the one on the plan (`planned_craft`), then the one of least
    flights. The guide's own word for the trip goes before all of it.
    """
    states = gear_list(on=on, drop_m=drop_m, kinds=_TAKEN_KINDS)
    own = own_words(trip_uid=trip_uid)

    def ranked(kind: str) -> list[_Ranked]:
        pairs = [(fitness(one, own.get(one.thing_id)), one) for one in states if one.kind == kind]
        return sorted(pairs, key=lambda pair: _rank(pair[0], pair[1], planned_craft))

    flown = _taken(ranked(Thing.Kind.CRAFT), craft)
    found = {
        "craft": (flown, craft),
        "flight packs": (_taken(ranked(Thing.Kind.PACK), packs, _left_behind(flown)), packs),
        "reels": (_taken(ranked(Thing.Kind.REEL), reels), reels),
    }
    return Suggestions(
        craft=found["craft"][0],
        packs=found["flight packs"][0],
        reels=found["reels"][0],
        short=tuple(
            f"{need} {words} needed, {sum(one.may_go for one in these)} may go along."
            for words, (these, need) in found.items()
            if sum(one.may_go for one in these) < need
        ),
    )


def _left_behind(flown: Sequence[Suggestion]) -> dict[int, str]:
    """Craft that stay while another goes: their packs are of no use on the day."""
    if not any(one.take for one in flown):
        return {}
    return {one.fitness.thing_id: one.fitness.label for one in flown if not one.take}


def _rank(fit: Fitness, state: GearState, planned_craft: int | None) -> tuple[object, ...]:
    order = {FIT: 0, GROUNDED: 2}.get(fit.state, 1)
    if state.pack is not None:
        health = state.pack.health_share
        # Twentieths of health: within one, the pack with fewer cycles goes first.
        step = -int(health * 20 + 1e-9) if health is not None else 1
        return order, step, state.pack.cycles, state.label
    if state.reel is not None:
        return order, state.reel.left_m or 0.0, 0, state.label
    return order, state.thing_id != planned_craft, state.counts.flights, state.label


def _taken(
    ranked: Sequence[_Ranked], need: int, left_behind: Mapping[int, str] = _NOTHING
) -> tuple[Suggestion, ...]:
    """The first ones that may go are advised, as many as are needed; what the guide said he takes
    or leaves is counted in, so that the advice fills up the rest."""
    own = {fit.thing_id for fit, _ in ranked if fit.take and fit.state != GROUNDED}
    places = max(0, need - len(own))
    found: list[Suggestion] = []
    place = 0
    for fit, state in ranked:
        fits = state.pack.fits_id if state.pack else None
        other = left_behind.get(fits, "") if fits else ""
        may_go = fit.state != GROUNDED and not (other and not fit.take)
        advised = may_go and fit.take is None and places > 0
        places -= advised
        take = may_go and (advised or bool(fit.take))
        place += take
        why = _why(fit, state, take, other)
        found.append(Suggestion(fit, advised, take, place if take else None, why, may_go))
    return tuple(sorted(found, key=lambda one: not one.may_go))


def _why(fit: Fitness, state: GearState, take: bool, other: str) -> str:
    if fit.state == GROUNDED:
        return f"Stays: {fit.reason}"
    if fit.take is not None:
        return f"Your own word: {fit.overruled}"
    if other:
        return f"Stays: it fits {other}, which does not go along."
    if state.pack is not None:
        health = state.pack.health_share
        known = "health not measured" if health is None else f"{health:.0%} of rated"
        facts = f"{known}, {state.pack.cycles} cycle{'s' * (state.pack.cycles != 1)}"
    elif state.reel is not None:
        facts = f"{state.reel.left_m or 0:.0f} m left, {state.reel.need_m:.0f} m needed"
    else:
        flights = state.counts.flights
        facts = f"{flights} flight{'s' * (flights != 1)}"
    watched = "" if fit.state == FIT else f" To be watched: {fit.reason}"
    return f"{'Goes' if take else 'Not needed'}: {facts}.{watched}"
