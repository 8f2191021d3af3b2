"""The plan of a day's drops as it is drawn: from above, from the side, and in words."""

from __future__ import annotations

from dataclasses import replace

from guiding.days.rules.shore import ShorePlace
from guiding.days.sheets.drops import DropsOfDay
from guiding.drawings.drop_plan import (
    DropPlanFacts,
    HeightPoint,
    MarkKind,
    ShoreMark,
    ShorePoint,
)
from guiding.drawings.units import HeightUnit, SpeedUnit
from guiding.flying.checks.findings import Verdict

_BEACH_SHOWN_M = 60.0
# What the drawing itself shows to be wrong; everything else stands in the list of checks.
_DRAWN_CHECKS = {"height", "people", "bearing", "flying light"}


def drop_plan_facts(drops: DropsOfDay, *, title: str = "", imperial: bool = False) -> DropPlanFacts:
    """The drawing of a day's drops; of a day for casting only, the reason in place of a path."""
    spot, layout, weather = drops.plan.spot, drops.layout, drops.weather
    seen = DropPlanFacts(
        title=title or f"{spot.name}, {drops.plan.drop_m:g} m",
        seaward_deg=spot.seaward_deg,
        wind_ms=weather.wind_ms if weather.wind_from_deg is not None else None,
        wind_from_deg=weather.wind_from_deg or 0.0,
        gust_ms=weather.gust_ms,
        length_unit=HeightUnit.FOOT if imperial else HeightUnit.METRE,
        speed_unit=SpeedUnit.MILE_PER_HOUR if imperial else SpeedUnit.METRE_PER_SECOND,
    )
    if drops.cast_only or layout is None or drops.flight is None:
        why = drops.cast_only or "The plan cannot be flown as it stands."
        return replace(seen, cast_only=why)
    height_m = drops.flight.height_m
    pad, release = layout.path_out[0], layout.path_out[-1]
    return replace(
        seen,
        path_out=tuple(_point(one) for one in layout.path_out),
        path_home=tuple(_point(one) for one in layout.path_home),
        fall_radius_m=drops.zone_radius_m,
        marks=_marks(drops),
        keep_behind_m=layout.keep_behind_m,
        heights=(
            HeightPoint(pad.out_m, -pad.out_m * spot.beach_slope),
            HeightPoint(pad.out_m, height_m),
            HeightPoint(release.out_m, height_m),
        ),
        ground=(
            HeightPoint(-_BEACH_SHOWN_M, _BEACH_SHOWN_M * spot.beach_slope),
            HeightPoint(0.0, 0.0),
        ),
        hang_m=drops.hang_m,
        wave_height_m=weather.wave_height_m,
        least_height_m=drops.least_height_m,
        ceiling_m=drops.permission.height_limit_m,
        clear_m=drops.people_m,
        clear_needed_m=drops.zone_radius_m,
        warnings=tuple(
            one.sentence
            for one in drops.findings
            if one.verdict is Verdict.STOP and one.check in _DRAWN_CHECKS
        ),
    )


def _point(place: ShorePlace) -> ShorePoint:
    return ShorePoint(place.along_m, place.out_m)


def _marks(drops: DropsOfDay) -> tuple[ShoreMark, ...]:
    layout = drops.layout
    if layout is None:
        return ()
    people = "people, while it flies"
    if drops.people_m is None:
        people = "people stand here or farther, while it flies"
    rods = [
        ShoreMark(MarkKind.ROD, _point(place), f"rod {number}")
        for number, place in enumerate(layout.rods, 1)
    ]
    return (
        *rods,
        ShoreMark(MarkKind.PAD, _point(layout.pad), "pad and pilot"),
        ShoreMark(MarkKind.SPOTTER, _point(layout.spotter), "spotter"),
        ShoreMark(MarkKind.PEOPLE, _point(layout.people), people),
        ShoreMark(MarkKind.VEHICLE, _point(layout.vehicle), "vehicle"),
    )
