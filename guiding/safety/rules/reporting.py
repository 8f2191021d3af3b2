"""What an incident asks to be done by when, and how long its record is kept.

Reminders only, never proof that something must or need not be reported: check with your own
authority and your insurer.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

ADULT_YEARS = 3  # limitation of a claim for injury, law of the English type
MINOR_UNTIL_AGE = 21  # the same: three years from the eighteenth birthday
NEAR_MISS_YEARS = 3  # [house]


@dataclass(frozen=True, slots=True)
class IncidentFacts:
    """What decides about deadlines: where, on which day, and what came of it."""

    country: str
    day: date
    hurt: bool
    serious: bool
    flying: bool
    damage_to_others: bool
    minor_hurt: bool = False
    youngest_born_on: date | None = None


@dataclass(frozen=True, slots=True)
class Deadline:
    """Something to do by a day, and where that is written."""

    what: str
    due_on: date
    source: str


def report_deadlines(facts: IncidentFacts) -> tuple[Deadline, ...]:
    """What an incident asks for, by when, the soonest first.

    Known by source: an accident of a small unmanned aircraft in the US with a serious injury, loss
    of consciousness or more than USD 500 damage to others is reported within ten days (14 CFR
    107.9). Everywhere else the authority is asked on the next day. The insurer's days are a house
    default. A near miss without the craft asks for nothing.
    """
    found = []
    grave = facts.serious or facts.damage_to_others
    if facts.serious:
        found.append(
            Deadline(
                "Ask police, coastguard or the safety-at-work authority whether they want a report",
                facts.day + timedelta(days=1),
                "house rule: ask on the next day",
            )
        )
    if facts.flying and facts.country == "US" and grave:
        found.append(
            Deadline(
                "Report to the FAA: within ten days, where there was serious injury, loss of "
                "consciousness, or damage to others over USD 500",
                facts.day + timedelta(days=10),
                "14 CFR 107.9",
            )
        )
    elif facts.flying and (facts.hurt or grave):
        found.append(
            Deadline(
                "Ask the aviation authority whether it wants an occurrence report, and by when",
                facts.day + timedelta(days=1),
                "house rule: ask on the next day",
            )
        )
    if facts.hurt or facts.damage_to_others:
        found.append(
            Deadline(
                "Tell the insurer; admit nothing before",
                facts.day + timedelta(days=2),
                "house rule: look at your policy",
            )
        )
    return tuple(sorted(found, key=lambda one: one.due_on))


def incident_kept_until(facts: IncidentFacts) -> date:
    """The last day on which the record of an incident is kept.

    Three years for adults; where a minor was hurt until they are 21, and where the birth date is
    not known twenty-one years from the day. Source: limitation law of the English type, an
    example; your own may ask for more.
    """
    if not facts.minor_hurt:
        return _years_on(facts.day, ADULT_YEARS if facts.hurt else NEAR_MISS_YEARS)
    born = facts.youngest_born_on or facts.day
    return max(_years_on(born, MINOR_UNTIL_AGE), _years_on(facts.day, ADULT_YEARS))


def _years_on(day: date, years: int) -> date:
    if (day.month, day.day) == (2, 29):
        day = day + timedelta(days=1)
    return day.replace(year=day.year + years)
