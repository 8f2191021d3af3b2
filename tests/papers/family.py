"""Every paper of the family: its name, how it is made in English, and its builder."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from guiding.papers.account_statement import account_statement_pdf
from guiding.papers.almanac_page import almanac_page_pdf
from guiding.papers.briefing import briefing_pdf
from guiding.papers.child_page import child_page_pdf
from guiding.papers.cost_sheet import cost_sheet_pdf
from guiding.papers.credit_note import credit_note_pdf
from guiding.papers.drop_sheet import drop_sheet_pdf
from guiding.papers.emergency_card import emergency_card_pdf
from guiding.papers.gear_report import gear_report_pdf
from guiding.papers.incident_report import incident_report_pdf
from guiding.papers.invoice import invoice_pdf
from guiding.papers.labels import labels_pdf
from guiding.papers.prep_lists import prep_lists_pdf
from guiding.papers.price_note import price_note_pdf
from guiding.papers.receipt import receipt_pdf
from guiding.papers.records import Letterhead
from guiding.papers.run_sheet import run_sheet_pdf
from guiding.papers.season_statement import season_statement_pdf
from guiding.papers.signed_form import signed_form_pdf
from guiding.papers.trip_sheet import trip_sheet_pdf
from tests.papers import made

FAMILY: dict[str, tuple[Callable[..., Any], Callable[[Any], bytes]]] = {
    "trip sheet": (made.trip_sheet, trip_sheet_pdf),
    "run sheet": (made.run_sheet, run_sheet_pdf),
    "cost sheet": (made.cost_sheet, cost_sheet_pdf),
    "price note": (made.price_note, price_note_pdf),
    "invoice": (made.invoice, invoice_pdf),
    "receipt": (made.receipt, receipt_pdf),
    "credit note": (made.credit_note, credit_note_pdf),
    "account statement": (made.account_statement, account_statement_pdf),
    "child's page": (made.child_page, child_page_pdf),
    "briefing": (made.briefing, briefing_pdf),
    "emergency card": (made.emergency_card, emergency_card_pdf),
    "incident report": (made.incident_report, incident_report_pdf),
    "signed form": (made.signed_form, signed_form_pdf),
    "labels": (made.labels, labels_pdf),
    "gear report": (made.gear_report, gear_report_pdf),
    "drop sheet": (made.drop_sheet, drop_sheet_pdf),
    "prep lists": (made.prep_lists, prep_lists_pdf),
    "season statement": (made.season_statement, season_statement_pdf),
    "almanac page": (made.almanac_page, almanac_page_pdf),
}
NAMES = tuple(FAMILY)


def record(name: str) -> Any:
    """The record of one paper."""
    return FAMILY[name][0]()


def built(name: str, **head: object) -> bytes:
    """One paper, with fields of its letterhead replaced."""
    paper = record(name)
    return FAMILY[name][1](with_head(paper, **head))


def with_head(paper: Any, **head: object) -> Any:
    """The same paper under another letterhead."""
    if hasattr(paper, "body"):
        return replace(paper, body=with_head(paper.body, **head))
    letterhead: Letterhead = replace(paper.letterhead, **head)  # type: ignore[arg-type]
    return replace(paper, letterhead=letterhead)
