"""The papers of a trip as files: names and bytes, the same for the command, the page and a mail."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from bookings.models import Party
from guiding.calendars.invite import invite_ics
from guiding.days.sheets.cost import TripCost, trip_cost
from guiding.desk.sheets.briefing import briefing_paper, card_paper
from guiding.desk.sheets.gather import TripFile
from guiding.desk.sheets.gear import trip_gear_report, trip_labels
from guiding.desk.sheets.invites import trip_invite
from guiding.desk.sheets.languages import language_of_client
from guiding.desk.sheets.run_sheet import cost_paper, run_sheet
from guiding.desk.sheets.trip_sheet import child_page_of, trip_sheet
from guiding.papers.briefing import briefing_pdf
from guiding.papers.child_page import child_page_pdf
from guiding.papers.cost_sheet import cost_sheet_csv, cost_sheet_pdf
from guiding.papers.emergency_card import emergency_card_pdf
from guiding.papers.gear_report import gear_report_pdf
from guiding.papers.labels import labels_pdf
from guiding.papers.records import CardSize
from guiding.papers.run_sheet import run_sheet_pdf
from guiding.papers.trip_sheet import trip_sheet_pdf

CONTENT_TYPES = {
    "pdf": "application/pdf",
    "csv": "text/csv; charset=utf-8",
    "ics": "text/calendar; charset=utf-8",
}


_SHEET = "trip-sheet.pdf"
_LABELS = {
    _SHEET: "Trip sheet, for the clients (PDF)",
    "child-page.pdf": "The child's own page (PDF)",
    "run-sheet.pdf": "Run sheet, for you (PDF)",
    "briefing.pdf": "Briefing, with the assessment (PDF)",
    "card-a6.pdf": "Emergency card, A6 (PDF)",
    "card-sheet.pdf": "Emergency card, one sheet (PDF)",
    "gear-report.pdf": "Gear report (PDF)",
    "labels.pdf": "Labels for the gear (PDF)",
    "cost-sheet.pdf": "Cost sheet (PDF)",
    "cost.csv": "Cost sheet (CSV)",
    "invite.ics": "Calendar invite",
}


@dataclass(frozen=True, slots=True)
class Wish:
    """How a paper is wanted: when it is printed, on what, in which language of those there are."""

    printed_at: datetime.datetime
    page_size: str = ""
    language: str = ""


def trip_file_names() -> dict[str, str]:
    """The papers of a trip: file name and what it is called."""
    return dict(_LABELS)


def papers_of_trip(file: TripFile) -> dict[str, str]:
    """Those of the papers that this trip has something to print on.

    Where several parties come, each has a trip sheet of its own.
    """
    without = set() if file.minors else {"child-page.pdf"}
    without |= set() if file.gear else {"gear-report.pdf", "labels.pdf"}
    sheets = _own_sheets(file)
    without |= {_SHEET} if sheets else set()
    own = {name: f"Trip sheet, for {party.client} (PDF)" for name, party in sheets.items()}
    return own | {name: label for name, label in _LABELS.items() if name not in without}


def sheet_names(file: TripFile) -> tuple[str, ...]:
    """The trip sheet of a trip, or those of its parties."""
    return tuple(_own_sheets(file)) or (_SHEET,)


def _own_sheets(file: TripFile) -> dict[str, Party]:
    """The trip sheets of a shared day: file name and whose it is."""
    if len(file.parties) < 2:
        return {}
    return {f"trip-sheet-of-{party.pk}.pdf": party for party in file.parties}


def make_trip_file(
    name: str,
    file: TripFile,
    *,
    printed_at: datetime.datetime,
    page_size: str = "",
    language: str = "",
) -> bytes:
    """One paper of a trip. ValueError with a sentence when something it needs is missing.

    What clients hold may be in a language of theirs; what the guide holds is in the business's.
    """
    party = _own_sheets(file).get(name)
    if party is not None:
        file, name = file.of_party(party.pk), _SHEET
        language = language or language_of_client(party.client)
    return _MAKERS[name](file, Wish(printed_at, page_size, language))


def _plain(wish: Wish) -> dict[str, Any]:
    return {"printed_at": wish.printed_at, "page_size": wish.page_size}


def _trip_sheet(file: TripFile, wish: Wish) -> bytes:
    return trip_sheet_pdf(trip_sheet(file, **_plain(wish), language=wish.language))


def _child_page(file: TripFile, wish: Wish) -> bytes:
    return child_page_pdf(child_page_of(file, **_plain(wish), language=wish.language))


def _run_sheet(file: TripFile, wish: Wish) -> bytes:
    return run_sheet_pdf(run_sheet(file, **_plain(wish)))


def _briefing(file: TripFile, wish: Wish) -> bytes:
    return briefing_pdf(briefing_paper(file, **_plain(wish)))


def _card(file: TripFile, wish: Wish) -> bytes:
    return emergency_card_pdf(card_paper(file, **_plain(wish)))


def _card_sheet(file: TripFile, wish: Wish) -> bytes:
    return emergency_card_pdf(card_paper(file, **_plain(wish), size=CardSize.SHEET))


def _gear_report(file: TripFile, wish: Wish) -> bytes:
    return gear_report_pdf(trip_gear_report(file, **_plain(wish)))


def _labels(file: TripFile, wish: Wish) -> bytes:
    return labels_pdf(trip_labels(file, **_plain(wish)))


def _cost(file: TripFile) -> TripCost:
    if file.plan is None:
        raise ValueError(f"{file.trip} has no plan yet: there is nothing to cost.")
    found = trip_cost(trip=file.trip, plan=file.plan, business=file.business)
    if isinstance(found, str):
        raise ValueError(found)
    return found


def _cost_pdf(file: TripFile, wish: Wish) -> bytes:
    return cost_sheet_pdf(cost_paper(file, _cost(file), **_plain(wish)))


def _cost_csv(file: TripFile, wish: Wish) -> bytes:
    return cost_sheet_csv(cost_paper(file, _cost(file), **_plain(wish))).encode("utf-8")


def _invite(file: TripFile, wish: Wish) -> bytes:
    # DTSTAMP: when this state of the trip came about, so the same trip gives the same bytes.
    return invite_ics(trip_invite(file, stamp=file.trip.changed_at))


_MAKERS: dict[str, Callable[[TripFile, Wish], bytes]] = {
    _SHEET: _trip_sheet,
    "child-page.pdf": _child_page,
    "run-sheet.pdf": _run_sheet,
    "briefing.pdf": _briefing,
    "card-a6.pdf": _card,
    "card-sheet.pdf": _card_sheet,
    "gear-report.pdf": _gear_report,
    "labels.pdf": _labels,
    "cost-sheet.pdf": _cost_pdf,
    "cost.csv": _cost_csv,
    "invite.ics": _invite,
}
