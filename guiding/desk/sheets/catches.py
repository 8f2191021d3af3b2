"""The catch of a trip in words: for the page, for the thanks, for the season statement."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from bookings.models import Booking, Business
from guiding.days.models import Catch, SpeciesRule
from guiding.days.queries.catches import (
    anglers_of,
    catches_of,
    limits_of,
    species_lately,
    standing,
)
from guiding.days.rules.catch import CatchFinding, Fault, catch_findings
from guiding.days.rules.seasons import falls_in
from guiding.days.sheets.catch_return import SpeciesTotal, fish_of, totals_of, year_totals
from guiding.desk.sheets.gather import TripFile
from guiding.desk.sheets.languages import language_of
from guiding.papers import records
from guiding.papers.formats import Formats

_FATE = {"en": ("released", "kept"), "de": ("zurückgesetzt", "entnommen")}
_POUND_G = 453.59237
_SHEET_SPECIES = 6  # what a client reads on a sheet of two pages


@dataclass(frozen=True, slots=True)
class FindingWords:
    """Something wrong with fish that were kept, in a sentence; `stops` where they must go back."""

    fault: str
    text: str
    stops: bool
    numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class CatchRow:
    """An entry with its figures as they are read, and what is wrong with it."""

    catch: Catch
    size: str
    weight: str
    faults: tuple[FindingWords, ...] = ()


@dataclass(frozen=True, slots=True)
class SumRow:
    """A species of a day or a year, its figures as they are read."""

    name: str
    count: int
    kept: int
    released: int
    longest: str


@dataclass(frozen=True, slots=True)
class DayCatch:
    """Everything logged on a trip: what counts, what was struck out, the sums, what is wrong."""

    rows: tuple[CatchRow, ...]
    struck: tuple[CatchRow, ...]
    sums: tuple[SumRow, ...]
    findings: tuple[FindingWords, ...]

    @property
    def count(self) -> int:
        return sum(one.count for one in self.sums)

    @property
    def kept(self) -> int:
        return sum(one.kept for one in self.sums)

    @property
    def must_go_back(self) -> bool:
        return any(one.stops for one in self.findings)


def day_catch(file: TripFile, shape: Formats, *, on: datetime.date) -> DayCatch:
    """The catch of a trip against the rules as they are typed in now; `on` tells their age."""
    rows = list(catches_of(file.trip))
    stand = [row for row in rows if row.struck_out_at is None]
    found = catch_findings(
        fish=[fish_of(row, file.business.tz) for row in stand],
        limits=limits_of({row.species for row in stand}),
        anglers=anglers_of(file.trip),
        on=on,
    )
    species = {row.species_id: row.species for row in stand}
    people = {row.person_id: str(row.person) for row in stand}
    told = tuple(
        FindingWords(
            str(one.fault),
            _sentence(one, species[one.species], people, shape),
            one.stops,
            one.numbers,
        )
        for one in found
    )
    return DayCatch(
        rows=tuple(
            _row(row, shape, tuple(one for one in told if row.pk in one.numbers)) for row in stand
        ),
        struck=tuple(_row(row, shape) for row in rows if row.struck_out_at is not None),
        sums=tuple(_sum(one, shape) for one in totals_of(stand, file.business.tz)),
        findings=told,
    )


def _row(row: Catch, shape: Formats, faults: tuple[FindingWords, ...] = ()) -> CatchRow:
    size = shape.fish_length(row.length_mm) if row.length_mm else ""
    return CatchRow(row, size, _weight(row.mass_g, shape), faults)


def _weight(mass_g: int | None, shape: Formats) -> str:
    if mass_g is None:
        return ""
    if shape.letterhead.units is records.Units.IMPERIAL:
        return f"{shape.number(round(mass_g / _POUND_G, 1))} lb"
    return f"{shape.number(round(mass_g / 1000, 2))} kg"


def _sum(one: SpeciesTotal, shape: Formats) -> SumRow:
    total = one.total
    longest = shape.fish_length(total.longest_mm) if total.longest_mm else ""
    name = one.name_in(shape.letterhead.language)
    return SumRow(name, total.count, total.kept, total.released, longest)


def _sentence(
    one: CatchFinding, rule: SpeciesRule, people: dict[int | None, str], shape: Formats
) -> str:
    """A finding with its number and its limit."""
    name = rule.name_en
    match one.fault:
        case Fault.PROTECTED:
            return f"{name} is protected: every one must be released."
        case Fault.CLOSED:
            first, last = (f"{x:%-d %B}" for x in (rule.closed_from, rule.closed_to) if x)
            return f"{name} kept in the closed season, {first} to {last}."
        case Fault.UNDER_SIZE | Fault.OVER_SIZE:
            end = "shortest" if one.fault is Fault.UNDER_SIZE else "longest"
            value, limit = (shape.fish_length(x or 0) for x in (one.value, one.limit))
            return f"{name} of {value} kept: the {end} that may be kept is {limit}."
        case Fault.OVER_BAG:
            return f"{name}: {_bag(one, rule, people)}"
        case Fault.NOT_MEASURED:
            limits = [
                f"the {end} that may be kept is {shape.fish_length(limit)}"
                for end, limit in (("shortest", rule.least_mm), ("longest", rule.most_mm))
                if limit
            ]
            return f"{name} kept and not measured: {', '.join(limits)}."
        case Fault.NOT_KNOWN:
            return f"{name} kept, and no rule is on record for it."
        case _:
            day = shape.short_day(rule.checked_on) if rule.checked_on else "never"
            return f"The rule for {name} was last checked: {day}. Check it again."


def _bag(one: CatchFinding, rule: SpeciesRule, people: dict[int | None, str]) -> str:
    if one.person is not None:
        return f"{one.value} kept by {people[one.person]} on one day, the limit is {one.limit}."
    each = f", {rule.bag_limit} for each of {one.persons}" if one.persons > 1 else ""
    return f"{one.value} kept on one day, the limit is {one.limit}{each}."


def catch_lines(file: TripFile, booking: Booking | None, shape: Formats) -> str:
    """What a party caught, a line each, in its language; empty without fish.

    With the fish that nobody was named for; those of another party's people are not told.
    """
    language = language_of(booking)
    party = booking.party_id if booking else None
    lines: dict[tuple[str, str, str, bool], int] = {}
    for row in standing(catches_of(file.trip)).order_by("at", "pk"):
        if row.person is not None and row.person.party_id != party:
            continue
        name = row.person.given_name if row.person else ""
        size = shape.fish_length(row.length_mm) if row.length_mm else ""
        line = (name, row.species.name_in(language), size, row.kept)
        lines[line] = lines.get(line, 0) + row.count
    told = []
    for (name, species, size, kept), count in lines.items():
        what = f"{count} × {species}" if count > 1 else species
        parts = ", ".join(part for part in (what, size, _FATE[language][kept]) if part)
        told.append(f"{name}: {parts}" if name else parts)
    return "\n".join(told)


def season_fish(year: int, business: Business, shape: Formats) -> records.TallyTable | None:
    """The fish of a year by species for the season statement; None where none were logged."""
    rows = [_sum(one, shape) for one in year_totals(year, business.tz)]
    if not rows:
        return None
    say = shape.words.text
    return records.TallyTable(
        title=say("season.fish"),
        columns=tuple(
            say(f"season.{name}") for name in ("species", "caught", "kept", "let_go", "longest")
        ),
        rows=tuple(
            (
                one.name,
                *(shape.number(x) for x in (one.count, one.kept, one.released)),
                one.longest or "–",
            )
            for one in rows
        ),
    )


def fish_facts(day: datetime.date, shape: Formats) -> records.FishFacts:
    """What may be kept on a day, of the species caught most lately; those with a known rule."""
    rows = [row for row in species_lately() if row.source][:_SHEET_SPECIES]
    checked = [row.checked_on for row in rows if row.checked_on is not None]
    return records.FishFacts(
        limits=tuple(_fish_limit(row, day, shape) for row in rows),
        limits_source="; ".join(dict.fromkeys(row.source for row in rows)),
        limits_checked_on=min(checked, default=None),
    )


def _fish_limit(row: SpeciesRule, day: datetime.date, shape: Formats) -> records.FishLimit:
    rule = limits_of([row])[row.pk]
    closed = rule.closed is not None and falls_in(day, rule.closed)
    notes = []
    if closed and rule.closed is not None:
        until = shape.day_and_month(rule.closed.last_day)
        notes.append(shape.words.text("sheet.fish_closed").format(day=until))
    if rule.most_mm is not None:
        longest = shape.fish_length(rule.most_mm)
        notes.append(shape.words.text("sheet.fish_most").format(length=longest))
    return records.FishLimit(
        species=row.name_in(shape.letterhead.language),
        min_length_mm=rule.least_mm,
        bag=0 if rule.protected or closed else rule.bag,
        note=", ".join(notes),
    )
