"""A planned day with everything that decides about it: gathered, weighed, ready to be frozen."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from bookings.models import Business, Trip
from equipment.models import Craft
from equipment.queries.gear import GROUNDED, RETIRED, GearState, gear_list
from guiding.almanac.sea import wave_run_up
from guiding.almanac.session import DriveOut, LeaveBy, SandDrive, glare_windows
from guiding.almanac.tide import TideSource as Tide
from guiding.almanac.windows import Windows
from guiding.days.models import DayPlan, Spot
from guiding.days.queries.decisions import Beside, beside, closed_because, the_house, wind_parts
from guiding.days.queries.flying import flying_defaults
from guiding.days.queries.forecasts import Weather, weather_of
from guiding.days.queries.plans import plan_of
from guiding.days.rules.decision import (
    Call,
    CraftLimits,
    DayFacts,
    DayHours,
    FlyFacts,
    PartyFacts,
    Proposal,
    SeaFacts,
    SpotLimits,
    Stretch,
    TheHouse,
    day_findings,
    may_fly,
    proposal,
    seen_mark,
)
from guiding.days.rules.decision.flying_findings import mean_limit_ms, over_craft_limit
from guiding.days.rules.limits import Finding, Scope, Verdict, touching
from guiding.days.rules.session import judged_as_of
from guiding.days.rules.weather import WeatherHour
from guiding.days.sheets.day import cast_only_reason
from guiding.days.sheets.nature import SpotDay, spot_day, way_out
from guiding.flying.defaults import FlyingDefaults

_MINUTE = datetime.timedelta(minutes=1)
_AFTER = datetime.timedelta(hours=12)  # how far after the session the way out is looked at


@dataclass(frozen=True, slots=True)
class Conditions:
    """What is known of a planned day, what it comes to, and what it proposes."""

    plan: DayPlan
    facts: DayFacts
    findings: tuple[Finding, ...]
    proposal: Proposal
    weather: Weather

    @property
    def call(self) -> Call:
        return self.proposal.call

    @property
    def seen(self) -> str:
        """The mark of what a page shows of it."""
        return seen_mark(self.findings)

    @property
    def stops(self) -> tuple[Finding, ...]:
        """Stops of the day itself; those of flying stand in `flying`."""
        return self.proposal.stops

    @property
    def cautions(self) -> tuple[Finding, ...]:
        return self.proposal.cautions

    @property
    def goes(self) -> tuple[Finding, ...]:
        return tuple(one for one in self.findings if one.verdict is Verdict.GO)

    @property
    def flying(self) -> tuple[Finding, ...]:
        """What speaks against flying, the gravest first."""
        return tuple(
            one
            for one in self.findings
            if one.scope is Scope.FLYING and one.verdict is not Verdict.GO
        )

    @property
    def leave_by_at(self) -> datetime.datetime | None:
        return self.facts.sea.leave_by_at

    @property
    def last_drive_out_at(self) -> datetime.datetime | None:
        return self.facts.sea.last_drive_out_at

    @property
    def may_fly(self) -> Windows:
        """When bait may be flown during the session."""
        hours = self.facts.hours
        return may_fly(self.facts) & Windows.of((hours.session_start, hours.session_end))

    @property
    def glare(self) -> Windows:
        return Windows.of(*((each.start, each.end) for each in self.facts.fly.glare))

    def strip_parts(self) -> dict[str, Any]:
        """What the day strip shows of it."""
        craft, flown = self.facts.craft, self.facts.fly.planned
        judged = flown and craft is not None and self.weather.is_known
        return {
            "weather": self.weather,
            "may_fly": may_fly(self.facts) if judged else None,
            "over_limit": over_craft_limit(self.facts),
            "wind_limit_ms": mean_limit_ms(craft) if craft else None,
        }


def trip_conditions(*, trip: Trip, business: Business, at: datetime.datetime) -> Conditions | None:
    """The conditions of a trip as known at a moment; None where it has no plan yet."""
    plan = plan_of(trip)
    if plan is None:
        return None
    day = plan.session_start.astimezone(business.tz).date()
    house = the_house(at=judged_as_of(trip.ends_at, at))
    heads, minors = _party(trip)
    return conditions(
        trip=trip,
        plan=plan,
        nature=spot_day(spot=plan.spot, day=day, zone=business.zone, house=house),
        party=PartyFacts(heads, minors, trip.offer.heads_per_guide),
        gear=_gear(plan, day),
        at=at,
        house=house,
    )


def _party(trip: Trip) -> tuple[int, int]:
    live = trip.bookings.exclude(status="cancelled").values_list("heads", "party__minors")
    rows = list(live)
    return sum(heads for heads, _ in rows), sum(minors for _, minors in rows)


def _gear(plan: DayPlan, day: datetime.date) -> list[GearState]:
    things = [pack.pk for pack in plan.packs.all()]
    if plan.craft_id:
        things.append(plan.craft_id)
    return gear_list(on=day, things=things) if things else []


def conditions(
    *,
    trip: Trip,
    plan: DayPlan,
    nature: SpotDay,
    party: PartyFacts,
    gear: Sequence[GearState],
    at: datetime.datetime,
    house: TheHouse | None = None,
) -> Conditions:
    """The conditions of a planned day from what was read already, as known at a moment."""
    then = judged_as_of(trip.ends_at, at)
    at, house = then or at, house or the_house(at=then)
    light = nature.light
    weather = weather_of(
        plan.spot,
        start=min(light.start, trip.starts_at),
        end=max(light.end, trip.ends_at),
        at=at,
    )
    flying = flying_defaults(at=then)
    facts = _facts(trip, plan, nature, party, gear, weather, beside(trip), at, house, flying)
    findings = day_findings(facts)
    return Conditions(
        plan=plan,
        facts=facts,
        findings=findings,
        proposal=proposal(findings, house.cautions_to_hold),
        weather=weather,
    )


def _facts(
    trip: Trip,
    plan: DayPlan,
    nature: SpotDay,
    party: PartyFacts,
    gear: Sequence[GearState],
    weather: Weather,
    neighbours: Beside,
    at: datetime.datetime,
    house: TheHouse,
    flying: FlyingDefaults,
) -> DayFacts:
    hours = day_hours(trip, plan, nature, neighbours)
    return DayFacts(
        known_at=at,
        hours=hours,
        spot=spot_limits(plan.spot, hours.day),
        house=house,
        party=party,
        sea=_sea(plan, nature, hours, weather, house),
        fly=_fly(plan, nature, hours),
        forecast=weather.facts(ZoneInfo(hours.zone)),
        craft=craft_limits(plan.craft, plan.bait_g, gear, flying) if plan.craft else None,
    )


def day_hours(trip: Trip, plan: DayPlan, nature: SpotDay, neighbours: Beside) -> DayHours:
    """The hours of a planned day."""
    spot = plan.spot
    return DayHours(
        day=nature.light.day,
        zone=nature.light.zone,
        pick_up=trip.starts_at,
        at_spot=plan.session_start - (spot.set_up_min + spot.walk_out_min) * _MINUTE,
        session_start=plan.session_start,
        session_end=plan.session_end,
        packed=plan.session_end + (spot.pack_up_min + spot.walk_out_min) * _MINUTE,
        drop_off=trip.ends_at,
        driving_min=2.0 * spot.drive_min,
        rest_before_h=neighbours.rest_before_h(trip.starts_at),
        rest_after_h=neighbours.rest_after_h(trip.ends_at),
    )


def spot_limits(spot: Spot, day: datetime.date) -> SpotLimits:
    """The limits of a spot on a day; uses closures and wind limits that were fetched along."""
    return SpotLimits(
        name=spot.name,
        wave_caution_m=spot.wave_caution_m,
        wave_stop_m=spot.wave_stop_m,
        period_caution_s=spot.period_caution_s,
        period_stop_s=spot.period_stop_s,
        wind_stop_ms=spot.wind_stop_ms,
        wind_parts=wind_parts(spot),
        max_party=spot.max_party,
        minors_welcome=spot.minors_welcome,
        walked_on=spot.walked_on,
        shut_because=closed_because(spot=spot, on=day),
    )


def craft_limits(
    craft: Craft, bait_g: float, gear: Sequence[GearState], flying: FlyingDefaults
) -> CraftLimits:
    """The limits of a craft with its load; what is grounded among it and its packs stands in it."""
    return CraftLimits(
        name=craft.label,
        wind_limit_ms=craft.wind_limit_ms,
        mean_share=flying.mean_wind_share,
        gust_share=flying.gust_share,
        gust_factor=flying.gust_factor,
        rain_rated=craft.rain_rated,
        mass_kg=craft.mass_kg,
        max_takeoff_kg=craft.max_takeoff_kg,
        bait_g=bait_g,
        grounded_because=_grounded(craft, gear),
    )


def _grounded(craft: Craft, gear: Sequence[GearState]) -> str:
    states = {state.thing_id: state for state in gear}
    own = states.get(craft.pk)
    if own is not None and own.state in {GROUNDED, RETIRED}:
        return f"{own.label}: {own.reason}"
    packs = [state for state in gear if state.kind == "pack"]
    if not packs:
        return "no flight pack is chosen"
    fit = [state for state in packs if state.state not in {GROUNDED, RETIRED}]
    return "" if fit else f"no pack is fit: {packs[0].label}: {packs[0].reason}"


def _fly(plan: DayPlan, nature: SpotDay, hours: DayHours) -> FlyFacts:
    spot = plan.spot
    glare = glare_windows(
        spot.latitude, spot.longitude, _path_deg(plan), hours.session_start, hours.session_end
    )
    return FlyFacts(
        planned=plan.craft_id is not None,
        cast_only=cast_only_reason(spot, hours.day) or "",
        light=_stretches(nature.flying_light),
        glare=_stretches(glare),
    )


def _path_deg(plan: DayPlan) -> float:
    setup = getattr(plan, "drop_setup", None)
    bearing = setup.bearing_deg if setup is not None else None
    return plan.spot.seaward_deg if bearing is None else float(bearing)


def _stretches(windows: Windows) -> tuple[Stretch, ...]:
    return tuple(Stretch(span.start, span.end) for span in windows)


def _sea(
    plan: DayPlan, nature: SpotDay, hours: DayHours, weather: Weather, house: TheHouse
) -> SeaFacts:
    spot, tide = plan.spot, nature.tide
    cuts_off, on_sand = spot.sill_m is not None, plan.sand_km > 0
    if tide is None:
        return SeaFacts(tide_why=nature.tide_why, cuts_off=cuts_off, on_sand=on_sand)
    run_up_m, run_up_why = _run_up(spot, weather, hours)
    leave = _leave_by(spot, tide, hours, run_up_m, house) if cuts_off else None
    drive = _drive_out(spot, tide, hours, house) if on_sand else None
    return SeaFacts(
        cuts_off=cuts_off,
        leave_by_at=leave.at if leave else None,
        way_shut_at=leave.shut_at if leave else None,
        leave_why=leave.why if leave else "",
        level_m=leave.level_m if leave else None,
        run_up_m=run_up_m,
        run_up_why=run_up_why,
        on_sand=on_sand,
        sand_opens_at=drive.opens_at if drive else None,
        last_drive_out_at=drive.last_at if drive else None,
        drive_why=drive.why if drive else "",
    )


def _run_up(spot: Spot, weather: Weather, hours: DayHours) -> tuple[float | None, str]:
    """How high the highest waves of the stay run up, or why that is not known."""
    if spot.ground != Spot.Ground.BEACH:
        return None, "the formula holds on beaches only"
    seen = touching(weather.hours, hours.at_spot, hours.packed)
    found = [_hour_run_up(each, spot.beach_slope) for each in seen]
    known = [height for height, _ in found if height is not None]
    if known:
        return max(known), ""
    whys = [why for _, why in found if why]
    return None, whys[0] if whys else "no waves are forecast"


def _hour_run_up(hour: WeatherHour, slope: float) -> tuple[float | None, str]:
    if hour.wave_m is None or hour.period_s is None:
        return None, ""
    found = wave_run_up(hour.wave_m, hour.period_s, slope)
    return found.with_bias_m, found.why


def _leave_by(
    spot: Spot, tide: Tide, hours: DayHours, run_up_m: float | None, house: TheHouse
) -> LeaveBy:
    end = min(hours.packed + _AFTER, tide.valid_until)
    way = way_out(spot, house, run_up_m or 0.0)
    return way.leave_by(tide, max(min(hours.at_spot, end), tide.valid_from), end)


def _drive_out(spot: Spot, tide: Tide, hours: DayHours, house: TheHouse) -> DriveOut:
    drive = SandDrive(
        before_low_min=spot.sand_before_low_min,
        after_low_min=spot.sand_after_low_min,
        narrow_m=spot.narrow_m,
        slack_min=house.slack_min,
    )
    return drive.last_drive_out(tide, max(hours.at_spot, tide.valid_from))
