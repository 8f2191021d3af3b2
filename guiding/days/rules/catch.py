"""A catch against the rules of its species, and its sums.

The limits are what the guide has looked up and typed in; nothing here knows the law of a place.
Nothing is forbidden either: a fish that was kept was kept, and what is wrong with it is said.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from guiding.days.rules.seasons import ShutDates, falls_in

CHECK_AGAIN_DAYS = 365  # [house] rules of fish change from year to year


class Fault(StrEnum):
    """What may be wrong with fish that were kept, worst first."""

    PROTECTED = "protected"
    CLOSED = "closed season"
    UNDER_SIZE = "under size"
    OVER_SIZE = "over size"
    OVER_BAG = "over the bag limit"
    NOT_MEASURED = "not measured"
    NOT_KNOWN = "rule not known"
    OLD = "rule not checked for a year"


STOPS = (Fault.PROTECTED, Fault.CLOSED, Fault.UNDER_SIZE, Fault.OVER_SIZE, Fault.OVER_BAG)


@dataclass(frozen=True, slots=True)
class SpeciesLimits:
    """What may be kept of a species: lengths in mm, `bag` fish a person and day; None is no limit.

    Dates of the closed season count every year. ValueError for limits that exclude each other.
    """

    least_mm: int | None = None
    most_mm: int | None = None
    bag: int | None = None
    closed: ShutDates | None = None
    protected: bool = False
    checked_on: date | None = None

    def __post_init__(self) -> None:
        if self.least_mm is not None and self.most_mm is not None and self.most_mm < self.least_mm:
            raise ValueError(f"The longest, {self.most_mm} mm, is below {self.least_mm} mm.")
        if self.bag is not None and self.bag < 0:
            raise ValueError(f"A bag of {self.bag} fish cannot be.")

    @property
    def known(self) -> bool:
        """Whether anything is on record of what may be kept."""
        limits = (self.least_mm, self.most_mm, self.bag, self.closed)
        return self.protected or any(limit is not None for limit in limits)


@dataclass(frozen=True, slots=True)
class Fish:
    """One entry: `number` tells it from others, `species` and `person` are numbers of rows.

    ValueError for a count below 1, or a length with more than one fish.
    """

    number: int
    species: int
    day: date
    count: int = 1
    kept: bool = False
    length_mm: int | None = None
    person: int | None = None

    def __post_init__(self) -> None:
        if self.count < 1:
            raise ValueError(f"{self.count} fish cannot be logged: give 1 or more.")
        if self.length_mm is not None and self.count > 1:
            raise ValueError("Log fish that you measured one by one.")


@dataclass(frozen=True, slots=True)
class CatchFinding:
    """Something wrong with fish that were kept: of which entries, the number and its limit.

    `value` and `limit` are mm for sizes and fish for bags; None where there is nothing to compare.
    `persons` is how many people the limit was counted for.
    """

    fault: Fault
    species: int
    numbers: tuple[int, ...]
    value: int | None = None
    limit: int | None = None
    person: int | None = None
    persons: int = 1

    @property
    def stops(self) -> bool:
        """Whether the fish must go back; else something is only to be looked up or measured."""
        return self.fault in STOPS


@dataclass(frozen=True, slots=True)
class SpeciesSum:
    """What was caught of one species; lengths in mm, longest first."""

    species: int
    count: int
    kept: int
    lengths_mm: tuple[int, ...]

    @property
    def released(self) -> int:
        return self.count - self.kept

    @property
    def longest_mm(self) -> int | None:
        return self.lengths_mm[0] if self.lengths_mm else None


def catch_findings(
    *,
    fish: Sequence[Fish],
    limits: Mapping[int, SpeciesLimits],
    anglers: int,
    on: date,
) -> tuple[CatchFinding, ...]:
    """Everything wrong with the fish of a trip that were kept, what must go back first.

    limits: by species; one without is not known. anglers: people who fished, counted as 1 at least.
    on: the day on which it is asked, for the age of the rules. Released fish are never found fault
    with. Neither order nor splitting of unmeasured entries matters. Source: the typed rules.
    """
    found: list[CatchFinding] = []
    kept = sorted((each for each in fish if each.kept), key=lambda each: each.number)
    for each in kept:
        found += _of_one(each, limits.get(each.species, SpeciesLimits()))
    found += _over_bag(kept, limits, max(anglers, 1))
    for species in dict.fromkeys(each.species for each in kept):
        rule = limits.get(species, SpeciesLimits())
        numbers = tuple(each.number for each in kept if each.species == species)
        if not rule.known:
            found.append(CatchFinding(Fault.NOT_KNOWN, species, numbers))
        elif rule.checked_on is None or (on - rule.checked_on).days > CHECK_AGAIN_DAYS:
            found.append(CatchFinding(Fault.OLD, species, numbers))
    worst = list(Fault)
    return tuple(sorted(found, key=lambda one: worst.index(one.fault)))


def _of_one(fish: Fish, rule: SpeciesLimits) -> list[CatchFinding]:
    """What is wrong with one entry by itself."""

    def one(fault: Fault, limit: int | None = None) -> CatchFinding:
        value = None if limit is None else fish.length_mm
        return CatchFinding(fault, fish.species, (fish.number,), value, limit, fish.person)

    found = []
    if rule.protected:
        found.append(one(Fault.PROTECTED))
    if rule.closed is not None and falls_in(fish.day, rule.closed):
        found.append(one(Fault.CLOSED))
    if fish.length_mm is None:
        if rule.least_mm is not None or rule.most_mm is not None:
            found.append(one(Fault.NOT_MEASURED))
    elif rule.least_mm is not None and fish.length_mm < rule.least_mm:
        found.append(one(Fault.UNDER_SIZE, rule.least_mm))
    elif rule.most_mm is not None and fish.length_mm > rule.most_mm:
        found.append(one(Fault.OVER_SIZE, rule.most_mm))
    return found


def _over_bag(
    kept: Sequence[Fish], limits: Mapping[int, SpeciesLimits], anglers: int
) -> list[CatchFinding]:
    """More kept on one day than a person may, or than all may together.

    Fish of nobody in particular count for all: they are over only where the whole party is.
    """
    by_day: dict[tuple[int, date], list[Fish]] = defaultdict(list)
    for each in kept:
        by_day[each.species, each.day].append(each)
    found: list[CatchFinding] = []
    for (species, _day), rows in by_day.items():
        bag = limits.get(species, SpeciesLimits()).bag
        if bag is None:
            continue
        own: list[CatchFinding] = []
        for person in dict.fromkeys(row.person for row in rows if row.person is not None):
            own += _more_than([row for row in rows if row.person == person], bag, person=person)
        found += own or _more_than(rows, bag, persons=anglers)
    return found


def _more_than(
    rows: Sequence[Fish], bag: int, *, person: int | None = None, persons: int = 1
) -> list[CatchFinding]:
    count = sum(row.count for row in rows)
    if count <= bag * persons:
        return []
    numbers = tuple(row.number for row in rows)
    return [
        CatchFinding(
            Fault.OVER_BAG, rows[0].species, numbers, count, bag * persons, person, persons
        )
    ]


def catch_sums(fish: Sequence[Fish]) -> tuple[SpeciesSum, ...]:
    """The fish by species, most first; the same for the same fish in any order."""
    by_species: dict[int, list[Fish]] = defaultdict(list)
    for each in fish:
        by_species[each.species].append(each)
    sums = [
        SpeciesSum(
            species,
            sum(row.count for row in rows),
            sum(row.count for row in rows if row.kept),
            tuple(sorted((r.length_mm for r in rows if r.length_mm is not None), reverse=True)),
        )
        for species, rows in by_species.items()
    ]
    return tuple(sorted(sums, key=lambda one: (-one.count, one.species)))
