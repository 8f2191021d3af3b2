"""The invoice: what is owed for a day, with its tax and the way to pay."""

from guiding.papers._money_document import MoneyDocument
from guiding.papers.records import Invoice


def invoice_pdf(invoice: Invoice) -> bytes:
    """Builds an invoice as a PDF: lines, tax by rate, payments so far, what is due and how to pay.

    The payment code is drawn from `bank.qr_payload` with error correction M. The same record
    gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    paper = MoneyDocument(invoice.body, "money.invoice")
    setter = paper.setter
    supplied = setter.day(invoice.supplied_on) if invoice.supplied_on else ""
    due_on = setter.day(invoice.due_on) if invoice.due_on else ""
    if invoice.due <= 0:
        due = [setter.word("money.nothing_due")]
    elif invoice.due_on:
        due = [setter.word("money.to_pay_by", amount=_bare(paper, invoice), day=due_on)]
    else:
        due = [setter.word("money.to_pay", amount=_bare(paper, invoice))]
    return paper.finish(
        [
            *paper.head([("money.supplied", supplied), ("money.due_on", due_on)]),
            *paper.lines(),
            *paper.payments(invoice.payments),
            *paper.due(due, invoice.bank if invoice.due > 0 else None),
            *paper.notes(),
        ]
    )


def _bare(paper: MoneyDocument, invoice: Invoice) -> str:
    return paper.setter.money(invoice.due, invoice.body.currency)
