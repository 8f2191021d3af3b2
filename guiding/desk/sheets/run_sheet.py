"""The guide's run sheet and the cost sheet of a trip."""

from __future__ import annotations

import datetime
from decimal import Decimal

from bookings.models import Participant
from bookings.queries.health import people_with_notes
from bookings.queries.signatures import outstanding
from bookings.queries.signers import reach_of, stays_with
from bookings.rules.phones import phone_text
from bookings.sheets.accounts import accounts_of
from guiding.costing.break_even import BreakEven
from guiding.costing.lines import CostLine
from guiding.days.sheets.cost import TripCost
from guiding.days.sheets.drops import DropsOfDay
from guiding.desk.sheets.deciding import decision_record, fallback_rows
from guiding.desk.sheets.drops import (
    check_lines,
    fly_by,
    pack_rows,
    permit_rows,
    rod_rows,
    run_sheet_plan,
)
from guiding.desk.sheets.gather import TripFile, age_on, is_minor, letterhead
from guiding.desk.sheets.languages import language_of_house
from guiding.desk.sheets.leaving import last_drive_out, leave_by, leave_by_reason
from guiding.desk.sheets.prep import load_items, trip_prep
from guiding.desk.sheets.trip_sheet import emergency, meeting
from guiding.papers import records
from guiding.papers.words import Words


def run_sheet(
    file: TripFile, *, printed_at: datetime.datetime, page_size: str = ""
) -> records.RunSheet:
    """What the guide holds. ValueError when the trip has no plan yet."""
    trip, plan, nature = file.trip, file.plan, file.nature
    strip = file.strip()
    if plan is None or nature is None or strip is None:
        raise ValueError(f"{trip} has no plan yet: choose a spot before its papers are printed.")
    spot = plan.spot
    prep = trip_prep(file)
    drops = prep.drops
    return records.RunSheet(
        letterhead=letterhead(
            file.business,
            number=f"R{trip.pk:05d}-{trip.sequence}",
            printed_at=printed_at,
            page_size=page_size,
            trip=file.trip,
        ),
        title=trip.offer.name,
        starts_at=trip.starts_at,
        back_latest_at=trip.ends_at,
        spot=records.Place(
            name=spot.name, directions=spot.access, lat=spot.latitude, lon=spot.longitude
        ),
        meet=meeting(file),
        guide_name=file.business.guide_name,
        people=_people(file, at=printed_at),
        strip=strip,
        decision=decision_record(file),
        emergency=emergency(file),
        method=drops.cast_only or "Baits are flown out; both permissions are proven for the day.",
        leave_by_at=leave_by(file),
        leave_by_reason=leave_by_reason(file),
        last_drive_out_at=last_drive_out(file)[0],
        last_drive_out_reason=last_drive_out(file)[1],
        overdue_at=plan.overdue_at,
        limits=(
            f"Waves: caution {spot.wave_caution_m:g} m, stop {spot.wave_stop_m:g} m",
            f"Mean wind: stop {spot.wind_stop_ms:g} m/s",
            f"Period: caution {spot.period_caution_s:g} s",
        ),
        checks=check_lines(drops),
        craft=_craft(drops),
        packs=pack_rows(drops),
        rods=rod_rows(drops),
        drop_rows=0 if drops.cast_only else plan.drops,
        drop_plan=run_sheet_plan(file, drops),
        permits=permit_rows(drops),
        fallbacks=fallback_rows(file, at=printed_at),
        headcounts=("Pick-up", "At the spot", "Leaving the spot", "Drop-off"),
        load=load_items(prep),
        notes=tuple(line for line in (plan.note, trip.note) if line),
    )


def _people(file: TripFile, *, at: datetime.datetime) -> tuple[records.RunPerson, ...]:
    """Everybody with what they have signed; what a party owes stands beside its first name."""
    found = outstanding(file.trip, at=at)
    # Where no text is in force nobody can have signed it: then no form is claimed at all.
    signed = {each.person.pk: not each.kinds for each in found.people if not each.unpublished}
    on = at.astimezone(file.business.tz).date()
    noted = people_with_notes(file.trip)
    owed = {
        account.booking.party_id: account.left
        for account in accounts_of(file.bookings, business=file.business, on=on)
    }
    return tuple(
        _person(
            person,
            file,
            signed=signed.get(person.pk),
            due=owed.pop(person.party_id, None),
            noted=person.pk in noted,
        )
        for person in file.people
    )


def _person(
    person: Participant,
    file: TripFile,
    *,
    signed: bool | None,
    due: Decimal | None,
    noted: bool,
) -> records.RunPerson:
    words = Words.of(language_of_house(file.business))
    return records.RunPerson(
        name=str(person),
        age=age_on(person.born_on, file.day) if person.born_on else None,
        minor=is_minor(person, file.day),
        guardian=stays_with(person),
        phone=phone_text(reach_of(person)[1]),
        swim_level=person.get_swims_display(),
        alerts=(words.text("sheet.health_told"),) if noted else (),
        form_signed=signed,
        due=due,
    )


def _craft(drops: DropsOfDay) -> str:
    """The craft with the numbers to fly by; on a day for casting only that it stays at home."""
    if drops.cast_only:
        return f"{drops.plan.craft} stays at home: cast only." if drops.plan.craft else ""
    told = [f"{fact.label}: {fact.value}" for fact in fly_by(drops)]
    return f"{drops.plan.craft}. " + ". ".join(text.rstrip(".") for text in told) + "."


def cost_paper(
    file: TripFile, cost: TripCost, *, printed_at: datetime.datetime, page_size: str = ""
) -> records.CostSheet:
    """The cost sheet as a paper."""
    sheet, per_head = cost.sheet, cost.per_head
    direct = [x for x in sheet.lines if x.driver.value not in {"guide_hour", "overhead"}]
    season = [x for x in sheet.lines if x.driver.value in {"guide_hour", "overhead"}]
    figure = records.Figure
    results = [figure("Cost before heads", amount=sheet.before_heads)]
    if per_head:
        results += [
            figure("Contribution per head", amount=per_head.contribution_per_head),
            *_break_even("Heads that pay you too", per_head.paying_yourself),
            *_break_even("Heads that cover the cash", per_head.cash_only),
        ]
    if cost.private.price is not None:
        results.append(
            figure(
                f"Private day for {cost.private_heads}",
                amount=cost.private.price,
                detail=f"at a margin of {cost.wished_margin:.0%} after the card fee",
            )
        )
    return records.CostSheet(
        letterhead=letterhead(
            file.business,
            number=f"C{file.trip.pk:05d}-{file.trip.sequence}",
            printed_at=printed_at,
            page_size=page_size,
            trip=file.trip,
        ),
        title=file.trip.offer.name,
        day=file.day,
        sections=(
            records.CostSection("Trip", _rows(direct), "Trip direct", sheet.trip_direct),
            records.CostSection(
                "Time and season",
                _rows(season),
                "Before heads",
                sheet.before_heads,
            ),
            _head_section(cost),
        ),
        results=tuple(results),
        parties=tuple(
            records.PartyRow(
                row.heads,
                row.income,
                row.after_all_costs,
                row.earned_per_guide_h,
                row.margin_share,
            )
            for row in cost.rows
        ),
        spot_name=file.plan.spot.name if file.plan else "",
        currency=cost.currency,
    )


def _head_section(cost: TripCost) -> records.CostSection:
    rows, total = _rows(list(cost.sheet.head_lines)), cost.sheet.per_head
    if cost.per_head:
        fee = cost.per_head.fee_per_head
        rows = (*rows, records.CostRow("Card fee", "share of the price", fee))
        total += fee
    return records.CostSection("Per head", rows, "Per head", total)


def _break_even(label: str, point: BreakEven) -> list[records.Figure]:
    if point.units is None:
        return []
    return [records.Figure(label, count=point.units, detail=f"exactly {point.units_exact:.2f}")]


def _rows(lines: list[CostLine]) -> tuple[records.CostRow, ...]:
    return tuple(
        records.CostRow(
            name=line.label,
            driver=line.driver.value.replace("_", " "),
            amount=line.amount,
            quantity=line.quantity,
            unit=line.unit,
            rate=line.rate,
            basis=line.basis,
            provision=line.driver.value in {"loss", "call_off"},
        )
        for line in lines
    )
