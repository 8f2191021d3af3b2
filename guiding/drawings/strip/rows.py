"""The text twin of the strip: the same facts as a short table."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TypeVar

from guiding.drawings.strip._frame import (
    clock_change,
    clock_text,
    height_text,
    number_text,
    speed_text,
)
from guiding.drawings.strip._plan import block_label
from guiding.drawings.strip._sky import sky_changes
from guiding.drawings.strip.facts import StripFacts, TurnKind, WaveSample, WindSample


@dataclass(frozen=True, slots=True)
class StripRow:
    """One line of the table: when, what, how much."""

    time: str
    what: str
    value: str


_Dated = tuple[datetime, int, StripRow]
_Sample = TypeVar("_Sample", WindSample, WaveSample)
_POINTS = [
    "N",
    "NNE",
    "NE",
    "ENE",
    "E",
    "ESE",
    "SE",
    "SSE",
    "S",
    "SSW",
    "SW",
    "WSW",
    "W",
    "WNW",
    "NW",
    "NNW",
]


def strip_rows(facts: StripFacts) -> tuple[StripRow, ...]:
    """The facts of a day strip as a short table in the order of the day.

    What holds for the whole day comes first, without a time. Wind and waves are given once every
    three hours. Times are those of the strip's zone; an hour that comes twice carries its name.
    """
    dated = [*_clock(facts), *_sky(facts), *_tide(facts), *_sea(facts), *_work(facts)]
    dated.sort(key=lambda one: (one[0], one[1]))
    return (*_whole_day(facts), *(row for _, _, row in dated))


def _whole_day(facts: StripFacts) -> Iterator[StripRow]:
    words = facts.words
    if facts.cast_only is not None:
        yield StripRow("", words.cast_only, facts.cast_only)
    if facts.cut_off_m is not None:
        yield StripRow("", words.cut_off, height_text(facts, facts.cut_off_m))
    if facts.wind_limit_ms is not None:
        limit = f"{speed_text(facts, facts.wind_limit_ms)}\u00a0{facts.speed_unit.value}"
        yield StripRow("", words.wind_limit, limit)
    if facts.moon:
        phase = words.waxing if facts.moon.waxing else words.waning
        share = number_text(facts, facts.moon.lit_share * 100, 0)
        yield StripRow("", words.moon, f"{share}\u00a0% {words.lit}, {phase}")
    if facts.tide_note:
        yield StripRow("", words.tide, facts.tide_note)
    for note in facts.notes:
        yield StripRow("", words.note, note)


def _sky(facts: StripFacts) -> Iterator[_Dated]:
    for at, word in sky_changes(facts):
        yield at, 0, StripRow(clock_text(facts, at), word, "")
    if facts.moon:
        words = facts.words
        for moment, word in ((facts.moon.rise, words.moonrise), (facts.moon.set, words.moonset)):
            if moment and facts.day_start <= moment <= facts.day_end:
                yield moment, 1, StripRow(clock_text(facts, moment), word, "")


def _clock(facts: StripFacts) -> Iterator[_Dated]:
    change = clock_change(facts)
    if change:
        at, by = change
        hours = number_text(
            facts, abs(by) / timedelta(hours=1), 1 if by % timedelta(hours=1) else 0
        )
        sign = "+" if by > timedelta() else "\u2212"
        row = StripRow(clock_text(facts, at), facts.words.clock_change, f"{sign}{hours}\u00a0h")
        yield at, 0, row


def _tide(facts: StripFacts) -> Iterator[_Dated]:
    words = facts.words
    for turn in facts.turns:
        if facts.day_start <= turn.at <= facts.day_end:
            what = words.high_water if turn.kind is TurnKind.HIGH else words.low_water
            row = StripRow(clock_text(facts, turn.at), what, height_text(facts, turn.height_m))
            yield turn.at, 2, row
    for one in facts.unsafe:
        yield one.start, 3, StripRow(_stretch(facts, one.start, one.end), words.cut_off_over, "")


def _sea(facts: StripFacts) -> Iterator[_Dated]:
    words = facts.words
    for one in facts.over_limit:
        yield one.start, 4, StripRow(_stretch(facts, one.start, one.end), words.over_limit, "")
    for wind in _thinned(facts, facts.winds):
        value = (
            f"{speed_text(facts, wind.wind_ms)}\u00a0{facts.speed_unit.value}"
            f" {words.wind_from} {_compass_point(facts, wind.from_deg)}"
        )
        if wind.gust_ms is not None:
            value += f", {words.gusts} {speed_text(facts, wind.gust_ms)}"
        yield wind.at, 5, StripRow(clock_text(facts, wind.at), words.wind, value)
    for wave in _thinned(facts, facts.waves):
        value = height_text(facts, wave.height_m)
        yield wave.at, 6, StripRow(clock_text(facts, wave.at), words.waves, value)


def _work(facts: StripFacts) -> Iterator[_Dated]:
    for block in facts.plan:
        row = StripRow(_stretch(facts, block.start, block.end), block_label(facts, block), "")
        yield block.start, 7, row
    if facts.cast_only is None:
        for one in facts.may_fly:
            row = StripRow(_stretch(facts, one.start, one.end), facts.words.may_fly, "")
            yield one.start, 8, row
    if facts.now is not None and facts.day_start <= facts.now < facts.day_end:
        yield facts.now, 9, StripRow(clock_text(facts, facts.now), facts.words.now, "")


def _thinned(facts: StripFacts, samples: tuple[_Sample, ...]) -> list[_Sample]:
    """The first sample of each three hours of the day."""
    found: dict[int, _Sample] = {}
    for one in sorted(samples, key=lambda sample: sample.at):
        if facts.day_start <= one.at < facts.day_end:
            found.setdefault((one.at - facts.day_start) // timedelta(hours=3), one)
    return list(found.values())


def _stretch(facts: StripFacts, start: datetime, end: datetime) -> str:
    """From one time to another; what lies on another day says so."""
    words = facts.words
    first, last = clock_text(facts, start), clock_text(facts, end)
    if start < facts.day_start:
        first += f" {words.day_before}"
    if end > facts.day_end:
        last += f" {words.next_day}"
    return f"{first} {words.until} {last}"


def _compass_point(facts: StripFacts, from_deg: float) -> str:
    """The nearest of the sixteen points, in the letters of the language."""
    words = facts.words
    letters = {"N": words.north, "E": words.east, "S": words.south, "W": words.west}
    point = _POINTS[round(from_deg % 360 / 22.5) % 16]
    return "".join(letters[letter] for letter in point)
