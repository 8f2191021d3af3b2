"""The cost sheet of a day, as a PDF and as a table for a spreadsheet."""

import csv
from collections.abc import Sequence
from decimal import Decimal
from io import StringIO

from reportlab.platypus import Flowable, KeepTogether

from guiding.papers.csv_table import plain_text
from guiding.papers.document import Document
from guiding.papers.records import CostRow, CostSection, CostSheet
from guiding.papers.setting import Cell, Typesetter
from guiding.papers.styles import Tint
from guiding.papers.words import put_in

_COLUMNS = (5.2, 2.3, 2, 1.8, 2)


def cost_sheet_pdf(sheet: CostSheet) -> bytes:
    """Builds the cost sheet of a day as a PDF: lines by driver, results, and what parties bring.

    The same record gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    setter = Document(sheet.letterhead)
    kind = setter.words.text("cost.name" if sheet.estimated else "cost.name_actual")
    about = [setter.day(sheet.day), sheet.spot_name]
    if sheet.heads is not None:
        about.append(put_in(setter.words.text("cost.head"), heads=sheet.heads))
    story: list[Flowable] = [
        setter.para(setter.safe(kind), "kicker"),
        setter.heading(setter.safe(sheet.title), "title"),
        setter.para(setter.safe("  ·  ".join(part for part in about if part))),
        setter.gap(0.5),
    ]
    for section in sheet.sections:
        story += _section(setter, section, sheet.currency)
    story += _results(setter, sheet)
    story += _parties(setter, sheet)
    story += _compared(setter, sheet)
    story += setter.bullets(sheet.notes)
    story += [setter.gap(), setter.para(setter.word("cost.note"), "small")]
    subject = setter.words.text("cost.subject").format(title=sheet.title)
    return setter.finish(story, f"{kind}: {sheet.title}", subject).data


def cost_sheet_csv(sheet: CostSheet) -> str:
    """Builds the cost sheet as comma-separated text: one row a line, then totals and results.

    Amounts are plain decimals with a point, in the currency named in each row. A cell of text
    that a spreadsheet would read as a formula gets an apostrophe in front.
    """
    setter = Document(sheet.letterhead)
    say = setter.words.text
    code = sheet.currency or sheet.letterhead.currency
    names = ("section", "line", "driver", "quantity", "unit", "rate", "amount", "currency", "basis")
    table: list[list[str]] = [[say(f"cost.{name}") for name in names]]
    for section in sheet.sections:
        for row in section.rows:
            figures = [_plain(row.quantity), *_texts(row.unit), _plain(row.rate)]
            figures += [_plain(row.amount), code]
            table.append(_texts(section.title, row.name, row.driver) + figures + _texts(row.basis))
        total = ["", "", "", _plain(section.total), code]
        table.append([*_texts(section.title, section.total_label, ""), *total, ""])
    for figure in sheet.results:
        told = _plain(figure.amount) or _plain(figure.share)
        count = "" if figure.count is None else str(figure.count)
        end = [told, code if figure.amount is not None else "", *_texts(figure.detail)]
        table.append([say("cost.figure"), *_texts(figure.label, ""), count, "", "", *end])
    for party in sheet.parties:
        for name, value in (
            ("income", party.income),
            ("after", party.after_costs),
            ("per_hour", party.earned_per_hour),
        ):
            row_start = [say("cost.parties"), say(f"cost.{name}"), "", str(party.heads)]
            table.append([*row_start, say("cost.heads"), "", _plain(value), code, ""])
    return _written(table)


def _texts(*texts: str) -> list[str]:
    """Cells of text, none of which a spreadsheet takes for a formula."""
    return [plain_text(text) for text in texts]


def _plain(value: Decimal | None) -> str:
    return "" if value is None else f"{value:f}"


def _written(table: Sequence[Sequence[str]]) -> str:
    file = StringIO()
    csv.writer(file, lineterminator="\r\n").writerows(table)
    return file.getvalue()


def _section(setter: Typesetter, section: CostSection, currency: str) -> list[Flowable]:
    rows = [_row(setter, row, currency) for row in section.rows]
    total = setter.safe(setter.money(section.total, currency))
    rows.append([f"<b>{setter.safe(section.total_label)}</b>", "", "", "", f"<b>{total}</b>"])
    names = ("line", "driver", "quantity", "rate", "amount")
    head = [setter.word(f"cost.{name}") for name in names]
    table = setter.table(
        rows,
        _COLUMNS,
        head,
        right=(2, 3, 4),
        pad=0.2,
        extra=[
            ("LINEABOVE", (0, -1), (-1, -1), 0.9, Tint.SLATE),
            ("BACKGROUND", (0, -1), (-1, -1), Tint.SAND),
        ],
    )
    return [*setter.part(setter.safe(section.title)), table]


def _row(setter: Typesetter, row: CostRow, currency: str) -> list[Cell]:
    name = setter.safe(row.name)
    notes = [row.basis] if row.basis else []
    if row.provision:
        notes.insert(0, setter.words.text("cost.provision"))
    if notes:
        name += (
            f" <font size='{setter.styles.small.fontSize}'>({setter.safe('; '.join(notes))})</font>"
        )
    quantity = "" if row.quantity is None else f"{setter.number(row.quantity)} {row.unit}".strip()
    rate = "" if row.rate is None else setter.money(row.rate, currency)
    return [
        name,
        setter.safe(row.driver),
        setter.safe(quantity),
        setter.safe(rate),
        setter.safe(setter.money(row.amount, currency)),
    ]


def _results(setter: Typesetter, sheet: CostSheet) -> list[Flowable]:
    if not sheet.results:
        return []
    rows = [
        [
            f"<b>{setter.safe(figure.label)}</b>",
            setter.safe(figure.detail),
            f"<b>{setter.safe(setter.figure(figure, sheet.currency))}</b>",
        ]
        for figure in sheet.results
    ]
    table = setter.table(rows, (4, 6, 2.2), right=(2,), pad=0.25, width=setter.width - 16)
    part = setter.part(setter.word("cost.results"))
    return [KeepTogether([*part, setter.panel([table], Tint.KELP)])]


def _parties(setter: Typesetter, sheet: CostSheet) -> list[Flowable]:
    if not sheet.parties:
        return []
    rows: list[list[Cell]] = []
    shaded = []
    for number, party in enumerate(sheet.parties, start=1):
        heads = f"<b>{party.heads}</b>"
        if party.heads == sheet.heads:
            heads += f" ({setter.word('cost.booked')})"
            shaded.append(("BACKGROUND", (0, number), (-1, number), Tint.SAND))
        margin = "–" if party.margin_share is None else setter.share(party.margin_share, 1)
        hour = (
            "–"
            if party.earned_per_hour is None
            else setter.money(party.earned_per_hour, sheet.currency)
        )
        told = [
            setter.money(party.income, sheet.currency),
            setter.money(party.after_costs, sheet.currency),
            margin,
            hour,
        ]
        rows.append([heads, *(setter.safe(text) for text in told)])
    names = ("heads", "income", "after", "margin", "per_hour")
    table = setter.table(
        rows,
        (2.4, 2, 2.2, 1.6, 2.6),
        [setter.word(f"cost.{name}") for name in names],
        right=(1, 2, 3, 4),
        pad=0.25,
        extra=shaded,
    )
    return [KeepTogether([*setter.part(setter.word("cost.parties")), table])]


def _compared(setter: Typesetter, sheet: CostSheet) -> list[Flowable]:
    if not sheet.compared:
        return []
    rows = [
        [
            setter.safe(label),
            *(
                setter.safe(setter.money(amount, sheet.currency))
                for amount in (estimate, actual, actual - estimate)
            ),
        ]
        for label, estimate, actual in sheet.compared
    ]
    head = ["", *(setter.word(f"cost.{name}") for name in ("estimate", "actual", "difference"))]
    table = setter.table(rows, (5, 2, 2, 2), head, right=(1, 2, 3), pad=0.2)
    return [KeepTogether([*setter.part(setter.word("cost.compared")), table])]
