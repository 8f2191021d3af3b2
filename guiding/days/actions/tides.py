"""Writes about tide sources: typed in by hand or read from files, whole or not at all."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from guiding.almanac.tide import (
    HarmonicTide,
    HeightUnit,
    Problem,
    RepeatedHour,
    Turn,
    TurnColumns,
    TurnKind,
    read_tide_constants,
    read_turns_lines,
    read_turns_table,
)
from guiding.almanac.tide.schureman import constituent_speed_deg_per_h
from guiding.almanac.tide.table import may_follow
from guiding.days.actions.ranges import check_ranges
from guiding.days.models import Spot, TideConstant, TideImport, TideSource, TideTurn

_MOST_TOLD = 5
_HANGS_TOGETHER = datetime.timedelta(hours=27)  # no tide waits longer for its next turn


@dataclass(frozen=True, slots=True)
class TideLoad:
    """What a file holds, and what loading it does or did."""

    source: TideSource
    rows: int
    replaced: int
    first_at: datetime.datetime | None
    last_at: datetime.datetime | None
    notes: tuple[str, ...]
    done: bool


@transaction.atomic
def save_tide(
    *,
    tide: TideSource | None = None,
    constants: str | None = "",
    table: str | None = "",
    reference: TideSource | None = None,
    clock: str = "UTC",
    **fields: Any,
) -> TideSource:
    """A tide source from typed lines: constants, a table, both (the table wins), or a reference.

    None leaves the rows as they are, such as those of an imported table. `clock` is what the times
    of the table are written in: UTC, the name of a zone, or a fixed offset such as +01:00.
    """
    tide = tide or TideSource()
    has_constants, has_table = _has(tide, "constants", constants), _has(tide, "turns", table)
    if (reference is not None) == (has_constants or has_table):
        raise ValidationError(
            "Give either constants or a table of highs and lows, or another place with the "
            "differences from it."
        )
    kinds = TideSource.Kind
    tide.kind = (
        kinds.SECONDARY if reference else kinds.CONSTANTS if has_constants else kinds.TABLE
    ).value
    tide.reference = reference
    for name, value in fields.items():
        setattr(tide, name, value)
    _check_reference(tide, reference)
    check_ranges(tide, {"mean_range_m": (0.01, 20)})
    tide.full_clean()
    waves = None if constants is None else _constants(constants)
    turns = None if table is None else _turns(table, clock, tide.name)
    if turns:
        tide.clock = clock
    tide.save()
    if waves is not None:
        tide.constants.all().delete()
        TideConstant.objects.bulk_create(
            TideConstant(source=tide, name=name, amplitude_m=amplitude, phase_deg=phase)
            for name, amplitude, phase in waves
        )
    if turns is not None:
        tide.turns.all().delete()
        TideTurn.objects.bulk_create(
            TideTurn(source=tide, at=turn.at, height_m=turn.height_m, high=turn.kind == "high")
            for turn in turns
        )
    return tide


def _check_reference(tide: TideSource, reference: TideSource | None) -> None:
    if reference is None:
        return
    if reference.pk == tide.pk:
        raise ValidationError({"reference": "No place is measured from itself. Choose another."})
    if reference.kind == TideSource.Kind.SECONDARY:
        raise ValidationError(
            {
                "reference": f"{reference} is itself measured from {reference.reference}. "
                "Choose a place with constants or a table."
            }
        )


def _has(tide: TideSource, rows: str, typed: str | None) -> bool:
    """Whether the source will have rows of this kind: those typed, or those left as they are."""
    if typed is not None:
        return bool(typed.strip())
    return tide.pk is not None and bool(getattr(tide, rows).exists())


def _constants(text: str) -> list[tuple[str, float, float]]:
    found: dict[str, tuple[str, float, float]] = {}
    problems = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        try:
            name, amplitude, phase = line.replace(";", " ").split()
            row = (name.upper(), float(amplitude), float(phase))
            constituent_speed_deg_per_h(row[0])
            if not (0 <= row[1] < 20 and 0 <= row[2] <= 360):
                raise ValueError("amplitude 0 to 20 m, phase 0 to 360 degrees")
            if row[0] in found:
                raise ValueError(f"{row[0]} stands here twice")
        except ValueError as wrong:
            problems.append(f"Line {number}, {line.strip()[:40]!r}: {wrong}.")
        else:
            found[row[0]] = row
    if problems:
        raise ValidationError({"constants": _told(problems)})
    return list(found.values())


def _turns(text: str, clock: str, name: str) -> Sequence[Turn]:
    if not text.strip():
        return ()
    try:
        reading = read_turns_lines(text, clock, name)
    except ValueError as refusal:
        raise ValidationError({"clock": str(refusal)}) from None
    if reading.tide is None:
        raise ValidationError({"table": _told([_line(each) for each in reading.problems])})
    return reading.tide.table


def _line(problem: Problem) -> str:
    place = f"Line {problem.row}{', ' * bool(problem.column)}{problem.column}: "
    return f"{place if problem.row else ''}{problem.message}"


# ------------------------------------------------------------------ from files


def tide_source_of(*, spot: Spot) -> TideSource:
    """The source that a table for a spot goes into: its own, or a new one that is not saved yet."""
    if spot.tide_source is not None:
        return spot.tide_source
    return TideSource(kind=TideSource.Kind.TABLE, name=spot.name, source="official table")


@transaction.atomic
def import_turns(
    *,
    tide: TideSource,
    text: str,
    columns: TurnColumns,
    unit: HeightUnit,
    zone: str,
    table_source: str = "",
    file_name: str = "",
    repeated_hour: RepeatedHour = RepeatedHour.REFUSE,
    spot: Spot | None = None,
    at: datetime.datetime | None = None,
    by: Any = None,
    dry_run: bool = False,
) -> TideLoad:
    """The highs and lows of an official table; rows of the same days are replaced.

    ValidationError names every bad row under `text`, and then nothing is loaded. `dry_run` reads
    and checks the same and writes nothing. Constants of the place stay: the table wins where it
    reaches. `spot` is given the source where it has none.
    """
    if tide.kind == TideSource.Kind.SECONDARY:
        raise ValidationError(
            f"{tide} follows {tide.reference} by differences: import the table of {tide.reference}."
        )
    try:
        reading = read_turns_table(text, columns, unit, zone, tide.name, tide.datum, repeated_hour)
    except ValueError as refusal:
        raise ValidationError({"zone": str(refusal)}) from None
    if reading.tide is None:
        raise ValidationError({"text": _told(reading.problems)})
    turns = reading.tide.table
    notes, inside = _joins(tide, turns)
    load = TideLoad(tide, len(turns), inside, turns[0].at, turns[-1].at, notes, not dry_run)
    if dry_run:
        return load
    if table_source:
        tide.table_source = table_source
    tide.clock = zone
    if tide.mean_range_m is None:
        tide.mean_range_m = round(reading.tide.mean_range_m, 2)
    tide.full_clean()
    tide.save()
    tide.turns.filter(at__gte=turns[0].at, at__lte=turns[-1].at).delete()
    TideTurn.objects.bulk_create(
        TideTurn(source=tide, at=turn.at, height_m=turn.height_m, high=turn.kind is TurnKind.HIGH)
        for turn in turns
    )
    _record(load, TideImport.Kind.TABLE, text, file_name, f"{unit.value}, {zone}", at, by)
    if spot is not None and spot.tide_source_id is None:
        spot.tide_source = tide
        spot.save()
    return load


def _told(problems: Sequence[object]) -> list[str]:
    """The first problems as sentences, and how many there are where there are more."""
    told = [str(problem) for problem in problems[:_MOST_TOLD]]
    if len(problems) > _MOST_TOLD:
        left = len(problems) - _MOST_TOLD
        told.append(f"And {left} more: {len(problems)} problems in all, of which these come first.")
    return told


def _joins(tide: TideSource, turns: Sequence[Turn]) -> tuple[tuple[str, ...], int]:
    """What to say of the joins with the table on record, and how many of its rows go.

    ValidationError where the rows on either side of a join cannot follow each other.
    """
    if tide.pk is None:
        return (), 0
    first, last = turns[0], turns[-1]
    inside = tide.turns.filter(at__gte=first.at, at__lte=last.at).count()
    notes = []
    before = tide.turns.filter(at__lt=first.at).order_by("-at").first()
    after = tide.turns.filter(at__gt=last.at).order_by("at").first()
    for row, turn, earlier in ((before, first, True), (after, last, False)):
        if row is None:
            continue
        on_record = Turn(row.at, row.height_m, TurnKind.HIGH if row.high else TurnKind.LOW)
        pair = (on_record, turn) if earlier else (turn, on_record)
        if pair[1].at - pair[0].at > _HANGS_TOGETHER:
            notes.append(
                f"Nothing is known between {pair[0].at:%-d %B %Y} and {pair[1].at:%-d %B %Y}."
            )
        elif not may_follow(*pair):
            raise ValidationError(
                {
                    "text": f"The {turn.kind} of {turn.at:%Y-%m-%d %H:%M} UTC does not follow the "
                    f"{on_record.kind} of {on_record.at:%Y-%m-%d %H:%M} UTC on record: a turn "
                    "between them is missing, or the clock or the datum is another."
                }
            )
    return tuple(notes), inside


def _record(
    load: TideLoad, kind: str, text: str, file_name: str, read_as: str,
    at: datetime.datetime | None, by: Any,
) -> None:  # fmt: skip
    row = TideImport(
        source=load.source,
        kind=kind,
        file_name=file_name[-120:] or "typed in",
        file_digest=hashlib.sha256(text.encode()).hexdigest(),
        rows=load.rows,
        replaced=load.replaced,
        first_at=load.first_at,
        last_at=load.last_at,
        read_as=read_as[:120],
        loaded_at=at or timezone.now(),
        loaded_by=by,
    )
    row.full_clean()
    row.save()


@transaction.atomic
def import_constants(
    *,
    constants: str,
    stations: str,
    station_id: str,
    tide: TideSource | None = None,
    file_name: str = "",
    spot: Spot | None = None,
    at: datetime.datetime | None = None,
    by: Any = None,
    dry_run: bool = False,
) -> TideLoad:
    """A station's harmonic constants from two files in CSV; those of before are replaced.

    ValidationError names every bad row under `text`, and then nothing is loaded. A table that was
    loaded for the place stays and wins where it reaches.
    """
    reading = read_tide_constants(constants, stations)
    if reading.problems:
        raise ValidationError({"text": _told(reading.problems)})
    try:
        station = reading.station(station_id)
    except ValueError as refusal:
        raise ValidationError({"station_id": str(refusal)}) from None
    if tide is not None and tide.kind == TideSource.Kind.SECONDARY:
        raise ValidationError(
            f"{tide} follows {tide.reference} by differences: choose another name."
        )
    tide = tide or TideSource(kind=TideSource.Kind.CONSTANTS, name=station.name)
    load = TideLoad(tide, len(station.constituents), 0, None, None, (), not dry_run)
    if dry_run:
        return load
    _take_over(tide, station)
    _record(load, TideImport.Kind.CONSTANTS, constants, file_name, "m, degrees", at, by)
    if spot is not None and spot.tide_source_id is None:
        spot.tide_source = tide
        spot.save()
    return load


def _take_over(tide: TideSource, station: HarmonicTide) -> None:
    tide.source, tide.station, tide.datum = station.source, station.station_id, station.datum
    tide.mean_level_m, tide.mean_range_m = station.z0_m, station.mean_range_m
    tide.latitude, tide.longitude = station.latitude_deg, station.longitude_deg
    tide.full_clean()
    tide.save()
    tide.constants.all().delete()
    TideConstant.objects.bulk_create(
        TideConstant(
            source=tide,
            name=each.name,
            amplitude_m=each.amplitude_m,
            phase_deg=each.phase_deg % 360,
        )
        for each in station.constituents
    )
