"""The catch of a year as a table for whoever collects it, and its sums by species."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from bookings.models import Trip
from bookings.sheets.books import csv_lines
from guiding.days.models import Catch
from guiding.days.queries.catches import catches_of_year, days_fished
from guiding.days.rules.catch import Fish, SpeciesSum, catch_sums

HEAD = (
    "date", "spot", "hours", "rods", "clients", "species", "count", "kept", "released",
    "lengths, cm",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class SpeciesTotal:
    """A species by its names, with what was caught of it."""

    name_en: str
    name_de: str
    total: SpeciesSum

    def name_in(self, language: str) -> str:
        return (self.name_de if language == "de" else "") or self.name_en


@dataclass(frozen=True, slots=True)
class CatchReturn:
    """A year's days of fishing, the fish of each by species, and the sums of the year."""

    year: int
    days: int
    hours: float
    rows: tuple[tuple[object, ...], ...]
    totals: tuple[SpeciesTotal, ...]

    @property
    def count(self) -> int:
        return sum(one.total.count for one in self.totals)

    def lines(self) -> Iterator[str]:
        """The table as CSV, guarded against being read as formulas."""
        return csv_lines([HEAD, *self.rows])


def fish_of(row: Catch, zone: datetime.tzinfo) -> Fish:
    """An entry as the rules see it, on its day where the business is."""
    return Fish(
        number=row.pk,
        species=row.species_id,
        day=row.at.astimezone(zone).date(),
        count=row.count,
        kept=row.kept,
        length_mm=row.length_mm,
        person=row.person_id,
    )


def totals_of(rows: Iterable[Catch], zone: datetime.tzinfo) -> tuple[SpeciesTotal, ...]:
    """Fish by species, most first."""
    rows = list(rows)
    species = {row.species_id: row.species for row in rows}
    return tuple(
        SpeciesTotal(species[one.species].name_en, species[one.species].name_de, one)
        for one in catch_sums([fish_of(row, zone) for row in rows])
    )


def year_totals(year: int, zone: datetime.tzinfo) -> tuple[SpeciesTotal, ...]:
    """The fish of a year by species."""
    return totals_of(catches_of_year(year, zone), zone)


def catch_return(*, year: int, zone: ZoneInfo) -> CatchReturn:
    """Every day fished in a year: one row a species, one row of nothing for a day without fish.

    ValueError for a year outside 2000 to 2100.
    """
    if not 2000 <= year <= 2100:
        raise ValueError(f"There is no catch of {year}: give a year from 2000 to 2100.")
    rows: list[tuple[object, ...]] = []
    fish: list[Catch] = []
    hours, days = 0.0, 0
    for trip in days_fished(year, zone):
        day = _day(trip, zone)
        days, hours = days + 1, hours + float(day[2] or 0)  # type: ignore[arg-type]
        caught = totals_of(trip.fish, zone)  # type: ignore[attr-defined]
        fish += trip.fish  # type: ignore[attr-defined]
        rows += [(*day, *_fish(one)) for one in caught] or [(*day, "", 0, 0, 0, "")]
    return CatchReturn(year, days, round(hours, 2), tuple(rows), totals_of(fish, zone))


def _day(trip: Trip, zone: ZoneInfo) -> tuple[object, ...]:
    """Date, spot, hours with a line in the water, rods and clients; empty where nobody knows."""
    plan = getattr(trip, "plan", None)
    start = plan.session_start if plan else trip.starts_at
    hours = round((plan.session_end - plan.session_start).total_seconds() / 3600, 2) if plan else ""
    heads = sum(booking.heads for booking in trip.confirmed)  # type: ignore[attr-defined]
    spot = plan.spot.name if plan else trip.meeting_place
    return (start.astimezone(zone).date(), spot, hours, plan.rods if plan else "", heads)


def _fish(one: SpeciesTotal) -> tuple[object, ...]:
    lengths = " ".join(f"{length / 10:g}" for length in one.total.lengths_mm)
    return (one.name_en, one.total.count, one.total.kept, one.total.released, lengths)
