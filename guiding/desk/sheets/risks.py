"""The risks of a trip, fired by its facts."""

from __future__ import annotations

import datetime

from bookings.queries.health import health_facts
from bookings.queries.signers import stays_with
from guiding.almanac.light import sun_track
from guiding.almanac.sea import wind_chill_c
from guiding.almanac.windows import Windows
from guiding.desk.sheets.gather import TripFile
from guiding.desk.sheets.leaving import leave_by
from guiding.papers import records
from guiding.safety.queries.assessment import Assessment, assess
from guiding.safety.queries.facts import (
    Weather,
    hours_between,
    marks_of,
    safety_of,
    weather_of,
)
from guiding.safety.rules.facts import FiredHazard, TripFacts
from guiding.safety.rules.hazards import fired_hazards
from guiding.safety.rules.triggers import LOW_SUN_DEG, OF_PEOPLE

_PATH_HALF_DEG = 25.0  # [house] the sun blinds within this of the path
_MINUTE = datetime.timedelta(minutes=1)


def trip_facts(file: TripFile) -> TripFacts:
    """What is known of the trip; what is not known stays None."""
    plan, nature, trip = file.plan, file.nature, file.trip
    if plan is None or nature is None:
        raise ValueError(f"{trip} has no plan yet: its hazards are not known.")
    spot, strip = plan.spot, file.strip()
    known, marks, health = safety_of(plan), marks_of(trip), health_facts(trip, party=file.party)
    weather = weather_of(plan)
    dark = Windows.of((plan.session_start, plan.session_end)) - nature.light.civil_light
    flying = strip is not None and strip.cast_only is None and plan.craft is not None
    sun_deg = _low_sun_deg(file) if flying else None
    swims_not = sum(1 for person in file.people if person.swims == "no")
    return TripFacts(
        heads=sum(booking.heads for booking in file.bookings),
        minors=len(file.minors),
        minors_without_guardian=sum(1 for minor in file.minors if not stays_with(minor)),
        non_swimmers=max(swims_not, health.non_swimmers),
        flying=flying,
        night=bool(dark),
        rock=spot.ground == "rock",
        tide_cuts_off=spot.sill_m is not None,
        sand_km=plan.sand_km,
        duty_h=(trip.ends_at - trip.starts_at) / datetime.timedelta(hours=1),
        no_coverage=spot.coverage == spot.Coverage.NONE,
        weak_coverage=spot.coverage == spot.Coverage.WEAK,
        vehicle=plan.vehicle.label if plan.vehicle else "",
        wave_m=weather.wave_m,
        period_s=weather.period_s,
        wind_ms=weather.wind_ms,
        air_c=weather.air_high_c,
        water_c=weather.water_c,
        low_sun=sun_deg is not None,
        pier=spot.ground == "pier",
        allergies=max(health.allergies, health.injectors),
        health_notes=health.medicines,
        dark_h=round(dark.total_min / 60, 1),
        road_by_night_h=_road_by_night_h(file),
        sill_m=spot.sill_m,
        leave_spare_min=_leave_spare_min(file),
        ledge_m=known.ledge_m,
        high_tide_m=_high_tide_m(file),
        gust_ms=weather.gust_ms,
        craft_wind_limit_ms=plan.craft.wind_limit_ms if plan.craft else None,
        feels_c=_feels_c(weather),
        uv_index=marks.uv_index,
        thunder=weather.thunder,
        sun_above_horizon_deg=sun_deg,
        rods=plan.rods,
        drops=plan.drops,
        packs=len(plan.packs.all()),
        bait_kg=float(plan.bait_kg),
        walk_min=spot.walk_out_min,
        at_spot=tuple(known.features),
        on_day=tuple(marks.features),
    )


def _low_sun_deg(file: TripFile) -> float | None:
    """How high the sun stands at its lowest in front of the flight path during the session."""
    plan, nature = file.plan, file.nature
    if plan is None or nature is None:
        return None
    spot = plan.spot
    seen = [
        place.altitude_deg
        for place in sun_track(spot.latitude, spot.longitude, file.business.zone, file.day)
        if plan.session_start <= place.at <= plan.session_end
        and 0 <= place.altitude_deg < LOW_SUN_DEG
        and abs((place.azimuth_deg - spot.seaward_deg + 180) % 360 - 180) <= _PATH_HALF_DEG
    ]
    return round(min(seen), 1) if seen else None


def _road_by_night_h(file: TripFile) -> float:
    """Hours at the wheel between midnight and six by the local clock."""
    trip, plan = file.trip, file.plan
    drive = (plan.spot.drive_min if plan else 0) * _MINUTE
    drives = ((trip.starts_at, trip.starts_at + drive), (trip.ends_at - drive, trip.ends_at))
    return round(sum(hours_between(a, b, file.business.tz, 0, 6) for a, b in drives), 1)


def _leave_spare_min(file: TripFile) -> float | None:
    leave = leave_by(file)
    if leave is None or file.plan is None:
        return None
    return round((leave - file.plan.session_end) / _MINUTE)


def _high_tide_m(file: TripFile) -> float | None:
    plan, nature = file.plan, file.nature
    if plan is None or nature is None:
        return None
    heights = [h for at, h in nature.curve if plan.session_start <= at <= plan.session_end]
    return round(max(heights), 2) if heights else None


def _feels_c(weather: Weather) -> float | None:
    """The coldest it will feel; the air itself where wind chill is not defined."""
    if weather.air_low_c is None:
        return None
    if weather.wind_ms is None:
        return weather.air_low_c
    felt = wind_chill_c(weather.air_low_c, weather.wind_ms).felt_c
    return round(felt, 1) if felt is not None else weather.air_low_c


def assessment(file: TripFile, *, language: str = "") -> Assessment:
    """The assessment of the trip as it stands, in a language or in that of the business."""
    language = language or file.business.locale.split("_")[0]
    return assess(file.trip, trip_facts(file), language=language)


def hazards(file: TripFile) -> tuple[FiredHazard, ...]:
    """The hazards of the day with what the guide added and took off, the gravest first."""
    return assessment(file).fired


def risk_lines(file: TripFile, *, language: str = "") -> tuple[records.RiskLine, ...]:
    """The risks as the trip sheet prints them, as far as the library speaks the language.

    What we do about a risk, and the number of the sea, the weather or the spot that brought it;
    never who, how many or why, where it hangs on a person. What the guide added of people is
    said on the day: on a shared one it may be about somebody of another party.
    """
    found = assessment(file, language=language)
    known = tuple(one.hazard for one in found.fired)
    plain = {one.key: one.trigger for one in fired_hazards(found.facts.without_people(), known)}
    shared = len(file.parties) > 1
    return tuple(
        records.RiskLine(
            name=one.name, measure=one.measure, trigger="" if one.added else plain.get(one.key, "")
        )
        for one in found.fired
        if not (one.added and shared and one.hazard.trigger in OF_PEOPLE)
    )
