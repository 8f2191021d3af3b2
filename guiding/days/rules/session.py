"""Which hours of a day to fish, and what the day looks like around them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise

from guiding.almanac.tide import Turn, TurnKind
from guiding.almanac.windows import Span, Windows

_STEP = timedelta(minutes=15)
_NEAR = timedelta(hours=2)  # of a turn [house]
OVERDUE_AFTER = timedelta(hours=2)  # [house] after drop-off, until a plan says otherwise
_INSTANT = timedelta(microseconds=1)
_ZERO = datetime(1, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class SessionProposal:
    """The hours proposed and why, or no hours and why not."""

    span: Span | None
    why: str


@dataclass(frozen=True, slots=True)
class DayTimes:
    """A day around its session: pick-up, at the spot, fishing, packed, drop-off. UTC."""

    pick_up: datetime
    at_spot: datetime
    session_start: datetime
    session_end: datetime
    packed: datetime
    drop_off: datetime

    @property
    def session(self) -> Span:
        """The hours of fishing."""
        return Span(self.session_start, self.session_end)


def propose_session(
    *,
    light: Windows,
    shut: Windows,
    turns: Sequence[Turn],
    tide_wanted: str,
    hours: float,
    start_before: datetime | None = None,
) -> SessionProposal:
    """The best stretch of `hours` in the light while the way out is open.

    `light` and `shut` are UTC windows (shut: no fishing for the sake of the way out);
    `tide_wanted` is one of any, rising, falling, high, low; `hours` 0.5 to 24; a session begins
    before `start_before` where that is given. Starts lie on the quarter of an hour; the one whose
    middle lies nearest to the wanted state of the tide wins, the earliest of equals. None with
    the reason when no stretch is long enough. Source: house rule.
    """
    if not 0.5 <= hours <= 24:
        raise ValueError(f"A session of {hours} hours is not possible; give 0.5 to 24.")
    length = timedelta(hours=hours)
    free = light - shut
    aims = _aims(turns, tide_wanted)
    starts = (at for span in free for at in _starts(span, length, aims, start_before))
    best = min(starts, default=None)
    if best is None:
        longest = free.longest
        found = f"the longest is {longest.length_min / 60:.1f} h" if longest else "there is none"
        return SessionProposal(
            None,
            f"No {hours:g} hour{'s' * (hours != 1)} of light with the way out open on this day: "
            f"{found}.",
        )
    _, start = best
    return SessionProposal(Span(start, start + length), _why(tide_wanted, turns))


def kept_clear(shut: Windows, before_min: float, after_min: float) -> Windows:
    """The time in which nobody fishes for the sake of the way out: each closing and its sides.

    `before_min` for packing up, walking out and slack, `after_min` until somebody may be in place
    again; 0 or more, ValueError below. Source: house rule.
    """
    if min(before_min, after_min) < 0:
        raise ValueError("Minutes before and after a closing are 0 or more: check the two.")
    before, after = timedelta(minutes=before_min), timedelta(minutes=after_min)
    return Windows.of(*((span.start - before, span.end + after) for span in shut))


def _starts(
    span: Span, length: timedelta, aims: Sequence[datetime], start_before: datetime | None
) -> Iterator[tuple[timedelta, datetime]]:
    """Starts on the quarter of an hour that fit the span, with how far off its middle an aim lies.

    For each aim the two beside it: the distance grows to both sides, so no other can be better.
    Without an aim the first start of the span.
    """
    first = span.start + (-(span.start - _ZERO) % _STEP)
    steps = (span.end - length - first) // _STEP
    if start_before is not None and first + steps * _STEP >= start_before:
        steps = (start_before - first - _INSTANT) // _STEP
    if steps < 0:
        return
    if not aims:
        yield timedelta(0), first
    middle = first + length / 2
    for aim in aims:
        below = (aim - middle) // _STEP
        for step in {min(max(below, 0), steps), min(max(below + 1, 0), steps)}:
            yield abs(middle + step * _STEP - aim), first + step * _STEP


def _why(tide_wanted: str, turns: Sequence[Turn]) -> str:
    if tide_wanted == "any" or not turns:
        return "any tide will do: the earliest hours of light"
    return {
        "high": "around high water",
        "low": "around low water",
        "rising": "on the rising tide",
        "falling": "on the falling tide",
    }[tide_wanted]


def _aims(turns: Sequence[Turn], tide_wanted: str) -> list[datetime]:
    if tide_wanted in {"high", "low"}:
        kind = TurnKind.HIGH if tide_wanted == "high" else TurnKind.LOW
        return [turn.at for turn in turns if turn.kind is kind]
    ends_in = {"rising": TurnKind.HIGH, "falling": TurnKind.LOW}.get(tide_wanted)
    if ends_in is None:
        return []
    return [
        before.at + (after.at - before.at) / 2
        for before, after in pairwise(turns)
        if after.kind is ends_in
    ]


def wanted_tide(turns: Sequence[Turn], tide_wanted: str) -> Windows:
    """When the tide is as wanted: rising, falling, within two hours of high or low water [house].

    `turns` in order, those beside the time of interest included. Empty for any tide: every hour
    will do.
    """
    return Windows.of(*_wanted(turns, tide_wanted))


def tide_share(session: Span, turns: Sequence[Turn], tide_wanted: str) -> float:
    """How much of a session the tide is as wanted, 0 to 1, against the most there can be.

    A stretch around a turn lasts four hours, a rise or a fall six: a longer session counts as so
    long. 1 where any tide will do; 0 where no turn is known. Source: house rule.
    """
    if tide_wanted == "any":
        return 1.0
    most_min = 240.0 if tide_wanted in {"high", "low"} else 360.0
    start, end = session.start, session.end
    hit = timedelta(0)
    for first, last in _wanted(turns, tide_wanted):
        if first < end and last > start:
            hit += min(last, end) - max(first, start)
    hit_min = hit / timedelta(minutes=1)
    return round(min(hit_min / min(session.length_min, most_min), 1.0), 4)


def _wanted(turns: Sequence[Turn], tide_wanted: str) -> list[tuple[datetime, datetime]]:
    if tide_wanted in {"high", "low"}:
        return [(at - _NEAR, at + _NEAR) for at in _aims(turns, tide_wanted)]
    ends_in = {"rising": TurnKind.HIGH, "falling": TurnKind.LOW}.get(tide_wanted)
    return [(before.at, after.at) for before, after in pairwise(turns) if after.kind is ends_in]


def day_times(
    *,
    session: Span,
    drive_min: int,
    set_up_min: int,
    pack_up_min: int,
    walk_out_min: int,
    spare_min: int = 20,
) -> DayTimes:
    """The times of a day around its session; all minutes 0 or more. Source: house rule."""
    if min(drive_min, set_up_min, pack_up_min, walk_out_min, spare_min) < 0:
        raise ValueError("Minutes of driving, setting up and packing cannot be negative.")
    minute = timedelta(minutes=1)
    at_spot = session.start - (set_up_min + walk_out_min) * minute
    packed = session.end + (pack_up_min + walk_out_min) * minute
    return DayTimes(
        pick_up=at_spot - (drive_min + spare_min) * minute,
        at_spot=at_spot,
        session_start=session.start,
        session_end=session.end,
        packed=packed,
        drop_off=packed + drive_min * minute,
    )


def judged_as_of(ends_at: datetime, at: datetime) -> datetime | None:
    """The instant as of which a day is judged: its own end once it is over, None for now.

    What was learned, forecast or set in Setup afterwards changes nothing about a day that was run.
    """
    return ends_at if at > ends_at else None
