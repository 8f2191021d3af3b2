"""Bank statements in the shapes that banks give them, and whose money each line is."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.references import creditor_reference
from bookings.rules.statement import Certainty, OpenInvoice, match_line, read_statement

RF = creditor_reference("2026-0001")
COMMAS = f"""Account 1234,,,
Date,Description,Amount,Reference
2026-06-12,Maeve Skerry,"1,160.00",{RF}
13/06/2026,Ray,-45.20,
"""
GERMAN = """Buchungstag;Name Zahlungsbeteiligter;Verwendungszweck;Betrag;Waehrung
12.06.2026;Jürgen Dünenbach;Anzahlung 2026-0002;1.160,00;EUR
13.06.2026;Bank;Gebühr;-3,50;EUR
"""
IN_AND_OUT = """Posted by the bank
Booking date\tDetails\tPaid in\tPaid out
06/13/2026\tskerry\t348.00\t
06/02/2026\tfees\t\t3.50
"""


def read(text: str) -> list[tuple[date, Decimal]]:
    found = read_statement(text, "EUR")
    assert found.problems == ()
    return [(line.booked_on, line.amount) for line in found.lines]


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        (COMMAS, [(date(2026, 6, 12), "1160"), (date(2026, 6, 13), "-45.20")]),
        (GERMAN, [(date(2026, 6, 12), "1160"), (date(2026, 6, 13), "-3.50")]),
        # a 13th month cannot be, so the whole column has the month first
        (IN_AND_OUT, [(date(2026, 6, 13), "348"), (date(2026, 6, 2), "-3.50")]),
        ("\ufeffDatum;Betrag\n\n1.6.2026;5\n", [(date(2026, 6, 1), "5")]),
    ],
)
def test_statements_of_several_shapes(text: str, lines: list[tuple[date, str]]) -> None:
    assert read(text) == [(day, Decimal(amount)) for day, amount in lines]


def test_what_cannot_be_read_is_named_by_row_and_column() -> None:
    text = (
        "Date,Amount,Currency\n2026-06-31,5,EUR\n2026-06-30,five,EUR\n2026-06-30,5,USD\n"
        "2026-06-30,0,EUR\n2026-06-30,5.005,EUR\n2026-06-30,5,EUR\n"
    )
    found = read_statement(text, "EUR")
    assert [(x.row, x.column) for x in found.problems] == [
        (2, "date"),
        (3, "amount"),
        (4, "currency"),
        (5, "amount"),
    ]
    assert len(found.lines) == 2  # 5.005 is five thousand and five


@pytest.mark.parametrize("text", ["", "a,b\n1,2\n", "%PDF-1.7", "Date,Who\n2026-06-01,Ray\n"])
def test_a_file_without_a_head_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="names a date and an amount"):
        read_statement(text, "EUR")


def test_a_file_too_long_is_refused() -> None:
    with pytest.raises(ValueError, match="20000 are the most"):
        read_statement("Date,Amount\n" + "2026-06-01,5\n" * 20_000, "EUR")


def test_a_line_read_again_is_the_same_and_twins_are_two() -> None:
    text = "Date,Amount,Name\n2026-06-01,5,Ray\n2026-06-01,5,Ray\n"
    first, again = (read_statement(x, "EUR") for x in (text, text + "2026-06-02,7,Ray\n"))
    marks = [line.fingerprint for line in first.lines]
    assert len(set(marks)) == 2
    assert [line.fingerprint for line in again.lines][:2] == marks


def invoice(
    name: str, client: str, *sums: str, label: str = "", reference: str = ""
) -> OpenInvoice:
    return OpenInvoice(name, label, reference, client, tuple(map(Decimal, sums)))


def line(amount: str = "348", payer: str = "", text: str = "", reference: str = ""):
    head = "Date;Amount;Name;Description;Reference"
    return read_statement(f"{head}\n2026-06-12;{amount};{payer};{text};{reference}", "EUR").lines[0]


SKERRY = invoice("1", "Maeve Skerry", "348", "1160", label="2026-0001", reference=RF)
RAY = invoice("2", "Brona Ray", "348", label="2026-0002", reference=creditor_reference("2026-0002"))


@pytest.mark.parametrize(
    ("facts", "names", "certainty"),
    [
        ({"reference": RF}, ["1"], Certainty.SURE),
        ({"text": f"from Maeve {RF[:4]} {RF[4:8]} {RF[8:]} thanks"}, ["1"], Certainty.SURE),
        ({"text": f"x{RF}THANKS", "amount": "5"}, ["1"], Certainty.SURE),
        ({"text": "invoice 2026-0002"}, ["2"], Certainty.LIKELY),
        ({"text": "INV 2026-0002"}, ["2"], Certainty.SURE),
        ({"text": "ray inv/2026/0002."}, ["2"], Certainty.SURE),
        ({"reference": "INV20260002"}, ["2"], Certainty.SURE),
        ({"text": "INV20260002", "amount": "5"}, ["2"], Certainty.LIKELY),
        ({"payer": "MAEVE SKERRY"}, ["1"], Certainty.LIKELY),
        ({"payer": "Ray, B."}, ["2"], Certainty.LIKELY),
        ({"payer": "somebody", "amount": "1160"}, ["1"], Certainty.GUESS),
    ],
)
def test_whose_money_it_is(facts: dict[str, str], names: list[str], certainty: Certainty) -> None:
    found = match_line(line(**facts), [SKERRY, RAY])
    assert [match.name for match in found] == names
    assert found[0].certainty is certainty


@pytest.mark.parametrize(
    "facts",
    [
        {"payer": "somebody"},  # two could be meant by the amount
        {"payer": "Maeve Skerry", "amount": "17"},
        {"amount": "-348", "reference": RF},
        {"text": RF + "1"},  # a longer number is another one
        {"text": "RF00" + RF[4:]},
        {"text": "INV 2026-00021"},
        {"text": "INV 2026-0003"},
    ],
)
def test_what_fits_nobody_is_left_alone(facts: dict[str, str]) -> None:
    assert match_line(line(**facts), [SKERRY, RAY]) == ()


@given(st.text(max_size=400))
def test_any_text_is_read_or_refused_with_a_sentence(text: str) -> None:
    try:
        read_statement("Date,Amount\n" + text, "EUR")
    except ValueError as refusal:
        assert str(refusal).endswith(".")  # noqa: PT017  a refusal is allowed, not required
