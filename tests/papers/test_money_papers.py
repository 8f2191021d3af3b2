"""Price note, invoice, receipt and credit note."""

from datetime import date
from decimal import Decimal

from guiding.papers.credit_note import credit_note_pdf
from guiding.papers.invoice import invoice_pdf
from guiding.papers.price_note import price_note_pdf
from guiding.papers.receipt import receipt_pdf
from guiding.papers.records import MoneyLine, Paid
from tests.papers import made, reading


def test_a_price_note_says_what_is_in_it_and_until_when() -> None:
    told = reading.text(price_note_pdf(made.price_note()))
    for words in (
        "Price note 2026-P-031",
        "Anna Byrne 12 Harbour Row",
        "3 adults, 1 child",
        "Guided day, a head rods, bait and lunch 4 heads €290.00 13.5 % €1,160.00",
        "Total €1,200.00",
        "In the price • Rods, reels, rigs and bait",
        "Not in the price • Travel to Marram",
        "Deposit, 30 % Mon 25 May 2026 €360.00",
        "Balance Sat 13 Jun 2026 €840.00",
        "30 days or more before: all back",
        "If the guide calls the day off for weather or sea",
        "This price stands until Monday 25 May 2026.",
        "https://desk.marramhead.example/p/",
        "The day is yours once you have said yes.",
    ):
        assert words in told


def test_an_invoice_shows_tax_by_rate_and_their_sums() -> None:
    told = reading.text(invoice_pdf(made.invoice()))
    for words in (
        "Invoice 2026-I-022",
        "Day of the trip Saturday 20 June 2026",
        "Prices include tax.",
        "13.5 % €1,022.03 €137.97 €1,160.00",
        "none €40.00 €0.00 €40.00",
        "Together €1,062.03 €137.97 €1,200.00",
        "Wed 20 May 2026 transfer RF18 5390 0754 7034 €360.00",
        "To pay: €840.00 by Saturday 13 June 2026",
        "Reference, exactly so: RF18 5390 0754 7034",
        "VAT IE0000000X (invented)",
    ):
        assert words in told


def test_prices_before_tax_say_so() -> None:
    told = reading.text(
        invoice_pdf(made.invoice(body=made.money_body("1", prices_include_tax=False)))
    )
    assert "Prices are before tax; the total includes it." in told
    assert "Prices include tax." not in told


def test_an_exempt_business_prints_its_reason_and_no_tax_table() -> None:
    body = made.money_body(
        "1",
        lines=(MoneyLine("Guided day", Decimal("500.00")),),
        total=Decimal("500.00"),
        taxes=(),
        tax_note="No tax is charged: small business (invented rule).",
    )
    told = reading.text(invoice_pdf(made.invoice(body=body)))
    assert "No tax is charged: small business (invented rule)." in told
    assert "Tax rate" not in told
    assert "How many" not in told


def test_a_receipt_says_what_came_in_and_what_is_left() -> None:
    told = reading.text(receipt_pdf(made.receipt()))
    assert "Received with thanks: €360.00" in told
    assert "Left to pay: €840.00" in told
    assert "For invoice 2026-I-022" in told
    paid_up = reading.text(receipt_pdf(made.receipt(left=Decimal("0.00"))))
    assert "Nothing is left to pay." in paid_up


def test_a_credit_note_names_the_invoice_and_the_reason() -> None:
    told = reading.text(credit_note_pdf(made.credit_note()))
    for words in (
        "Credit note 2026-K-003",
        "For invoice 2026-I-022",
        "Invoice of Monday 11 May 2026",
        "Reason: The day was called off for swell.",
        "Credited: €1,200.00",
        "within five days",
    ):
        assert words in told


def test_a_hundred_lines_flow_with_the_header_repeated_and_the_total_last() -> None:
    lines = tuple(
        MoneyLine(f"Line {n}", Decimal("1.00"), Decimal(1), "", Decimal("1.00")) for n in range(100)
    )
    body = made.money_body("1", lines=lines, total=Decimal("100.00"), taxes=())
    pages = reading.pages(invoice_pdf(made.invoice(body=body)))
    holding = [page for page in pages if "Line " in page]
    assert len(holding) > 1
    assert all("How many Each Amount" in page for page in holding)
    assert "Line 99 1 €1.00 €1.00 Total €100.00" in " ".join(pages)
    assert any("Line 99" in page and "Total €100.00" in page for page in pages)


def test_many_payments_are_listed_in_order() -> None:
    paid = tuple(Paid(date(2026, 5, day), Decimal(day), "card") for day in range(1, 10))
    told = reading.text(invoice_pdf(made.invoice(payments=paid)))
    assert told.index("Fri 1 May 2026") < told.index("Sat 9 May 2026")
