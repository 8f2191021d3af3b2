"""Gear as rows for a file or for labels; what a spreadsheet would run is made harmless."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from equipment.models import FlightPack, Thing, UseEntry
from equipment.models.thing import thing_url
from equipment.queries.gear import gear_list
from equipment.queries.packs import rated_wh
from equipment.queries.things import things_in_use

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
USE_COLUMNS = ("thing", "kind", "amount", "at", "trip", "note", "key", "reverses")
GEAR_COLUMNS = ("label", "kind", "maker and model", "serial number", "bought on", "price",
                "worth at the end", "printed date", "state", "reason")  # fmt: skip


@dataclass(frozen=True, slots=True)
class LabelFacts:
    """What stands on the label of a thing; `path` is the address behind its code.

    `rating` is what a pack is rated for: cells, charge, energy; empty for other things.
    """

    thing_id: int
    label: str
    kind: str
    model_note: str
    serial: str
    path: str
    rating: str = ""


def label_facts(
    *, on: datetime.date, things: Sequence[int] | None = None, kinds: Sequence[str] | None = None
) -> list[LabelFacts]:
    """A label for each thing in use on a day, or for some of them; two queries."""
    rows = [
        thing for thing in things_in_use(on=on, kinds=kinds) if things is None or thing.pk in things
    ]
    packs = FlightPack.objects.in_bulk([row.pk for row in rows if row.kind == Thing.Kind.PACK])
    return [
        LabelFacts(
            thing.pk,
            thing.label,
            thing.get_kind_display(),
            thing.model_note,
            thing.serial,
            thing_url(thing.kind, thing.pk),
            _rating(packs[thing.pk]) if thing.pk in packs else "",
        )
        for thing in rows
    ]


def _rating(pack: FlightPack) -> str:
    wh = rated_wh(pack=pack)
    # A number stays with its unit where the line breaks.
    energy = f"{pack.rated_ah:g}\N{NO-BREAK SPACE}Ah, {wh:.0f}\N{NO-BREAK SPACE}Wh"
    return f"{pack.cells_series}S {pack.get_chemistry_display()}, {energy}"


def harmless(cell: object) -> str:
    """A cell as text that no spreadsheet takes for a formula; reading it back drops the mark."""
    text = "" if cell is None else str(cell)
    return f"'{text}" if text.startswith(_FORMULA) else text


def gear_rows(*, on: datetime.date) -> Iterator[list[str]]:
    """The gear list as rows of a table, with its head."""
    yield list(GEAR_COLUMNS)
    states = gear_list(on=on, with_retired=True)
    rows = Thing.objects.in_bulk([state.thing_id for state in states])
    for state in states:
        row = rows[state.thing_id]
        cells = (
            row.label, row.get_kind_display(), row.model_note, row.serial, row.bought_on,
            row.price, row.salvage, row.expires_on, state.state, state.reason,
        )  # fmt: skip
        yield [harmless(cell) for cell in cells]


def use_rows() -> Iterator[list[str]]:
    """The whole use log as rows that can be read in again, oldest first."""
    yield list(USE_COLUMNS)
    entries = UseEntry.objects.order_by("at", "pk").values_list(
        "thing__label", "kind", "amount", "at", "trip_uid", "note", "key", "reverses__key"
    )
    for label, kind, amount, at, *rest in entries.iterator(chunk_size=2000):
        cells = (label, kind, f"{amount:.10g}", at.isoformat(), *rest)
        yield [harmless(cell) for cell in cells]
