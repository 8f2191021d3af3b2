"""The hazard library as the rules read it."""

from __future__ import annotations

from dataclasses import replace

from guiding.safety.models import Hazard, HazardWords
from guiding.safety.rules.facts import LibraryHazard, Part


def library(*, language: str = "en") -> tuple[LibraryHazard, ...]:
    """Every hazard in force, in a language as far as it is translated. Two queries at most."""
    rows = {row.key: _hazard(row) for row in Hazard.objects.filter(in_force=True)}
    if language != "en":
        for words in HazardWords.objects.filter(
            language=language, hazard__in_force=True
        ).select_related("hazard"):
            rows[words.hazard.key] = _translated(rows[words.hazard.key], words)
    return tuple(rows.values())


def lines(text: str) -> tuple[str, ...]:
    """The lines of a field that holds one each."""
    return tuple(line.strip() for line in text.splitlines() if line.strip())


def _hazard(row: Hazard) -> LibraryHazard:
    return LibraryHazard(
        key=row.key,
        trigger=row.trigger,
        name=row.name,
        who=row.who,
        part=Part(row.part),
        controls_before=lines(row.controls_before),
        controls_during=lines(row.controls_during),
        say=row.say,
        emergency=row.emergency,
        likelihood_before=row.likelihood_before,
        consequence_before=row.consequence_before,
        likelihood_after=row.likelihood_after,
        consequence_after=row.consequence_after,
        child_say=row.child_say,
        law_differs=row.law_differs,
        source=row.source,
    )


def _translated(hazard: LibraryHazard, words: HazardWords) -> LibraryHazard:
    texts = {name: getattr(words, name) for name in ("name", "say", "child_say", "emergency")}
    lists = {name: lines(getattr(words, name)) for name in ("controls_before", "controls_during")}
    found = {name: value for name, value in (texts | lists).items() if value}
    return replace(hazard, **found)
