"""Labels for gear: a sheet to cut, each with a code that opens the page of its thing."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import replace

from django.conf import settings

from bookings.models import Business
from bookings.rules.phones import phone_text
from equipment.queries.export import LabelFacts, label_facts
from guiding.papers import records
from guiding.papers.labels import labels_pdf
from guiding.safety.sheets.letterhead import letterhead

# US Letter is 18 mm shorter than A4: a row less fits above each other.
_ROWS = {"A4": 8, "Letter": 7}
_COLUMNS = 3
MOST_START = _COLUMNS * min(_ROWS.values()) - 1


def gear_labels(
    *,
    business: Business,
    on: datetime.date,
    printed_at: datetime.datetime,
    things: Sequence[int] | None = None,
    kinds: Sequence[str] | None = None,
    start: int = 0,
    page_size: str = "",
) -> tuple[bytes, int]:
    """The labels of the things in use on a day, or of some of them, as PDF; and how many they are.

    `start` leaves that many places of a used sheet free, at most `MOST_START`. Raises ValueError
    where there is nothing to label, or for a start beyond the sheet.
    """
    facts = label_facts(on=on, things=things, kinds=kinds)
    if not facts:
        raise ValueError("There is nothing to label: no such thing is in use on that day.")
    head = letterhead(business, number="", printed_at=printed_at, page_size=page_size)
    sheet = records.LabelSheet(
        letterhead=head,
        labels=tuple(_label(one, business) for one in facts),
        rows=_ROWS[head.page_size.value],
        columns=_COLUMNS,
    )
    return labels_pdf(replace(sheet, start=start)), len(facts)


def _label(facts: LabelFacts, business: Business) -> records.GearLabel:
    """The code opens the thing's page; whoever finds the thing reads whose it is."""
    model = f", {facts.model_note}" if facts.model_note else ""
    lines = (
        f"{facts.kind.capitalize()}{model}",
        facts.rating,
        f"No. {facts.serial}" if facts.serial else "",
        business.name,
        phone_text(business.phone),
    )
    return records.GearLabel(
        code=f"{settings.PUBLIC_URL}{facts.path}",
        name=facts.label,
        lines=tuple(line for line in lines if line),
    )
