"""The assessment of a trip as it stands: what fired, what the guide chose, what changed since."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from bookings.models import Trip
from guiding.safety.models import HazardChoice, SignedAssessment
from guiding.safety.queries.library import library
from guiding.safety.rules.facts import FiredHazard, TripFacts
from guiding.safety.rules.hazards import fired_hazards
from guiding.safety.rules.matrix import risk_band


@dataclass(frozen=True, slots=True)
class AssessedHazard:
    """A hazard with its number, and its risk before and after what we do about it."""

    fired: FiredHazard
    band_before: str
    band_after: str
    choice: HazardChoice | None = None

    @property
    def score_before(self) -> int:
        return self.fired.weight

    @property
    def score_after(self) -> int:
        hazard = self.fired.hazard
        return hazard.likelihood_after * hazard.consequence_after


@dataclass(frozen=True, slots=True)
class Assessment:
    """A trip's hazards, those the guide took off, and what was signed.

    `changed` says what is no longer as it was signed; then the assessment asks for another look.
    """

    facts: TripFacts
    hazards: tuple[AssessedHazard, ...]
    dropped: tuple[AssessedHazard, ...]
    signed: SignedAssessment | None
    changed: tuple[str, ...]
    library_size: int

    @property
    def fired(self) -> tuple[FiredHazard, ...]:
        return tuple(one.fired for one in self.hazards)

    @property
    def in_order(self) -> bool:
        return self.signed is not None and not self.changed


def assess(trip: Trip, facts: TripFacts, *, language: str = "en") -> Assessment:
    """The hazards of a trip on these facts. A constant number of queries."""
    known = library(language=language)
    choices = {
        choice.hazard.key: choice
        for choice in HazardChoice.objects.filter(trip=trip).select_related("hazard")
    }
    fired = {one.key: one for one in fired_hazards(facts, known)}
    for hazard in known:
        choice = choices.get(hazard.key)
        if choice and choice.take and hazard.key not in fired:
            fired[hazard.key] = FiredHazard(hazard, f"added: {choice.reason}", added=True)
    ranked = sorted(fired.values(), key=lambda one: -one.weight)
    everything = [_assessed(one, choices.get(one.key)) for one in ranked]
    taken = tuple(one for one in everything if one.choice is None or one.choice.take)
    dropped = tuple(one for one in everything if one.choice is not None and not one.choice.take)
    signed = SignedAssessment.objects.filter(trip=trip).first()
    return Assessment(
        facts=facts,
        hazards=taken,
        dropped=dropped,
        signed=signed,
        changed=_changed(signed, facts, taken) if signed else (),
        library_size=len(known),
    )


def facts_record(facts: TripFacts) -> dict[str, Any]:
    """The facts as they are kept with a signature."""
    return {
        name: list(value) if isinstance(value, tuple) else value
        for name, value in asdict(facts).items()
    }


def lines_record(hazards: tuple[AssessedHazard, ...]) -> list[dict[str, Any]]:
    """The lines of an assessment as they are kept with a signature and told to programs."""
    return [
        {
            "key": one.fired.key,
            "name": one.fired.name,
            "trigger": one.fired.trigger,
            "added": one.fired.added,
            "who": one.fired.hazard.who,
            "before": [one.fired.hazard.likelihood_before, one.fired.hazard.consequence_before],
            "before_band": one.band_before,
            "after": [one.fired.hazard.likelihood_after, one.fired.hazard.consequence_after],
            "after_band": one.band_after,
            "controls": [*one.fired.hazard.controls_before, *one.fired.hazard.controls_during],
        }
        for one in hazards
    ]


def _assessed(fired: FiredHazard, choice: HazardChoice | None) -> AssessedHazard:
    hazard = fired.hazard
    return AssessedHazard(
        fired=fired,
        band_before=risk_band(hazard.likelihood_before, hazard.consequence_before),
        band_after=risk_band(hazard.likelihood_after, hazard.consequence_after),
        choice=choice,
    )


def _changed(
    signed: SignedAssessment, facts: TripFacts, now: tuple[AssessedHazard, ...]
) -> tuple[str, ...]:
    """What is no longer as it was signed: the facts first, then the hazards."""
    said = [
        f"{_words(name)}: {_value(signed.facts.get(name))} when signed, {_value(value)} now"
        for name, value in facts_record(facts).items()
        if signed.facts.get(name) != value
    ]
    before = {line["key"]: line for line in signed.lines}
    after = {line["key"]: line for line in lines_record(now)}
    said += [f"new: {after[key]['name']}" for key in after if key not in before]
    said += [f"no longer: {before[key]['name']}" for key in before if key not in after]
    said += [
        f"what we do changed: {after[key]['name']}"
        for key in after
        if key in before and _measures(before[key]) != _measures(after[key])
    ]
    return tuple(said)


def _measures(line: dict[str, Any]) -> tuple[object, ...]:
    return line["before"], line["after"], line["controls"]


_UNITS = {"_m": " (m)", "_s": " (s)", "_ms": " (m/s)", "_c": " (°C)", "_h": " (h)", "_km": " (km)"}


def _words(name: str) -> str:
    for ending in ("_ms", "_km", "_min", "_kg", "_deg", "_m", "_s", "_c", "_h"):
        if name.endswith(ending):
            return name.removesuffix(ending).replace("_", " ") + _UNITS.get(ending, "")
    return name.replace("_", " ")


def _value(value: object) -> str:
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return " and ".join(value) or "none"
    return f"{value:g}" if isinstance(value, float) else str(value)
