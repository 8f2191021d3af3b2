"""The drop plan in words: the key under the drawing and the text twin of it."""

from dataclasses import dataclass
from math import atan2, degrees, hypot

from guiding.drawings._axes import plain_number
from guiding.drawings.drop_plan.facts import DropPlanFacts, ShorePoint
from guiding.drawings.units import shown_length, speed_text


@dataclass(frozen=True, slots=True)
class DropRow:
    """One line: what, how much, and whether it is a warning. Marks carry their number."""

    what: str
    value: str
    number: int = 0
    warns: bool = False


def drop_plan_rows(facts: DropPlanFacts) -> tuple[DropRow, ...]:
    """The facts of a drop plan as a short table: marks by number, flight, wind, clearances."""
    rows = [
        DropRow(one.label, _place(facts, one.at), number)
        for number, one in enumerate(facts.marks, start=1)
    ]
    if facts.cast_only is not None:
        rows.append(DropRow(facts.words.cast_only, facts.cast_only, warns=True))
    else:
        rows += _flight(facts)
    rows += _weather(facts)
    if facts.keep_behind_m is not None:
        rows.append(DropRow(facts.words.keep_behind, ""))
    rows += [DropRow(one, "", warns=True) for one in facts.warnings]
    rows.append(DropRow(facts.words.caution, ""))
    return tuple(rows)


def _flight(facts: DropPlanFacts) -> list[DropRow]:
    words, rows = facts.words, []
    if facts.release:
        pad, release = facts.path_out[0], facts.release
        away_m = hypot(release.along_m - pad.along_m, release.out_m - pad.out_m)
        value = f"{_metres(facts, away_m)}, {words.bearing} {_bearing(facts, pad, release)}"
        if facts.heights:
            top_m = max(one.height_m for one in facts.heights)
            value += f", {words.height} {_metres(facts, top_m)}"
        rows.append(DropRow(words.release, value))
        rows.append(DropRow(words.fall_zone, _metres(facts, facts.fall_radius_m)))
    if facts.least_height_m is not None:
        hang = f"{words.hangs} {_metres(facts, facts.hang_m)}"
        waves = f"{words.waves} {_metres(facts, facts.wave_height_m)}"
        least = f"{words.least_height} {_metres(facts, facts.least_height_m)} ({hang}, {waves})"
        rows.append(DropRow(words.height, least))
    if facts.ceiling_m is not None:
        rows.append(DropRow(words.ceiling, _metres(facts, facts.ceiling_m)))
    if facts.clear_m is not None:
        value = _metres(facts, facts.clear_m)
        short = facts.clear_needed_m is not None and facts.clear_m < facts.clear_needed_m
        if facts.clear_needed_m is not None:
            value += f", {words.needed} {_metres(facts, facts.clear_needed_m)}"
        rows.append(DropRow(words.nearest_person, value, warns=short))
    return rows


def _weather(facts: DropPlanFacts) -> list[DropRow]:
    if facts.wind_ms is None:
        return []
    words = facts.words
    value = f"{_speed(facts, facts.wind_ms)} {words.wind_from} {facts.wind_from_deg % 360:.0f}°"
    if facts.gust_ms is not None:
        value += f", {words.gusts} {_speed(facts, facts.gust_ms)}"
    return [DropRow(words.wind, value)]


def _place(facts: DropPlanFacts, at: ShorePoint) -> str:
    if at.out_m < 0:
        return ""
    return f"{_metres(facts, at.out_m)} {facts.words.out_to_sea}"


def _bearing(facts: DropPlanFacts, start: ShorePoint, end: ShorePoint) -> str:
    aside = degrees(atan2(end.along_m - start.along_m, end.out_m - start.out_m))
    return f"{round(facts.seaward_deg + aside) % 360:03d}°"


def _metres(facts: DropPlanFacts, length_m: float) -> str:
    shown = shown_length(length_m, facts.length_unit)
    step = 1 if shown >= 20 or float(shown).is_integer() else 0.1
    return f"{plain_number(shown, step, facts.words.decimal_mark)}\u00a0{facts.length_unit}"


def _speed(facts: DropPlanFacts, wind_ms: float) -> str:
    return speed_text(wind_ms, facts.speed_unit, facts.words.decimal_mark)
