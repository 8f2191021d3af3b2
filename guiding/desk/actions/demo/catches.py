"""The demo's fish: species with invented rules, and what was landed on the days fished."""

from __future__ import annotations

import datetime
import uuid
from random import Random
from typing import Any

from bookings.models import Participant, Trip
from guiding.days.actions.catches import log_catch, save_species, strike_catch
from guiding.days.models import Catch, DayPlan, SpeciesRule

_NAMES = uuid.UUID("5a0d5a1c-0000-4000-8000-000000000026")  # keys of the log, the same each time
_OPEN_AFTER_MONTH = 4  # the invented closed season is over by then
_TOLD = ("name_en", "name_de", "least_mm", "most_mm", "bag_limit", "protected")


def make_catches(season: dict[str, Any], *, today: datetime.date, dice: Random) -> None:
    """The rules, and some fish on every day fished; all that is kept is within the rules."""
    species = [(_species(entry, season, today), entry) for entry in season["species"]]
    plans = DayPlan.objects.filter(trip__status=Trip.Status.FISHED).select_related("trip")
    for plan in plans.order_by("session_start"):
        _landed(plan, species, season["baits"], dice)
    newest = Catch.objects.order_by("-at").first()
    if newest is not None:  # one press too many, taken back
        twice = log_catch(
            trip=newest.trip, species=newest.species, at=newest.at, now=newest.at,
            key=uuid.uuid5(_NAMES, f"{newest.key} twice"),
        )  # fmt: skip
        strike_catch(catch=twice, at=newest.at + datetime.timedelta(minutes=1))


def _species(entry: dict[str, Any], season: dict[str, Any], today: datetime.date) -> SpeciesRule:
    fields = {name: entry[name] for name in _TOLD if name in entry}
    if "checked" in entry:
        checked_on = today - datetime.timedelta(days=entry["checked"])
        fields |= {"checked_on": checked_on, "source": season["species_source"]}
    if "closed" in entry:
        first, last = (datetime.date.fromisoformat(f"2000-{day}") for day in entry["closed"])
        fields |= {"closed_from": first, "closed_to": last}
    return save_species(on=today, **fields)


def _landed(
    plan: DayPlan, species: list[tuple[SpeciesRule, dict[str, Any]]], baits: list[str], dice: Random
) -> None:
    people: list[Participant | None] = [None, None]
    people += Participant.objects.filter(party__bookings__trip=plan.trip).order_by("pk")
    length_of_day = (plan.session_end - plan.session_start).total_seconds()
    weights = [entry["often"] for _, entry in species]
    kept: set[int] = set()
    for number in range(dice.randrange(0, 8)):
        rule, entry = dice.choices(species, weights)[0]
        length_mm = None
        if entry["usual_mm"] and dice.random() < 0.7:
            shortest, longest = entry["usual_mm"]
            length_mm = dice.randrange(shortest, longest, 5)
        closed = rule.closed_from is not None and plan.session_start.month <= _OPEN_AFTER_MONTH
        keeps = (
            dice.random() < entry["kept"]
            and rule.pk not in kept
            and not closed
            and length_mm is not None
            and (rule.least_mm or 0) <= length_mm <= (rule.most_mm or length_mm)
        )
        if keeps:
            kept.add(rule.pk)
        log_catch(
            trip=plan.trip,
            species=rule,
            at=plan.session_start + datetime.timedelta(seconds=length_of_day * dice.random()),
            now=plan.trip.ends_at,
            key=uuid.uuid5(_NAMES, f"{plan.trip.uid} fish {number}"),
            count=1 if length_mm else dice.choice([1, 1, 2, 3]),
            length_mm=length_mm,
            kept=keeps,
            person=dice.choice(people),
            bait=dice.choice(baits),
        )
