"""The season statement: what came in, what went out, the days and the fish."""

from decimal import Decimal

from reportlab.platypus import Flowable

from guiding.papers.document import Document
from guiding.papers.records import SeasonStatement, StatementTable, TallyTable
from guiding.papers.setting import Cell, Command, Typesetter
from guiding.papers.styles import Tint


def season_statement_pdf(statement: SeasonStatement) -> bytes:
    """Builds the season statement as a PDF: results, tables of money with totals, tallies.

    The same record gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    setter = Document(statement.letterhead, 10.0, 1.28, 0.55)
    first, last = setter.day(statement.first_day), setter.day(statement.last_day)
    story: list[Flowable] = [
        setter.para(setter.word("season.name"), "kicker"),
        setter.heading(setter.safe(statement.title), "title"),
        setter.para(setter.word("season.from_to", first=first, last=last)),
        setter.gap(0.5),
    ]
    if statement.results:
        rows: list[list[Cell]] = [
            [
                f"<b>{setter.safe(figure.label)}</b>",
                setter.safe(figure.detail),
                f"<b>{setter.safe(setter.figure(figure, statement.currency))}</b>",
            ]
            for figure in statement.results
        ]
        inner = setter.table(rows, (4, 6, 2.4), right=(2,), pad=0.3, width=setter.width - 24)
        story.append(setter.panel([inner], Tint.KELP))
    for table in statement.money:
        story += _money(setter, table, statement.currency)
    for tally in statement.tallies:
        story += _tally(setter, tally)
    story += [setter.gap(), *setter.bullets(statement.notes)]
    story.append(setter.para(setter.word("cost.note"), "small"))
    kind = setter.words.text("season.name")
    return setter.finish(story, f"{kind}: {statement.title}", statement.title).data


def _money(setter: Typesetter, table: StatementTable, currency: str) -> list[Flowable]:
    part = setter.part(setter.safe(table.title))
    if not table.rows:
        return [*part, setter.para(setter.word("season.empty"), "tight")]

    def amount(value: Decimal | None) -> str:
        return "–" if value is None else setter.safe(setter.money(value, currency))

    rows: list[list[Cell]] = []
    for row in table.rows:
        name: list[Flowable] = [setter.para(setter.safe(row.label), "tight")]
        name += setter.text(row.note, "small")
        rows.append([name, *map(amount, row.amounts)])
    extra: list[Command] = []
    if table.totals:
        label = setter.safe(table.total_label) or setter.word("money.total")
        rows.append([f"<b>{label}</b>", *(f"<b>{amount(total)}</b>" for total in table.totals)])
        extra = [
            ("LINEABOVE", (0, -1), (-1, -1), 0.9, Tint.SLATE),
            ("BACKGROUND", (0, -1), (-1, -1), Tint.SAND),
        ]
    count = len(table.columns)
    return [
        *part,
        setter.table(
            rows,
            [3.0] + [1.6] * count,
            ["", *(setter.brief(column) for column in table.columns)],
            right=range(1, count + 1),
            pad=0.25,
            extra=extra,
        ),
        *setter.text(table.note, "small"),
    ]


def _tally(setter: Typesetter, tally: TallyTable) -> list[Flowable]:
    part = setter.part(setter.safe(tally.title))
    if not tally.rows:
        return [*part, setter.para(setter.word("season.empty"), "tight")]
    rows = [[setter.safe(cell) for cell in row] for row in tally.rows]
    head = [setter.brief(column) for column in tally.columns]
    widths = [2.0] + [1.0] * (len(tally.columns) - 1)
    right = range(1, len(tally.columns))
    table = setter.table(rows, widths, head, right=right, pad=0.25)
    return [*part, table, *setter.text(tally.note, "small")]
