"""The receipt: money that came in, and what is left."""

from guiding.papers._money_document import MoneyDocument
from guiding.papers.records import Receipt


def receipt_pdf(receipt: Receipt) -> bytes:
    """Builds a receipt as a PDF: payments received, for what, their tax, and what is left to pay.

    The same record gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    paper = MoneyDocument(receipt.body, "money.receipt")
    setter = paper.setter
    currency = receipt.body.currency
    told = [setter.word("money.with_thanks", amount=setter.money(receipt.received, currency))]
    if receipt.left > 0:
        told.append(setter.word("money.left", amount=setter.money(receipt.left, currency)))
    else:
        told.append(setter.word("money.nothing_due"))
    return paper.finish(
        [
            *paper.head([("money.for_invoice", receipt.invoice_number)]),
            *paper.lines(),
            *paper.payments(receipt.payments),
            *paper.due(told, None),
            *paper.notes(),
        ]
    )
