"""The drops of a day: everything that must agree before a bait is flown, from rows to findings."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from equipment.queries.gear import GROUNDED, RETIRED, GearState
from guiding.almanac.windows import Windows
from guiding.days.models import Charger, DayPlan, DropSetup
from guiding.days.queries.drops import PlannedGear, permission_on, planned_gear
from guiding.days.rules.shore import ShoreLayout, angle_between_deg, clear_of_path_m, shore_layout
from guiding.days.rules.weather import WeatherHour
from guiding.days.sheets.drop_findings import cast_findings, flown_findings
from guiding.days.sheets.drop_rods import STAND_IN_LINE, Rod, alike, rods_of
from guiding.days.sheets.drop_weather import DropWeather, drop_weather
from guiding.days.sheets.flying import charger_of, craft_of, pack_of
from guiding.flying.checks.drop import check_drop, worst_verdict
from guiding.flying.checks.findings import DropPlan, Finding, Verdict
from guiding.flying.craft import Craft, Pack
from guiding.flying.defaults import HOUSE, FlyingDefaults
from guiding.flying.estimate import DropEstimate, drop_estimate
from guiding.flying.fall import fall_zone_radius_m
from guiding.flying.flight import DropFlight
from guiding.flying.height import height_over_waves_m
from guiding.flying.line_pull import LinkWindow, weak_link_window
from guiding.flying.pack_plan import PackPlan, charges_possible, plan_packs, rods_packs_serve
from guiding.flying.permission import DropPermission
from guiding.flying.rigs import rig_hang_m, rig_payload_g
from guiding.flying.sortie import drops_from_energy, drops_in_session, usable_wh

# A pack's temperature where the air's is not known, and how far people stand beyond the fall zone
# and back from the water where nobody has said. House defaults.
_PACK_C = 15.0
_BEYOND_ZONE_M = 5.0
_PEOPLE_BACK_M = 20.0


@dataclass(frozen=True, slots=True)
class PackLine:
    """A flight pack of the plan: its state on the day, and the drops it carries."""

    label: str
    state: str
    reason: str
    health_share: float | None
    rated_wh: float
    drops: int | None = None

    @property
    def fit(self) -> bool:
        """Whether it may go along at all."""
        return self.state not in (GROUNDED, RETIRED)


@dataclass(frozen=True, slots=True)
class DropsOfDay:
    """What is known of the drops of one day.

    `cast_only` is the reason why nothing is flown, empty where bait may be flown out. What follows
    `findings` is only known where it may.
    """

    plan: DayPlan
    on: datetime.date
    setup: DropSetup
    permission: DropPermission
    cast_only: str
    weather: DropWeather
    bearing_deg: float
    rods: tuple[Rod, ...]
    packs: tuple[PackLine, ...]
    findings: tuple[Finding, ...] = ()
    flight: DropFlight | None = None
    layout: ShoreLayout | None = None
    people_m: float | None = None
    zone_radius_m: float = 0.0
    hang_m: float = 0.0
    least_height_m: float = 0.0
    estimate: DropEstimate | None = None
    window: LinkWindow | None = None
    pack_plan: PackPlan | None = None
    charges: int = 0
    rods_served: int = 0
    drops_fit: int = 0
    defaults: FlyingDefaults = HOUSE

    @property
    def verdict(self) -> Verdict:
        """One stop stops; nothing checked is no go."""
        return worst_verdict(self.findings) if self.findings else Verdict.STOP

    @property
    def stops(self) -> tuple[Finding, ...]:
        return self._of(Verdict.STOP)

    @property
    def cautions(self) -> tuple[Finding, ...]:
        return self._of(Verdict.CAUTION)

    @property
    def goes(self) -> tuple[Finding, ...]:
        return self._of(Verdict.GO)

    @property
    def spoke_up(self) -> tuple[Finding, ...]:
        """Stops and then cautions; without the gate where `cast_only` says it already."""
        found = (*self.stops, *self.cautions)
        return tuple(one for one in found if not (self.cast_only and one.check == "permission"))

    def _of(self, verdict: Verdict) -> tuple[Finding, ...]:
        return tuple(one for one in self.findings if one.verdict is verdict)


def drops_of_day(
    *,
    plan: DayPlan,
    on: datetime.date,
    zone: str,
    light: Windows,
    hours: Sequence[WeatherHour] = (),
    minors: int = 0,
    watching_adults: int = 0,
    known: Sequence[GearState] = (),
    then: datetime.datetime | None = None,
) -> DropsOfDay:
    """The drops of a planned day: who may fly, with what, how often, and what stands against it.

    light: the flying light of the day; hours: the forecast of the session, where there is one;
    watching_adults: adults of the party, not the pilot, who mind the minors; known: states of
    gear on that day that were asked for already; then: the instant whose figures of Setup count,
    those of now where it is None.
    """
    gear = planned_gear(plan=plan, on=on, known=known, then=then)
    permission = permission_on(spot=plan.spot, on=on)
    craft, cast_only = _craft(plan, permission)
    session = Windows.of((plan.session_start, plan.session_end))
    weather = drop_weather(
        setup=gear.setup,
        spot=plan.spot,
        craft=craft,
        hours=hours,
        window=session & light,
        zone=ZoneInfo(zone),
        defaults=gear.defaults,
    )
    bearing_deg = gear.setup.bearing_deg
    found = DropsOfDay(
        plan=plan,
        on=on,
        setup=gear.setup,
        permission=permission,
        cast_only=cast_only,
        weather=weather,
        bearing_deg=plan.spot.seaward_deg if bearing_deg is None else bearing_deg,
        rods=rods_of(plan, gear),
        packs=tuple(_pack_line(state, gear.defaults) for state in gear.packs),
        defaults=gear.defaults,
    )
    if craft is None or cast_only:
        checked = cast_findings(permission, found.rods, plan.spot, gear.defaults)
        return replace(found, findings=checked)
    try:
        return _flown(found, craft, gear, minors, watching_adults)
    except ValueError as refusal:
        wrong = Finding("plan", Verdict.STOP, str(refusal), "Change the plan.")
        return replace(found, findings=(wrong,))


def _craft(plan: DayPlan, permission: DropPermission) -> tuple[Craft | None, str]:
    """The craft that may fly, or why the day is for casting only."""
    if permission.sentence:
        return None, permission.sentence
    if plan.craft is None:
        return None, "Cast only: no craft is chosen for this day."
    try:
        return craft_of(plan.craft), ""
    except ValueError as refusal:
        return None, f"Cast only: {refusal}"


def _flown(
    found: DropsOfDay, craft: Craft, gear: PlannedGear, minors: int, watching_adults: int
) -> DropsOfDay:
    plan, weather, defaults = found.plan, found.weather, gear.defaults
    pack_c = _PACK_C if weather.air_c is None else weather.air_c
    packs = _fit_packs(gear, pack_c)
    kinds = alike(found.rods)
    flights = [_flight(found, rod) for _numbers, rod in kinds]
    estimates = [_estimate(craft, packs, flight, gear) for flight in flights]
    # The rod that takes the most decides; one whose flight is refused takes more than any.
    worst = max(range(len(kinds)), key=lambda n: _energy_wh(estimates[n]) or math.inf)
    found = _placed(found, flights[worst])
    estimate, energy_wh = estimates[worst], _energy_wh(estimates[worst])
    charges = _charges(found, gear, packs, estimate)
    checked = [
        (
            numbers,
            check_drop(
                DropPlan(
                    craft=craft, packs=packs, flight=flight, line=rod.line or STAND_IN_LINE,
                    rig=rod.rig, drops=plan.drops, permission=found.permission, charges=charges,
                    gust_ms=weather.gust_ms, wind_known=weather.known,
                    wave_height_m=weather.wave_height_m,
                    people_m=found.people_m, in_flying_light=bool(weather.flyable),
                    hook_limit=plan.spot.hook_limit,
                    hook_inside_limit_mm=plan.spot.hook_inside_limit_mm,
                    minors=minors, watching_adults=watching_adults, log=gear.log,
                ),
                defaults,
            ),
        )
        for (numbers, rod), flight in zip(kinds, flights, strict=True)
    ]  # fmt: skip
    window_min = weather.flyable.total_min
    timed = (plan.rods, window_min, plan.soak_min, plan.turn_min)
    found = replace(
        found,
        packs=tuple(_pack_line(state, defaults, pack_c, energy_wh) for state in gear.packs),
        hang_m=max(rig_hang_m(rod.rig) for _numbers, rod in kinds),
        estimate=estimate,
        window=weak_link_window(
            craft, flights[worst], (kinds[worst][1].line or STAND_IN_LINE).strength_n, defaults
        ),
        pack_plan=plan_packs(plan.drops, energy_wh, packs, charges, defaults)
        if energy_wh
        else None,
        charges=charges,
        drops_fit=drops_in_session(*timed) if window_min else 0,
        rods_served=rods_packs_serve(*timed, energy_wh, packs, charges, defaults)
        if energy_wh and window_min
        else 0,
    )
    found = replace(
        found,
        least_height_m=height_over_waves_m(found.hang_m, weather.wave_height_m, defaults),
    )
    return replace(
        found,
        findings=flown_findings(
            checked,
            plan=plan,
            gear=gear,
            rods=found.rods,
            bearing_deg=found.bearing_deg,
            drops_fit=found.drops_fit,
            window_min=window_min,
            flight_s=estimate.use.time_s if estimate else None,
        ),
    )


def _flight(found: DropsOfDay, rod: Rod) -> DropFlight:
    """One drop of a rod: what hangs, how high, and how the wind stands to the way out."""
    plan, weather = found.plan, found.weather
    off_deg = None
    if weather.wind_from_deg is not None:
        off_deg = angle_between_deg(found.bearing_deg, weather.wind_from_deg)
    height_m = found.setup.height_m
    if height_m is None:
        hang_m = rig_hang_m(rod.rig)
        least_m = height_over_waves_m(hang_m, weather.wave_height_m, found.defaults)
        height_m = float(math.ceil(least_m))
    return DropFlight(
        distance_m=plan.drop_m,
        payload_g=max(plan.bait_g, rig_payload_g(rod.rig)),
        wind_ms=weather.wind_ms,
        line_mm=(rod.line or STAND_IN_LINE).diameter_mm,
        height_m=height_m,
        wind_off_path_deg=off_deg,
    )


def _placed(found: DropsOfDay, flight: DropFlight) -> DropsOfDay:
    """With everybody in their place; how far the people are is only known where it was entered."""
    setup, weather = found.setup, found.weather
    legal_m = found.permission.people_distance_m
    wind_ms = max(weather.wind_ms, weather.gust_ms or 0.0)
    radius_m = fall_zone_radius_m(flight.height_m, wind_ms, legal_m, defaults=found.defaults)
    looked = setup.people_aside_m is not None and setup.people_back_m is not None
    aside_m, back_m = setup.people_aside_m, setup.people_back_m
    layout = shore_layout(
        seaward_deg=found.plan.spot.seaward_deg,
        bearing_deg=found.bearing_deg,
        drop_m=found.plan.drop_m,
        rods=found.plan.rods,
        people_aside_m=math.ceil(radius_m) + _BEYOND_ZONE_M if aside_m is None else aside_m,
        people_back_m=_PEOPLE_BACK_M if back_m is None else back_m,
        wind_from_deg=weather.wind_from_deg,
    )
    path = (*layout.path_out, *layout.path_home[1:])
    people_m = clear_of_path_m(place=layout.people, path=path) if looked else None
    return replace(found, flight=flight, layout=layout, people_m=people_m, zone_radius_m=radius_m)


# ---------------------------------------------------------------- packs


def _fit(state: GearState) -> bool:
    return state.state not in (GROUNDED, RETIRED)


def _fit_packs(gear: PlannedGear, pack_c: float) -> tuple[Pack, ...]:
    fit = [state.pack for state in gear.packs if _fit(state) and state.pack]
    return tuple(pack_of(sheet, pack_c=pack_c) for sheet in fit)


def _pack_line(
    state: GearState,
    defaults: FlyingDefaults,
    pack_c: float = _PACK_C,
    energy_wh: float | None = None,
) -> PackLine:
    sheet, drops = state.pack, None
    if sheet and energy_wh:
        at_hand_wh = usable_wh(pack_of(sheet, pack_c=pack_c), defaults)
        drops = drops_from_energy(energy_wh, at_hand_wh) if _fit(state) else 0
    return PackLine(
        label=state.label,
        state=state.state,
        reason=state.reason,
        health_share=sheet.health_share if sheet else None,
        rated_wh=sheet.rated_wh if sheet else 0.0,
        drops=drops,
    )


def _estimate(
    craft: Craft, packs: Sequence[Pack], flight: DropFlight, gear: PlannedGear
) -> DropEstimate | None:
    """The drop on the weakest pack; None where it is refused, which the checks then say."""
    if not packs:
        return None
    try:
        weakest = min(packs, key=lambda pack: usable_wh(pack, gear.defaults))
        return drop_estimate(craft, weakest, flight, gear.log, gear.defaults)
    except ValueError:
        return None


def _energy_wh(estimate: DropEstimate | None) -> float | None:
    return estimate.use.energy_wh if estimate else None


def _charges(
    found: DropsOfDay, gear: PlannedGear, packs: Sequence[Pack], estimate: DropEstimate | None
) -> int:
    """Fillings on the beach: from the first empty pack until the last take-off."""
    if estimate is None or not estimate.drops:
        return 0
    plan = found.plan
    apart_min = (plan.soak_min + plan.turn_min) / plan.rods
    left_min = max(found.weather.flyable.total_min - (estimate.drops + 1) * apart_min, 0.0)
    weakest, total = min(packs, key=lambda pack: usable_wh(pack, gear.defaults)), 0
    for row in gear.chargers:
        if row.place != Charger.Place.BEACH:
            continue
        try:
            total += charges_possible(weakest, charger_of(row), left_min, gear.defaults)
        except ValueError:
            continue  # too cold or too hot to charge there: no filling
    return total
