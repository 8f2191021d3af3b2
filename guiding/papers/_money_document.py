"""What price note, invoice, receipt and credit note have in common: head, lines, tax, total."""

from collections.abc import Sequence
from decimal import Decimal

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether

from guiding.papers.document import Document
from guiding.papers.qr import QrCode
from guiding.papers.records import BankDetails, MoneyBody, MoneyLine, Paid
from guiding.papers.setting import Cell
from guiding.papers.styles import Tint

_CODE_SIDE = 34 * mm


class MoneyDocument:
    """One money paper under construction."""

    def __init__(self, body: MoneyBody, kind: str) -> None:
        self.setter = Document(body.letterhead)
        self.body = body
        self.kind = self.setter.words.text(kind)

    def money(self, amount: Decimal) -> str:
        """An amount in the currency of the paper, as markup."""
        return self.setter.safe(self.setter.money(amount, self.body.currency))

    def head(self, facts: Sequence[tuple[str, str]]) -> list[Flowable]:
        """Name of the paper, to whom it goes, and its dates."""
        setter, body = self.setter, self.body
        trip = [setter.safe(body.trip_title)] if body.trip_title else []
        if body.trip_day:
            trip.append(setter.safe(setter.day(body.trip_day)))
        if body.trip_number:
            trip.append(setter.word("money.trip_number", number=body.trip_number))
        known = [
            ("money.issued", setter.day(body.issued_on)),
            *facts,
        ]
        recipient: list[Flowable] = [
            setter.para(setter.word("money.to"), "label"),
            setter.para(f"<b>{setter.safe(body.recipient.name)}</b>", "tight"),
            *(setter.para(setter.safe(line), "tight") for line in body.recipient.address_lines),
        ]
        if body.recipient.tax_number:
            number = setter.word("money.tax_number", number=body.recipient.tax_number)
            recipient.append(setter.para(number, "small"))
        dates = setter.table(
            [
                [setter.para(setter.word(label), "label"), setter.safe(value)]
                for label, value in known
                if value
            ],
            (2, 3),
            pad=0.15,
            plain=True,
            width=setter.width * 0.5,
        )
        content: list[Flowable] = [
            setter.heading(
                f"{setter.safe(self.kind)} {setter.safe(body.letterhead.number)}", "title"
            ),
            setter.table([[recipient, [dates]]], (1, 1), pad=0.3, plain=True),
            setter.gap(),
        ]
        if trip:
            content += [setter.para("  ·  ".join(trip), "strong"), setter.gap(0.5)]
        return [*content, *setter.text(body.opening)]

    def lines(self) -> list[Flowable]:
        """The lines, the total, and the tax by rate."""
        setter, body = self.setter, self.body
        taxed = any(line.rate_pct is not None for line in body.lines)
        counted = any(line.quantity is not None or line.unit_price for line in body.lines)
        names = ["text", *(["quantity", "price"] if counted else [])]
        names += [*(["rate"] if taxed else []), "amount"]
        widths = [{"text": 5.6, "rate": 1.1}.get(name, 1.9) for name in names]
        rows = [self._line(line, counted, taxed) for line in body.lines]
        total: list[Cell] = [""] * len(names)
        total[0] = f"<b>{setter.word('money.total')}</b>"
        total[-1] = f"<b>{self.money(body.total)}</b>"
        rows.append(total)
        table = setter.table(
            rows,
            widths,
            [setter.word(f"money.{name}") for name in names],
            right=range(1, len(names)),
            pad=0.3,
            extra=[
                ("LINEABOVE", (0, -1), (-1, -1), 0.9, Tint.SLATE),
                ("BACKGROUND", (0, -1), (-1, -1), Tint.SAND),
                ("NOSPLIT", (0, -2), (-1, -1)),
            ],
        )
        basis = "money.prices_with_tax" if body.prices_include_tax else "money.prices_net"
        told = [setter.para(setter.word(basis), "small")] if body.taxes else []
        return [table, *told, *self._taxes()]

    def _line(self, line: MoneyLine, counted: bool, taxed: bool) -> list[Cell]:
        setter = self.setter
        text: list[Flowable] = [setter.para(setter.safe(line.text), "tight")]
        if line.detail:
            text.append(setter.small(line.detail))
        quantity = ""
        if line.quantity is not None:
            quantity = setter.safe(f"{setter.number(line.quantity)} {line.unit}".strip())
        price = "" if line.unit_price is None else self.money(line.unit_price)
        rate = [self._rate(line.rate_pct)] if taxed else []
        each = [quantity, price] if counted else []
        return [text, *each, *rate, self.money(line.amount)]

    def _rate(self, rate_pct: Decimal | None) -> str:
        if rate_pct is None:
            return self.setter.word("money.exempt")
        return self.setter.safe(f"{self.setter.number(rate_pct)} %")

    def _taxes(self) -> list[Flowable]:
        setter, body = self.setter, self.body
        note = setter.text(body.tax_note, "small")
        if not body.taxes:
            return note
        rows: list[list[Cell]] = [
            [
                setter.safe(tax.label) or self._rate(tax.rate_pct),
                self.money(tax.net),
                self.money(tax.tax),
                self.money(tax.gross),
            ]
            for tax in body.taxes
        ]
        if len(rows) > 1:
            sums = [
                sum((getattr(tax, part) for tax in body.taxes), Decimal(0))
                for part in ("net", "tax", "gross")
            ]
            rows.append([f"<b>{setter.word('money.together')}</b>", *map(self.money, sums)])
        names = ("tax_rate", "net", "tax", "gross")
        table = setter.table(
            rows,
            (2, 2, 2, 2),
            [setter.word(f"money.{name}") for name in names],
            right=(1, 2, 3),
            pad=0.2,
            width=setter.width * 0.62,
        )
        table.hAlign = "RIGHT"
        return [setter.gap(), KeepTogether([table]), *note]

    def payments(self, payments: Sequence[Paid]) -> list[Flowable]:
        """What came in, one row a payment."""
        setter = self.setter
        rows = [
            [
                setter.safe(setter.short_day(paid.received_on)),
                setter.safe(" ".join(part for part in (paid.how, paid.reference) if part)) or "–",
                self.money(paid.amount),
            ]
            for paid in payments
        ]
        if not rows:
            return []
        head = [setter.word(f"money.{name}") for name in ("received_on", "how", "amount")]
        table = setter.table(rows, (2.4, 5, 2), head, right=(2,), pad=0.25)
        return [*setter.part(setter.word("money.received")), table]

    def due(self, lines: Sequence[str], bank: BankDetails | None) -> list[Flowable]:
        """What is to be paid, where, and the code that fills in the transfer."""
        setter = self.setter
        told: list[Flowable] = [setter.para(line, "value") for line in lines]
        code: list[Flowable] = []
        if bank:
            told += [setter.gap(0.5), *self._bank(bank)]
            if bank.qr_payload:
                code = [
                    QrCode(bank.qr_payload, _CODE_SIDE),
                    setter.para(setter.word("money.qr"), "caption"),
                ]
        inner = setter.width - 24
        share = _CODE_SIDE / inner if code else 0.0
        body = setter.table(
            [[told, code]] if code else [[told]],
            (1 - share - 0.02, share + 0.02) if code else (1,),
            pad=0.2,
            plain=True,
            width=inner,
        )
        return [setter.gap(), KeepTogether([setter.panel([body], Tint.KELP)]), setter.gap(0.6)]

    def _bank(self, bank: BankDetails) -> list[Flowable]:
        setter = self.setter
        account = bank.numbers or bank.lines
        known = [
            (setter.word("money.account_name"), bank.account_name if account else ""),
            *(("", line) for line in bank.lines),
            *((setter.safe(name), number) for name, number in bank.numbers),
            (setter.word("money.reference"), bank.reference),
        ]
        lines = [
            setter.para(f"{label} <b>{setter.safe(value)}</b>".strip(), "tight")
            for label, value in known
            if value
        ]
        return [*lines, *(setter.para(setter.safe(way), "tight") for way in bank.other_ways)]

    def notes(self) -> list[Flowable]:
        """The notes at the end."""
        return [self.setter.gap(), *self.setter.bullets(self.body.notes)]

    def finish(self, story: list[Flowable]) -> bytes:
        """The finished paper."""
        subject = self.body.trip_title or self.body.recipient.name
        return self.setter.finish(story, self.kind, subject).data
