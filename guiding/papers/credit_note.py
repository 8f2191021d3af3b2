"""The credit note: money given back or taken off an invoice, and why."""

from guiding.papers._money_document import MoneyDocument
from guiding.papers.records import CreditNote


def credit_note_pdf(note: CreditNote) -> bytes:
    """Builds a credit note as a PDF: the invoice it corrects, the reason, lines and tax.

    The same record gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    paper = MoneyDocument(note.body, "money.credit_note")
    setter = paper.setter
    total = setter.money(note.body.total, note.body.currency)
    told = [setter.word("money.credited", amount=total)]
    return paper.finish(
        [
            *paper.head(
                [
                    ("money.for_invoice", note.invoice_number),
                    ("money.invoice_of", setter.day(note.invoice_on)),
                ]
            ),
            *setter.labelled("money.reason", note.reason),
            *paper.lines(),
            *paper.due(told, None),
            *setter.text(note.settled),
            *paper.notes(),
        ]
    )
