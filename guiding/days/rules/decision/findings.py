"""Every limit of a day against what is known of it: spot, craft, business and law."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from guiding.days.rules.decision.facts import DayFacts
from guiding.days.rules.decision.flying_findings import flying_findings, may_fly
from guiding.days.rules.decision.weather_findings import weather_findings
from guiding.days.rules.limits import GRAVITY, Finding, Scope, Verdict, Whose

__all__ = ["day_findings", "may_fly"]


def day_findings(facts: DayFacts) -> tuple[Finding, ...]:
    """What every limit of a day comes to, the gravest first, those of the day before flying.

    The same facts always give the same findings. Numbers are those of the facts; house defaults
    have no source. Advice, not permission: check with your own authority.
    """
    found = [
        *_place(facts),
        *_tide(facts),
        *weather_findings(facts),
        *_people(facts),
        *_work(facts),
        *flying_findings(facts),
    ]
    return tuple(sorted(found, key=lambda one: (one.scope is Scope.FLYING, -GRAVITY[one.verdict])))


def _place(facts: DayFacts) -> Iterator[Finding]:
    spot = facts.spot
    if spot.shut_because:
        yield _spot("closure", "Closure", Verdict.STOP, f"shut: {spot.shut_because}", Whose.LAW)
    limit = facts.house.walked_days
    if spot.walked_on is None:
        yield _spot("walked", "Last walked", Verdict.CAUTION, "never: look at it before the day")
        return
    days = (facts.hours.day - spot.walked_on).days
    yield Finding(
        "walked",
        "Last walked",
        Whose.BUSINESS,
        Scope.DAY,
        Verdict.CAUTION if days > limit else Verdict.GO,
        "before the trip",
        max(float(days), 0.0),
        float(limit),
        "days",
    )


def _tide(facts: DayFacts) -> Iterator[Finding]:
    sea, hours = facts.sea, facts.hours
    if sea.tide_why and (sea.cuts_off or sea.on_sand):
        yield _spot("tide", "Tide", Verdict.STOP, sea.tide_why)
        return
    if sea.cuts_off:
        yield _way_out(facts)
    if sea.on_sand:
        yield _sand(facts)
    if sea.cuts_off and sea.run_up_m is None and sea.run_up_why:
        note = f"waves are not in the leave-by: {sea.run_up_why}"
        yield _spot("run-up", "Run-up of the waves", Verdict.CAUTION, note)
    if hours.session_end <= hours.session_start:
        yield _spot("session", "Session", Verdict.STOP, "it ends before it begins")


def _way_out(facts: DayFacts) -> Finding:
    """Leaving before the session ends is a caution; with less than half of it left, a stop."""
    sea, hours = facts.sea, facts.hours
    if sea.leave_by_at is None:
        return _spot("way out", "Way out", Verdict.GO, sea.leave_why or "it stays open")
    words = f"leave by {_clock(facts, sea.leave_by_at)}"
    verdict = Verdict.GO
    if sea.leave_by_at < hours.session_end:
        words += f", before the session ends at {_clock(facts, hours.session_end)}"
        half = hours.session_start + (hours.session_end - hours.session_start) / 2
        verdict = Verdict.STOP if sea.leave_by_at < half else Verdict.CAUTION
    return Finding(
        "way out",
        "Way out",
        Whose.SPOT,
        Scope.DAY,
        verdict,
        f"{words}; shut from {_clock(facts, sea.way_shut_at)}: {sea.leave_why}",
        limit=sea.level_m,
        unit="m",
        at=sea.leave_by_at,
    )


def _sand(facts: DayFacts) -> Finding:
    """The vehicle can wait above the tide line: off the sand late is a caution, never is a stop."""
    sea, hours = facts.sea, facts.hours
    if sea.last_drive_out_at is None:
        return _spot("sand", "Drive on the sand", Verdict.CAUTION, f"not today: {sea.drive_why}")
    late = sea.last_drive_out_at < hours.packed
    words = f"off it by {_clock(facts, sea.last_drive_out_at)} ({sea.drive_why})"
    if late:
        words += (
            f", before all is packed at {_clock(facts, hours.packed)}: park above the tide line"
        )
    verdict = Verdict.CAUTION if late else Verdict.GO
    return Finding(
        "sand", "Drive on the sand", Whose.SPOT, Scope.DAY, verdict, words, at=sea.last_drive_out_at
    )


def _people(facts: DayFacts) -> Iterator[Finding]:
    party, spot = facts.party, facts.spot
    yield _count("party", "Party at this spot", Whose.SPOT, party.heads, spot.max_party, "heads")
    per_guide = party.heads_per_guide * party.guides
    yield _count("ratio", "Party for one guide", Whose.BUSINESS, party.heads, per_guide, "heads")
    if party.minors and not spot.minors_welcome:
        note = f"{party.minors} under 18, and nobody under 18 is taken here"
        yield _spot("minors", "Minors", Verdict.STOP, note)


def _count(key: str, what: str, whose: Whose, value: int, limit: int, unit: str) -> Finding:
    verdict = Verdict.STOP if value > limit else Verdict.GO
    return Finding(key, what, whose, Scope.DAY, verdict, "", float(value), float(limit), unit)


def _work(facts: DayFacts) -> Iterator[Finding]:
    hours, house = facts.hours, facts.house
    duty_h = (hours.drop_off - hours.pick_up) / timedelta(hours=1)
    yield _hours("duty", "Length of the day", duty_h, house.duty_h, Verdict.STOP)
    yield _hours("driving", "At the wheel", hours.driving_min / 60, house.driving_h, Verdict.STOP)
    for key, what, rest_h in (
        ("rest before", "Rest before the day", hours.rest_before_h),
        ("rest after", "Rest after the day", hours.rest_after_h),
    ):
        if rest_h is not None:
            verdict = Verdict.STOP if rest_h < house.rest_h else Verdict.GO
            yield Finding(
                key, what, Whose.BUSINESS, Scope.DAY, verdict, "",
                round(rest_h, 2), house.rest_h, "h",
            )  # fmt: skip


def _hours(key: str, what: str, value_h: float, limit_h: float, over: Verdict) -> Finding:
    verdict = over if value_h > limit_h else Verdict.GO
    return Finding(
        key, what, Whose.BUSINESS, Scope.DAY, verdict, "", round(value_h, 2), limit_h, "h"
    )


def _spot(key: str, what: str, verdict: Verdict, note: str, whose: Whose = Whose.SPOT) -> Finding:
    return Finding(key, what, whose, Scope.DAY, verdict, note)


def _clock(facts: DayFacts, at: datetime | None) -> str:
    return "–" if at is None else f"{at.astimezone(ZoneInfo(facts.hours.zone)):%H:%M}"
