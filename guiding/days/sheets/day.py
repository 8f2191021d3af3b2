"""A day at a spot: light, tide and plan gathered once, for strip, sheets and command."""

from __future__ import annotations

import datetime

from guiding.almanac.windows import Windows
from guiding.days.models import DayPlan, Spot
from guiding.days.queries.drops import permission_on
from guiding.days.queries.forecasts import Weather
from guiding.days.sheets.nature import SpotDay, spot_day
from guiding.drawings import strip

__all__ = ["SpotDay", "cast_only_reason", "spot_day", "strip_facts"]


def strip_facts(
    found: SpotDay,
    *,
    plan: DayPlan | None = None,
    now: datetime.datetime | None = None,
    title: str = "",
    weather: Weather | None = None,
    may_fly: Windows | None = None,
    over_limit: Windows | None = None,
    wind_limit_ms: float | None = None,
) -> strip.StripFacts:
    """The day strip of a spot, with the plan and the forecast drawn in where there are any.

    `may_fly` is light, wind and craft together; without it the bar shows the flying light alone.
    """
    light, spot = found.light, found.spot
    return strip.StripFacts(
        day=light.day,
        zone=light.zone,
        day_start=light.start,
        day_end=light.end,
        title=title,
        tones=tuple(
            strip.ToneSpan(tone.start, tone.end, strip.Tone(tone.tone.value))
            for tone in light.tones
        ),
        tide=tuple(strip.TidePoint(at, height) for at, height in found.curve),
        turns=tuple(
            strip.TideTurn(turn.at, turn.height_m, strip.TurnKind(turn.kind.value))
            for turn in found.turns
        ),
        tide_note=f"{found.tide_source}. Heights above {found.tide.datum}."
        if found.tide
        else found.tide_why,
        cut_off_m=found.shut_level_m,
        unsafe=_spans(found.shut.clip(light.start, light.end)),
        moon=strip.MoonDay(
            lit_share=light.moon_fraction,
            waxing=light.moon_waxing,
            rise=light.moonrise,
            set=light.moonset,
            from_south=spot.latitude < 0,
        ),
        plan=_blocks(plan) if plan else (),
        winds=_winds(weather),
        waves=_waves(weather),
        wind_limit_ms=wind_limit_ms,
        over_limit=_spans(over_limit),
        may_fly=_spans(found.flying_light if may_fly is None else may_fly),
        cast_only=cast_only_reason(spot, light.day),
        now=now,
        notes=_notes(weather, by_light_alone=may_fly is None),
    )


def _notes(weather: Weather | None, *, by_light_alone: bool) -> tuple[str, ...]:
    notes = ["Not for navigation."]
    if by_light_alone:
        notes.append("Hours to fly by their light alone: no wind and no craft in it.")
    if weather is not None and weather.credit:
        notes.append(weather.credit)
    return tuple(notes)


def _winds(weather: Weather | None) -> tuple[strip.WindSample, ...]:
    return tuple(
        strip.WindSample(hour.at, hour.wind_ms, hour.wind_from_deg, hour.gust_ms)
        for hour in (weather.hours if weather else ())
        if hour.wind_ms is not None and hour.wind_from_deg is not None
    )


def _waves(weather: Weather | None) -> tuple[strip.WaveSample, ...]:
    return tuple(
        strip.WaveSample(hour.at, hour.wave_m)
        for hour in (weather.hours if weather else ())
        if hour.wave_m is not None
    )


def _spans(windows: Windows | None) -> tuple[strip.Span, ...]:
    return tuple(strip.Span(span.start, span.end) for span in windows or ())


def cast_only_reason(spot: Spot, day: datetime.date) -> str | None:
    """Why nothing may be flown here on a day, or None where both permissions are proven for it."""
    return permission_on(spot=spot, on=day).sentence or None


def _blocks(plan: DayPlan) -> tuple[strip.PlanBlock, ...]:
    """The plan as blocks: drive, set up, session, pack down, drive home."""
    spot, minute = plan.spot, datetime.timedelta(minutes=1)
    ready = plan.session_start - (spot.set_up_min + spot.walk_out_min) * minute
    packed = plan.session_end + (spot.pack_up_min + spot.walk_out_min) * minute
    kinds = strip.BlockKind
    blocks = [
        (ready - spot.drive_min * minute, ready, kinds.DRIVE),
        (ready, plan.session_start, kinds.SET_UP),
        (plan.session_start, plan.session_end, kinds.SESSION),
        (plan.session_end, packed, kinds.PACK_DOWN),
        (packed, packed + spot.drive_min * minute, kinds.DRIVE),
    ]
    return tuple(strip.PlanBlock(a, b, kind) for a, b, kind in blocks if a < b)
