"""The statement of account: every paper of a client in order, and what is left to pay."""

from decimal import Decimal

from reportlab.platypus import Flowable

from guiding.papers._money_document import MoneyDocument
from guiding.papers.records import AccountRow, AccountStatement, MoneyBody
from guiding.papers.setting import Cell, Command
from guiding.papers.styles import Tint


def account_statement_pdf(statement: AccountStatement) -> bytes:
    """Builds a statement of account as a PDF: papers by date with the balance after each.

    The same record gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    body = MoneyBody(
        letterhead=statement.letterhead,
        recipient=statement.recipient,
        issued_on=statement.until,
        lines=(),
        total=statement.balance,
        currency=statement.currency,
        notes=statement.notes,
    )
    paper = MoneyDocument(body, "account.name")
    setter = paper.setter
    story: list[Flowable] = [
        *paper.head([]),
        setter.para(setter.word("account.until", day=setter.day(statement.until)), "strong"),
        setter.gap(0.5),
        *_rows(paper, statement.rows),
        *paper.due([_left(paper, statement.balance)], statement.bank),
        *paper.notes(),
    ]
    return paper.finish(story)


def _rows(paper: MoneyDocument, rows: tuple[AccountRow, ...]) -> list[Flowable]:
    setter = paper.setter
    if not rows:
        return [setter.para(setter.word("account.none"))]

    def money(amount: Decimal | None) -> str:
        return "" if amount is None else paper.money(amount)

    cells: list[list[Cell]] = [
        [
            setter.safe(setter.short_day(row.on)),
            setter.safe(row.text),
            money(row.billed),
            money(row.paid),
            money(row.balance),
        ]
        for row in rows
    ]
    extra: list[Command] = [("LINEBELOW", (0, -1), (-1, -1), 0.9, Tint.SLATE)]
    names = ("day", "what", "billed", "paid", "balance")
    head = [setter.word(f"account.{name}") for name in names]
    return [
        setter.table(cells, (2.7, 5, 1.8, 1.8, 1.8), head, right=(2, 3, 4), pad=0.3, extra=extra)
    ]


def _left(paper: MoneyDocument, balance: Decimal) -> str:
    setter = paper.setter
    if balance > 0:
        return setter.word("account.owed", amount=setter.money(balance, paper.body.currency))
    if balance < 0:
        return setter.word("account.held", amount=setter.money(-balance, paper.body.currency))
    return setter.word("account.even")
