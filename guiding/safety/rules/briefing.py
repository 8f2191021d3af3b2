"""The briefing as it is read aloud: the lines of this day in a natural order."""

from __future__ import annotations

from dataclasses import dataclass

from guiding.safety.rules.facts import FiredHazard, Part

WORDS_A_MINUTE = 140  # an unhurried pace [house]
WORDS_MOST = 400  # just under three minutes at that pace [house]
HEADINGS = {
    Part.ARRIVAL: "When we arrive",
    Part.WATER: "The water",
    Part.RODS: "Rods and hooks",
    Part.FLYING: "While it flies",
    Part.FISH: "The fish",
    Part.GUIDE_HURT: "If I am hurt",
}


@dataclass(frozen=True, slots=True)
class SpokenPart:
    """A part of the briefing: its heading and the lines to say."""

    part: Part
    heading: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Spoken:
    """What is read aloud; `left_out` names hazards for which there was no room."""

    parts: tuple[SpokenPart, ...]
    words: int
    left_out: tuple[str, ...]


def spoken_briefing(
    fired: tuple[FiredHazard, ...],
    *,
    opening: tuple[str, ...],
    guide_hurt: tuple[str, ...],
    words_most: int = WORDS_MOST,
) -> Spoken:
    """What the guide reads aloud for this day, in the order in which the day goes.

    Of each hazard its one line and the first thing that is done, gravest first until the words run
    out; the parts stand in their order. `opening` is said first and `guide_hurt` last, whatever
    else there is. ValueError when these two alone are too long. Source: house rule.
    """
    left = words_most - _words(opening) - _words(guide_hurt) - _headings()
    if left < 0:
        raise ValueError(f"Opening and close are longer than {words_most} words: shorten them.")
    said: dict[str, tuple[str, ...]] = {}
    gravest = sorted(fired, key=lambda one: -one.weight)
    for hazard in gravest:  # everybody's line goes before anybody's explanation
        line = (hazard.say,)
        if _words(line) <= left:
            said[hazard.key], left = line, left - _words(line)
    for hazard in gravest:
        done = hazard.hazard.controls_during[:1] or hazard.hazard.controls_before[:1]
        if hazard.key in said and done and _words(done) <= left:
            said[hazard.key], left = (*said[hazard.key], *done), left - _words(done)
    parts = []
    for part in Part:
        lines = [
            " ".join(said[one.key])
            for one in gravest
            if one.hazard.part is part and one.key in said
        ]
        if part is Part.ARRIVAL:
            lines = [*opening, *lines]
        if part is Part.GUIDE_HURT:
            lines = [*lines, *guide_hurt]
        if lines:
            parts.append(SpokenPart(part, HEADINGS[part], tuple(lines)))
    return Spoken(
        parts=tuple(parts),
        words=sum(_words((part.heading, *part.lines)) for part in parts),
        left_out=tuple(one.name for one in gravest if one.key not in said),
    )


def child_lines(fired: tuple[FiredHazard, ...]) -> tuple[str, ...]:
    """What the children's own page says, in the order of the briefing, nothing twice."""
    order = list(Part)
    ranked = sorted(fired, key=lambda one: (order.index(one.hazard.part), -one.weight))
    return tuple(dict.fromkeys(one.hazard.child_say for one in ranked if one.hazard.child_say))


def _words(lines: tuple[str, ...]) -> int:
    return sum(len(line.split()) for line in lines)


def _headings() -> int:
    return _words(tuple(HEADINGS.values()))
