"""The drops of a trip: for its page, and for the parts of the papers that speak of them."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from bookings.models import Trip
from guiding.days.queries.forecasts import weather_of
from guiding.days.rules.session import judged_as_of
from guiding.days.sheets.drop_drawing import drop_plan_facts
from guiding.days.sheets.drop_rods import alike
from guiding.days.sheets.drops import DropsOfDay, drops_of_day
from guiding.days.sheets.rigs import rig_facts
from guiding.desk.sheets.gather import TripFile
from guiding.drawings.drop_plan import DropPlanFacts, DropRow, drop_plan_rows, drop_plan_svg
from guiding.drawings.rig import RigFacts
from guiding.flying.checks.findings import NOT_WORKED_OUT, Finding, Verdict
from guiding.flying.rig_lists import rig_materials
from guiding.flying.strength import as_sold, strength_n_from_kgf
from guiding.papers import records


def trip_drops(file: TripFile, *, at: datetime.datetime | None = None) -> DropsOfDay | None:
    """The drops of a trip on what is forecast at a moment; None where it has no plan yet."""
    plan = file.plan
    if plan is None or file.nature is None:
        return None
    at = at or timezone.now()
    then = judged_as_of(file.trip.ends_at, at)
    forecast = weather_of(plan.spot, start=plan.session_start, end=plan.session_end, at=then or at)
    minders = {minor.guardian_id for minor in file.minors if minor.guardian_id}
    adults = {person.pk for person in file.people} - {minor.pk for minor in file.minors}
    return drops_of_day(
        plan=plan,
        on=file.day,
        zone=file.business.zone,
        light=file.nature.flying_light,
        hours=forecast.hours,
        minors=len(file.minors),
        watching_adults=len(minders & adults),
        known=file.gear,
        then=then,
    )


@dataclass(frozen=True, slots=True)
class StoppedDrops:
    """What keeps the drops of a trip from being flown, each with its fix."""

    trip: Trip
    stops: tuple[Finding, ...]


def stopped_drops(files: Iterable[TripFile], *, at: datetime.datetime) -> list[StoppedDrops]:
    """The trips whose planned drops a check stops; a day that is cast only says so elsewhere."""
    found = []
    for file in files:
        drops = trip_drops(file, at=at)
        if drops is None or drops.cast_only or not drops.stops:
            continue
        causes = tuple(one for one in drops.stops if one.sentence != NOT_WORKED_OUT)
        found.append(StoppedDrops(file.trip, causes))
    return found


# ---------------------------------------------------------------- the page


@dataclass(frozen=True, slots=True)
class PlanDrawing:
    """The plan of the drops as a page shows it: wide, narrow, and in words."""

    svg: SafeString
    narrow: SafeString
    rows: tuple[DropRow, ...]


def plan_drawing(file: TripFile, drops: DropsOfDay) -> PlanDrawing | None:
    """Who stands where; None where nothing is flown and there is nothing to draw."""
    if drops.layout is None:
        return None
    facts = _plan_facts(file, drops)
    # The drawing escapes every text that it is given; nothing else enters the markup.
    wide, narrow = (mark_safe(drop_plan_svg(facts, width)) for width in (760, 340))  # noqa: S308
    return PlanDrawing(wide, narrow, drop_plan_rows(facts))


def _plan_facts(file: TripFile, drops: DropsOfDay) -> DropPlanFacts:
    return drop_plan_facts(drops, imperial=file.business.units == "imperial")


# ---------------------------------------------------------------- the papers


def check_lines(drops: DropsOfDay) -> tuple[str, ...]:
    """What spoke up, for the run sheet: stops first, each with its fix."""
    return tuple(_line(one) for one in drops.spoke_up)


def _line(finding: Finding) -> str:
    word = "STOP" if finding.verdict is Verdict.STOP else "Caution"
    return f"{word}, {finding.check}: {finding.sentence} {finding.fix}".strip()


def pack_rows(drops: DropsOfDay) -> tuple[records.PackRow, ...]:
    """The packs in the order of use, with the drops that each carries."""
    return tuple(
        records.PackRow(
            label=line.label,
            state=line.state,
            health_share=line.health_share,
            drops=line.drops,
            note="Stays at home: cast only." if drops.cast_only else line.reason,
        )
        for line in drops.packs
    )


def rod_rows(drops: DropsOfDay) -> tuple[records.RodRow, ...]:
    """The rods in the order they are set: reel and line, rig, weak link, distance."""
    return tuple(
        records.RodRow(
            label=f"Rod {rod.number}",
            reel=rod.reel,
            line=rod.line_text,
            line_left_m=rod.line.spooled_m if rod.line else None,
            rig=rod.planned.rig.name if rod.planned else "",
            weak_link="" if drops.cast_only else _link(rod.planned),
            distance_m=None if drops.cast_only else drops.plan.drop_m,
        )
        for rod in drops.rods
    )


def _link(planned: object) -> str:
    kgf = getattr(planned, "weak_link_kgf", None)
    return as_sold(strength_n_from_kgf(kgf)) if kgf else ""


def permit_rows(drops: DropsOfDay) -> tuple[records.PermitRow, ...]:
    """The papers that allow a drop on the day, or those that fall short of it.

    A paper that was replaced is left out: where one of its kind holds, only that is carried.
    """
    held = list(drops.plan.spot.permits.all())
    on = drops.on
    found = []
    for kind in ("aviation", "fishery"):
        of_kind = [permit for permit in held if permit.kind == kind]
        valid = [one for one in of_kind if one.valid_from <= on <= one.holds_until]
        found += valid or of_kind[:1]
    return tuple(
        records.PermitRow(
            kind=f"Bait by air, {permit.get_kind_display()}",
            number=permit.number,
            authority=permit.authority,
            valid_until=permit.holds_until,
            conditions=permit.conditions,
        )
        for permit in found
    )


def run_sheet_plan(file: TripFile, drops: DropsOfDay) -> DropPlanFacts | None:
    """The drawing on the run sheet; None where nothing is flown."""
    return None if drops.layout is None else _plan_facts(file, drops)


def fly_by(drops: DropsOfDay) -> tuple[records.Fact, ...]:
    """The numbers to fly by, as they are read out before take-off."""
    fact, estimate = records.Fact, drops.estimate
    if drops.flight is None:
        return ()
    found = [
        fact("Distance", f"{drops.flight.distance_m:.0f} m, bearing {drops.bearing_deg:.0f}°"),
        fact("Height", f"{drops.flight.height_m:.0f} m, at least {drops.least_height_m:.1f} m"),
        fact("Wind", f"{drops.weather.wind_ms:.1f} m/s. {drops.weather.told}"),
        fact("Nobody within", f"{drops.zone_radius_m:.0f} m of path and drop"),
    ]
    if drops.window is not None:
        found.append(fact("Weak link", window_words(drops)))
    if estimate is not None:
        use = estimate.use
        found += [
            fact("One drop", f"{use.percent:.0f} % of the weakest pack, {use.source}"),
            fact("Turn back at", f"{estimate.turn_back_percent} % of the pack"),
            fact("Drops a pack", f"{estimate.drops} ({estimate.drops_low} to "
                 f"{estimate.drops_high})"),
        ]  # fmt: skip
    if drops.pack_plan is not None:
        found.append(fact("Packs", drops.pack_plan.sentence))
    return tuple(found)


def window_words(drops: DropsOfDay) -> str:
    """Which weak link the day's wind allows."""
    window = drops.window
    if window is None:
        return ""
    if not window.is_open:
        return "none fits"
    return (
        f"{window.low_n:.1f} to {window.high_n:.1f} N "
        f"({window.low_kgf:.1f} to {window.high_kgf:.1f} kgf)"
    )


def check_rows(drops: DropsOfDay) -> tuple[records.CheckRow, ...]:
    """Every finding, stops first."""
    ordered = (*drops.spoke_up, *drops.goes)
    return tuple(
        records.CheckRow(one.check, records.CheckVerdict(one.verdict.value), one.sentence, one.fix)
        for one in ordered
    )


def drawn_rigs(drops: DropsOfDay) -> tuple[tuple[RigFacts, tuple[str, ...]], ...]:
    """Each rig of the day once, to scale, with what it takes to tie one."""
    found: dict[int, tuple[RigFacts, tuple[str, ...]]] = {}
    for _numbers, rod in alike(drops.rods):
        if rod.planned is None or rod.planned.rig_id in found:
            continue
        row = rod.planned.rig
        line_n = rod.line.strength_n if rod.line else strength_n_from_kgf(row.main_strength_kgf)
        takes = tuple(
            f"{one.quantity:.2f} m {one.name}"
            if one.unit == "m"
            else f"{one.quantity:.0f} {one.name}"
            for one in rig_materials(rod.rig, drops.defaults)
        )
        found[row.pk] = (rig_facts(rod.rig, main_strength_n=line_n, bait=row.bait), takes)
    return tuple(found.values())
