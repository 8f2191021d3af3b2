"""What the checks of a day's drops found: those of every kind of rod in one list, and our own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from equipment.queries.gear import GROUNDED, RETIRED
from guiding.days.models import DayPlan, Spot
from guiding.days.queries.drops import PlannedGear
from guiding.days.rules.shore import WIDEST_OFF_DEG, angle_between_deg
from guiding.days.sheets.drop_rods import STAND_IN_LINE, Rod, alike, rods_words
from guiding.flying.checks.findings import Finding, Verdict
from guiding.flying.checks.rig import check_rig
from guiding.flying.defaults import FlyingDefaults
from guiding.flying.permission import CHECK, DropPermission
from guiding.flying.sortie import pilot_share

# Minutes of the pilot's eyes around each flight: bait on, look round, take-off, landing. House
# default.
_AROUND_FLIGHT_MIN = 4.0
_WEIGHT = {Verdict.GO: 0, Verdict.CAUTION: 1, Verdict.STOP: 2}

Checked = Sequence[tuple[list[int], tuple[Finding, ...]]]


def flown_findings(
    checked: Checked,
    *,
    plan: DayPlan,
    gear: PlannedGear,
    rods: Sequence[Rod],
    bearing_deg: float,
    drops_fit: int,
    window_min: float,
    flight_s: float | None,
) -> tuple[Finding, ...]:
    """Every finding of a day that is flown, in the order in which a guide would ask."""
    return (
        *_merged(checked),
        _bearing(plan, bearing_deg),
        *_states(gear),
        *_chosen(plan, rods),
        *_time(plan, drops_fit, window_min, flight_s, gear.defaults),
    )


def cast_findings(
    permission: DropPermission, rods: Sequence[Rod], spot: Spot, defaults: FlyingDefaults
) -> tuple[Finding, ...]:
    """What is left to check on a day that is fished by casting: the rigs, and the law on hooks."""
    gate = []
    if permission.sentence:
        fix = f"Plan the day as cast only, or prove the permission first. {CHECK}"
        gate = [Finding("permission", Verdict.STOP, permission.sentence, fix)]
    checked = [
        (
            numbers,
            check_rig(
                rod.rig,
                (rod.line or STAND_IN_LINE).strength_n,
                spot.hook_limit,
                spot.hook_inside_limit_mm,
                defaults,
            ),
        )
        for numbers, rod in alike(rods)
        if rod.planned is not None
    ]
    return (*gate, *_merged(checked))


def _merged(checked: Checked) -> tuple[Finding, ...]:
    """One finding a check: the worst of all rods, naming the rods where they differ."""
    if not checked:
        return ()
    merged = []
    for column in zip(*(findings for _numbers, findings in checked), strict=True):
        worst = max(column, key=lambda one: _WEIGHT[one.verdict])
        same = [one.sentence == worst.sentence for one in column]
        if not all(same):
            numbers = sorted(
                number
                for (rods, _findings), equal in zip(checked, same, strict=True)
                if equal
                for number in rods
            )
            worst = replace(worst, sentence=f"{rods_words(numbers)}: {worst.sentence}")
        merged.append(worst)
    return tuple(merged)


def _bearing(plan: DayPlan, bearing_deg: float) -> Finding:
    off_deg = angle_between_deg(bearing_deg, plan.spot.seaward_deg)
    over_land = off_deg > WIDEST_OFF_DEG
    return Finding(
        "bearing",
        Verdict.STOP if over_land else Verdict.GO,
        f"The way out bears {bearing_deg:.0f}°, {off_deg:.0f}° off straight out to sea.",
        f"Fly out at most {WIDEST_OFF_DEG:.0f}° off {plan.spot.seaward_deg:.0f}°, over the water "
        "at once."
        if over_land
        else "",
        off_deg,
        WIDEST_OFF_DEG,
        "°",
    )


def _states(gear: PlannedGear) -> list[Finding]:
    """Chosen gear that is grounded, and what to do about it."""
    things = [*([gear.craft] if gear.craft else []), *gear.packs, *gear.reels]
    return [
        Finding(
            "gear",
            Verdict.STOP,
            f"{state.label} is {state.state}: {state.reason}",
            "Leave it at home, or put it right and sign it off.",
        )
        for state in things
        if state.state in (GROUNDED, RETIRED)
    ]


def _chosen(plan: DayPlan, rods: Sequence[Rod]) -> list[Finding]:
    """What has not been chosen yet, and was reckoned with a stand-in."""
    found = []
    without_line = [rod.number for rod in rods if rod.line is None]
    if without_line:
        line = f"{STAND_IN_LINE.diameter_mm:.2f} mm"
        found.append(
            Finding(
                "reels",
                Verdict.STOP,
                f"{rods_words(without_line)} of {plan.rods}: no reel with line is chosen; "
                f"reckoned with a line of {line}.",
                "Choose a reel for each rod, or plan fewer rods.",
            )
        )
    if all(rod.planned is None for rod in rods):
        found.append(
            Finding(
                "rigs",
                Verdict.STOP,
                "No rig is chosen: reckoned with the usual two droppers.",
                "Choose the rigs of the day and the weak link for its wind.",
            )
        )
    return found


def _time(
    plan: DayPlan,
    drops_fit: int,
    window_min: float,
    flight_s: float | None,
    defaults: FlyingDefaults,
) -> list[Finding]:
    """Whether the drops fit the hours that can be flown, and leave the guide eyes for the party."""
    more = plan.drops > drops_fit
    found = [
        Finding(
            "drops",
            Verdict.CAUTION if more else Verdict.GO,
            f"{plan.drops} drop{' is' if plan.drops == 1 else 's are'} planned; {plan.rods} "
            f"rod{'s' * (plan.rods != 1)} in {window_min / 60:.1f} h that can be flown "
            f"make{'s' * (plan.rods == 1)} {drops_fit}.",
            f"Plan {drops_fit} drop{'s' * (drops_fit != 1)}, and cast outside those hours."
            if more
            else "",
            plan.drops,
            drops_fit,
            "drops",
        )
    ]
    if flight_s is not None and window_min and plan.drops:
        each_min = flight_s / 60 + _AROUND_FLIGHT_MIN
        share = pilot_share(plan.drops, each_min, window_min)
        over = share > defaults.pilot_share_max
        found.append(
            Finding(
                "pilot's eyes",
                Verdict.CAUTION if over else Verdict.GO,
                f"{plan.drops} flight{'s' * (plan.drops != 1)} of {each_min:.0f} min with all "
                f"around {'it takes' if plan.drops == 1 else 'them take'} {share:.0%} of the time "
                "in which the party is at the water.",
                "Plan fewer drops, or have a second adult watch the party." if over else "",
                round(share * 100, 1),
                defaults.pilot_share_max * 100,
                "%",
            )
        )
    return found
