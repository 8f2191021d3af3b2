"""What the forecast comes to: waves, wind, rain, thunder, felt temperature, and what is missing."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from guiding.almanac.sea import heat_index_c, wind_chill_c
from guiding.days.rules.decision.facts import DayFacts
from guiding.days.rules.limits import (
    Finding,
    Held,
    Scope,
    Verdict,
    Whose,
    hours_told,
    known_hours,
    touching,
    wind_stop_at,
    worst_finding,
)
from guiding.days.rules.weather import WeatherHour

_HUMIDITY_SHARE = 0.6  # where no humidity is forecast [house]
_FIGURES = (("wind_ms", "wind"), ("wave_m", "waves"))


def weather_findings(facts: DayFacts) -> Iterator[Finding]:
    """The findings of the forecast over the stay, from the arrival to when all is packed."""
    yield from _forecast(facts)
    found = (
        _worst(facts, "waves", "Waves", _waves(facts), "m"),
        _worst(facts, "period", "Wave period", _period(facts), "s"),
        _worst(facts, "wind", "Mean wind", _wind(facts), "m/s"),
        _worst(facts, "rain", "Rain in an hour", _rain(facts), "mm", Whose.BUSINESS),
        _thunder(facts),
        *_felt(facts),
    )
    yield from (each for each in found if each is not None)


def stay(facts: DayFacts) -> tuple[WeatherHour, ...]:
    """The hours of the forecast that touch the stay at the spot."""
    return touching(facts.forecast.hours, facts.hours.at_spot, facts.hours.packed)


def _forecast(facts: DayFacts) -> Iterator[Finding]:
    hours, house = stay(facts), facts.house
    limit = house.forecast_age_h
    oldest = facts.forecast.oldest_issued_at
    if not hours or all(hour.is_empty for hour in hours) or oldest is None:
        yield _of_house(
            "forecast", "Forecast", Verdict.STOP, "nothing is forecast for these hours: enter one"
        )
        return
    age_h = round((facts.known_at - oldest) / timedelta(hours=1), 1)
    verdict = Verdict.CAUTION if age_h > limit else Verdict.GO
    yield Finding(
        "forecast age",
        "Age of the forecast",
        Whose.BUSINESS,
        Scope.DAY,
        verdict,
        "; ".join(facts.forecast.sources),
        max(age_h, 0.0),
        limit,
        "h",
        oldest,
    )
    for name, word in _FIGURES:
        missing = [hour.at for hour in hours if getattr(hour, name) is None]
        if missing:
            told = hours_told(missing, facts.hours.zone)
            note = f"no {word} known for {told}"
            yield _of_house(f"no {word}", f"Forecast of {word}", Verdict.CAUTION, note)


def _of_house(key: str, what: str, verdict: Verdict, note: str) -> Finding:
    return Finding(key, what, Whose.BUSINESS, Scope.DAY, verdict, note)


def _worst(
    facts: DayFacts,
    key: str,
    what: str,
    figures: tuple[Held, ...],
    unit: str,
    whose: Whose = Whose.SPOT,
) -> Finding | None:
    return worst_finding(
        key=key,
        what=what,
        whose=whose,
        scope=Scope.DAY,
        unit=unit,
        figures=figures,
        zone=facts.hours.zone,
    )


def _waves(facts: DayFacts) -> tuple[Held, ...]:
    spot = facts.spot
    return tuple(
        Held(hour.at, value, spot.wave_caution_m, spot.wave_stop_m)
        for hour, value in _known(facts, "wave_m")
    )


def _period(facts: DayFacts) -> tuple[Held, ...]:
    spot = facts.spot
    return tuple(
        Held(hour.at, value, spot.period_caution_s, spot.period_stop_s)
        for hour, value in _known(facts, "period_s")
    )


def _wind(facts: DayFacts) -> tuple[Held, ...]:
    found = []
    for hour, value in _known(facts, "wind_ms"):
        stop, why = wind_stop_at(hour.wind_from_deg, facts.spot.wind_stop_ms, facts.spot.wind_parts)
        caution = round(stop * facts.house.wind_caution_share, 3)
        found.append(Held(hour.at, value, caution, stop, why))
    return tuple(found)


def _rain(facts: DayFacts) -> tuple[Held, ...]:
    caution = facts.house.rain_caution_mm
    return tuple(Held(hour.at, value, caution, None) for hour, value in _known(facts, "rain_mm"))


def _known(facts: DayFacts, name: str) -> tuple[tuple[WeatherHour, float], ...]:
    hours = facts.hours
    return known_hours(
        facts.forecast.hours, hours.at_spot, hours.packed, lambda hour: getattr(hour, name)
    )


def _thunder(facts: DayFacts) -> Finding | None:
    known = [hour for hour in stay(facts) if hour.thunder is not None]
    if not known:
        return None
    heard = [hour.at for hour in known if hour.thunder]
    if not heard:
        return _of_house("thunder", "Thunder", Verdict.GO, "none is forecast")
    told = hours_told(heard, facts.hours.zone)
    return Finding(
        "thunder",
        "Thunder",
        Whose.BUSINESS,
        Scope.DAY,
        Verdict.STOP,
        f"forecast for {told}",
        at=heard[0],
    )


def _felt(facts: DayFacts) -> Iterator[Finding]:
    """How cold and how hot it feels at worst; outside the formulas the air itself counts."""
    felt = [(hour, _cold(hour, air)) for hour, air in _known(facts, "air_c")]
    if not felt:
        return
    house = facts.house
    coldest, cold_c = min(felt, key=lambda pair: pair[1])
    verdict = Verdict.CAUTION if cold_c <= house.feels_cold_c else Verdict.GO
    yield Finding(
        "cold", "Feels as cold as", Whose.BUSINESS, Scope.DAY, verdict,
        "", cold_c, house.feels_cold_c, "°C", coldest.at,
    )  # fmt: skip
    warm = [(hour, _hot(air)) for hour, air in _known(facts, "air_c")]
    hottest, hot_c = max(warm, key=lambda pair: pair[1])
    if hot_c >= house.feels_hot_c:
        yield Finding(
            "heat", "Feels as hot as", Whose.BUSINESS, Scope.DAY, Verdict.CAUTION,
            "humidity taken as 60 %", hot_c, house.feels_hot_c, "°C", hottest.at,
        )  # fmt: skip


def _cold(hour: WeatherHour, air_c: float) -> float:
    chill = wind_chill_c(air_c, hour.wind_ms).felt_c if hour.wind_ms is not None else None
    return round(air_c if chill is None else chill, 1)


def _hot(air_c: float) -> float:
    index = heat_index_c(air_c, _HUMIDITY_SHARE).felt_c
    return round(air_c if index is None else index, 1)
