"""What a forecast says against a day that is not planned yet: its stops, in a sentence."""

from __future__ import annotations

import datetime
from zoneinfo import ZoneInfo

from guiding.days.queries.forecasts import Weather
from guiding.days.rules.decision import DayFacts, DayHours, FlyFacts, PartyFacts, SeaFacts, TheHouse
from guiding.days.rules.decision.weather_findings import weather_findings
from guiding.days.rules.limits import Finding, Verdict
from guiding.days.rules.session import DayTimes
from guiding.days.sheets.decision import spot_limits
from guiding.days.sheets.nature import SpotDay

_NOT_LIMITS = {"forecast", "forecast age"}


def forecast_stop(nature: SpotDay, weather: Weather, times: DayTimes, house: TheHouse) -> str:
    """The limit of the spot that the forecast is over during a stay; empty where none is."""
    if times.packed <= weather.start or times.at_spot >= weather.end:
        return ""
    facts = DayFacts(
        known_at=weather.oldest_issued_at or times.at_spot,
        hours=_hours(nature, times),
        spot=spot_limits(nature.spot, nature.light.day),
        house=house,
        party=PartyFacts(1),
        sea=SeaFacts(),
        fly=FlyFacts(),
        forecast=weather.facts(ZoneInfo(nature.light.zone)),
    )
    stops = [
        one
        for one in weather_findings(facts)
        if one.verdict is Verdict.STOP and one.key not in _NOT_LIMITS
    ]
    return _told(stops[0], nature.light.zone) if stops else ""


def _hours(nature: SpotDay, times: DayTimes) -> DayHours:
    return DayHours(
        day=nature.light.day,
        zone=nature.light.zone,
        pick_up=times.pick_up,
        at_spot=times.at_spot,
        session_start=times.session_start,
        session_end=times.session_end,
        packed=times.packed,
        drop_off=times.drop_off,
    )


def _told(one: Finding, zone: str) -> str:
    at: datetime.datetime | None = one.at
    clock = f" at {at.astimezone(ZoneInfo(zone)):%H:%M}" if at else ""
    if one.value is None:
        return f"{one.what.lower()} {one.note}"
    return (
        f"{one.what.lower()} {one.value:g} {one.unit} forecast{clock}, "
        f"stop from {one.limit:g} {one.unit}"
    )
