"""Which hazards of the library belong to a day. Check with your own authority."""

from __future__ import annotations

import re

from guiding.safety.rules.facts import FiredHazard, LibraryHazard, Part, TripFacts
from guiding.safety.rules.triggers import TRIGGERS

_BELOW_NOUGHT = re.compile(r"(?<![\w-])-(?=\d)")
_ORDER = {part: place for place, part in enumerate(Part)}


def fired_hazards(facts: TripFacts, library: tuple[LibraryHazard, ...]) -> tuple[FiredHazard, ...]:
    """The hazards of a trip with the number that fired each, the gravest first.

    Graver is the higher product of likelihood and consequence before the controls; equals keep
    the order of the library. ValueError for a hazard whose trigger nobody knows.
    """
    found = []
    for hazard in library:
        if hazard.trigger not in TRIGGERS:
            raise ValueError(f"{hazard.name} hangs on '{hazard.trigger}', which is no trigger.")
        number = TRIGGERS[hazard.trigger](facts)
        if number:
            found.append(FiredHazard(hazard, _BELOW_NOUGHT.sub("\u2212", number)))
    return tuple(sorted(found, key=lambda one: -one.weight))


def spoken_order(fired: tuple[FiredHazard, ...]) -> tuple[FiredHazard, ...]:
    """Hazards in the order of a briefing: arrival, water, rods, flying, fish, a guide who is hurt.

    Within a part the gravest first.
    """
    return tuple(sorted(fired, key=lambda one: (_ORDER[one.hazard.part], -one.weight)))
