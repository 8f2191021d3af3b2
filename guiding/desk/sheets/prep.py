"""A trip's prep: the lists for its page, and the papers and tables that go along."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass

from guiding.days.sheets.drops import DropsOfDay
from guiding.days.sheets.prep import DayPrep, PrepItem, PrepSection, day_prep
from guiding.desk.sheets.drops import check_rows, drawn_rigs, fly_by, run_sheet_plan, trip_drops
from guiding.desk.sheets.gather import TripFile, letterhead
from guiding.papers import records
from guiding.papers.csv_table import csv_table
from guiding.papers.drop_sheet import drop_sheet_pdf
from guiding.papers.prep_lists import prep_lists_pdf

PREP_LABELS = {
    "prep-lists.pdf": "Prep and load lists (PDF)",
    "drop-sheet.pdf": "Drops and rigs (PDF)",
    "prep.csv": "All lists (CSV)",
    "shopping.csv": "Shopping (CSV)",
    "charging.csv": "Charging (CSV)",
}


@dataclass(frozen=True, slots=True)
class TripPrep:
    """A trip with its drops and its lists, read once for every paper of its prep."""

    file: TripFile
    drops: DropsOfDay
    day: DayPrep


def trip_prep(file: TripFile, *, at: datetime.datetime | None = None) -> TripPrep:
    """The lists of a trip. ValueError with a sentence where it has no plan yet."""
    drops = trip_drops(file)
    if drops is None:
        raise ValueError(f"{file.trip} has no plan yet: choose its spot before its lists are made.")
    heads = sum(booking.heads for booking in file.bookings)
    day = day_prep(
        drops=drops,
        zone=file.business.zone,
        locale=file.business.locale,
        heads=heads,
        minors=min(len(file.minors), heads),
        at=at,
    )
    return TripPrep(file, drops, day)


def load_items(prep: TripPrep) -> tuple[records.LoadItem, ...]:
    """The load list as the run sheet prints it."""
    load = next(section for section in prep.day.sections if section.name == "load")
    return tuple(records.LoadItem(item.group, _told(item), item.count) for item in load.items)


def _told(item: PrepItem) -> str:
    """A line with who takes it, and what is wrong with the thing."""
    who = f" ({item.who})" if item.who else ""
    warning = f" [{item.warning}]" if item.warning else ""
    return f"{item.text}{who}{warning}"


# ---------------------------------------------------------------- papers and tables


def prep_file(name: str, prep: TripPrep, *, printed_at: datetime.datetime, page_size: str) -> bytes:
    """One paper or table of a trip's prep, by the names of `PREP_LABELS`."""
    return _MAKERS[name](prep, printed_at, page_size)


def _head(
    prep: TripPrep, kind: str, printed_at: datetime.datetime, page_size: str
) -> records.Letterhead:
    trip = prep.file.trip
    return letterhead(
        prep.file.business,
        number=f"{kind}{trip.pk:05d}-{trip.sequence}",
        printed_at=printed_at,
        page_size=page_size,
        trip=trip,
    )


def _lists_pdf(prep: TripPrep, printed_at: datetime.datetime, page_size: str) -> bytes:
    trip, drops = prep.file.trip, prep.drops
    notes = [drops.cast_only] if drops.cast_only else []
    return prep_lists_pdf(
        records.PrepLists(
            letterhead=_head(prep, "L", printed_at, page_size),
            title=trip.offer.name,
            starts_at=trip.starts_at,
            lists=tuple(_list(section) for section in prep.day.sections),
            spot_name=drops.plan.spot.name,
            count_back=True,
            notes=tuple(notes),
        )
    )


def _list(section: PrepSection) -> records.PrepList:
    return records.PrepList(
        title=section.title,
        items=tuple(
            records.LoadItem(item.group, _told(item), item.count) for item in section.items
        ),
        by=section.by,
        note="\n\n".join(section.notes),
    )


def _drops_pdf(prep: TripPrep, printed_at: datetime.datetime, page_size: str) -> bytes:
    trip, drops = prep.file.trip, prep.drops
    return drop_sheet_pdf(
        records.DropSheet(
            letterhead=_head(prep, "D", printed_at, page_size),
            title=trip.offer.name,
            starts_at=trip.starts_at,
            spot_name=drops.plan.spot.name,
            cast_only=drops.cast_only,
            facts=fly_by(drops),
            checks=check_rows(drops),
            plan=run_sheet_plan(prep.file, drops),
            rigs=drawn_rigs(drops),
        )
    )


def _all_csv(prep: TripPrep, _printed_at: datetime.datetime, _page_size: str) -> bytes:
    zone = prep.file.business.tz
    head = ("list", "by", "group", "what", "count", "who", "warning", "done", "back")
    rows = [
        (
            section.title,
            "" if section.by is None else f"{section.by.astimezone(zone):%Y-%m-%d %H:%M}",
            item.group,
            item.text,
            item.count,
            item.who,
            item.warning,
            "yes" if item.done_at else "",
            "yes" if item.back_at else "",
        )
        for section in prep.day.sections
        for item in section.items
    ]
    return csv_table(head, rows).encode()


def _shopping_csv(prep: TripPrep, _printed_at: datetime.datetime, _page_size: str) -> bytes:
    head = ("what", "needed", "in_the_box", "buy", "unit")
    rows: list[tuple[str | float, ...]] = [
        (line.name, line.need, line.have, line.buy, line.unit) for line in prep.day.shopping
    ]
    rows.append(("bait", round(prep.day.bait_kg, 2), 0.0, round(prep.day.bait_kg, 2), "kg"))
    return csv_table(head, rows).encode()


def _charging_csv(prep: TripPrep, _printed_at: datetime.datetime, _page_size: str) -> bytes:
    zone = prep.file.business.tz
    head = ("pack", "charger", "slot", "begin", "full", "energy_wh")
    rows = [
        (
            turn.pack,
            turn.charger,
            turn.slot,
            f"{turn.begin_at.astimezone(zone):%Y-%m-%d %H:%M}",
            f"{turn.full_at.astimezone(zone):%Y-%m-%d %H:%M}",
            round(turn.energy_wh, 1),
        )
        for turn in prep.day.charge.turns
    ]
    return csv_table(head, rows).encode()


_MAKERS: dict[str, Callable[[TripPrep, datetime.datetime, str], bytes]] = {
    "prep-lists.pdf": _lists_pdf,
    "drop-sheet.pdf": _drops_pdf,
    "prep.csv": _all_csv,
    "shopping.csv": _shopping_csv,
    "charging.csv": _charging_csv,
}
