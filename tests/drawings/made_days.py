"""Invented days at Marram Head, for the tests of the drawings."""

from datetime import UTC, date, datetime, timedelta
from math import cos, pi
from zoneinfo import ZoneInfo

from guiding.drawings.strip import (
    BlockKind,
    MoonDay,
    PlanBlock,
    Span,
    StripFacts,
    TidePoint,
    TideTurn,
    Tone,
    ToneSpan,
    TurnKind,
    WaveSample,
    WindSample,
)

ZONE = "Europe/Dublin"
_HALF_TIDE_H = 6.21


def midnight(day: date, zone: str = ZONE) -> datetime:
    """The first instant of a day."""
    return datetime(day.year, day.month, day.day, tzinfo=ZoneInfo(zone)).astimezone(UTC)


def full_day(day: date = date(2026, 7, 18), zone: str = ZONE, **changes: object) -> StripFacts:
    """A summer day with everything on it; `changes` replace fields."""
    start, end = midnight(day, zone), midnight(day + timedelta(days=1), zone)

    def at(hours: float) -> datetime:
        return start + timedelta(hours=hours)

    hours = (end - start) / timedelta(hours=1)
    first_low_h = 2.6
    height = lambda h: 2.3 - 1.75 * cos(pi * (h - first_low_h) / _HALF_TIDE_H)  # noqa: E731
    turns = [
        first_low_h + n * _HALF_TIDE_H for n in range(4) if first_low_h + n * _HALF_TIDE_H < hours
    ]
    marks = [0, 4.2, 5.3, 21.8, 22.7, hours]
    tones = (Tone.NIGHT, Tone.TWILIGHT, Tone.DAY, Tone.TWILIGHT, Tone.NIGHT)
    facts: dict[str, object] = {
        "day": day,
        "zone": zone,
        "day_start": start,
        "day_end": end,
        "title": f"{day:%a} {day.day} {day:%b %Y} · Marram Head",
        "tones": tuple(
            ToneSpan(at(a), at(b), tone)
            for a, b, tone in zip(marks, marks[1:], tones, strict=False)
        ),
        "tide": tuple(TidePoint(at(q / 4), height(q / 4)) for q in range(int(hours * 4) + 1)),
        "turns": tuple(
            TideTurn(at(h), height(h), TurnKind.LOW if n % 2 == 0 else TurnKind.HIGH)
            for n, h in enumerate(turns)
        ),
        "tide_note": "Harmonic constants of Marram Head (invented), heights above chart datum",
        "cut_off_m": 3.4,
        "unsafe": (Span(at(7.05), at(10.6)), Span(at(19.45), at(23.0))),
        "moon": MoonDay(lit_share=0.22, waxing=True, rise=at(9.6), set=at(23.4)),
        "winds": tuple(
            WindSample(
                at(h), 3 + 6 * max(0, (h - 6) / 12), 225 + 3 * h, 5 + 9 * max(0, (h - 6) / 12)
            )
            for h in range(int(hours))
        ),
        "wind_limit_ms": 9.0,
        "over_limit": (Span(at(18), at(22.5)),),
        "waves": tuple(WaveSample(at(h), 0.6 + 0.03 * h) for h in range(0, int(hours), 2)),
        "plan": (
            PlanBlock(at(4.0), at(5.5), BlockKind.DRIVE),
            PlanBlock(at(10.75), at(11.5), BlockKind.SET_UP),
            PlanBlock(at(11.5), at(18.0), BlockKind.SESSION),
            PlanBlock(at(18.0), at(18.75), BlockKind.PACK_DOWN),
            PlanBlock(at(18.75), at(20.25), BlockKind.DRIVE),
        ),
        "may_fly": (Span(at(5.3), at(7.0)), Span(at(10.75), at(18.0))),
        "notes": ("not for navigation",),
    }
    facts.update(changes)
    return StripFacts(**facts)  # type: ignore[arg-type]
