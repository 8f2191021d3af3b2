"""Check digits, creditor references and payment texts against published examples; all exact."""

from decimal import Decimal

import pytest

from bookings.rules.references import (
    creditor_reference,
    creditor_reference_is_valid,
    iban_is_valid,
    luhn_is_valid,
    mod97_check_digits,
    mod97_is_valid,
    payment_qr_text,
)
from tests.reference import published

CHECKS = {
    "IBAN (mod 97 and country length)": iban_is_valid,
    "ISO 11649 RF": creditor_reference_is_valid,
    "Luhn": luhn_is_valid,
    "ISO 7064 mod 97-10": mod97_is_valid,
}


@pytest.mark.parametrize(
    "row", published.rows("money_checkdigit_cases"), ids=lambda row: row["value"]
)
def test_check_digits(row: dict[str, str]) -> None:
    assert CHECKS[row["scheme"]](row["value"]) is (row["valid"] == "yes")


@pytest.mark.parametrize(
    "row", published.rows("money_rf_generate_cases"), ids=lambda row: row["reference_body"]
)
def test_creditor_references_are_made(row: dict[str, str]) -> None:
    assert creditor_reference(row["reference_body"]) == row["creditor_reference"]


def test_check_digits_of_iso_7064_are_made() -> None:
    # documentation of a public ISO 7064 library: this base takes 33
    assert mod97_check_digits("969500KSV493XWY0PS") == "33"


@pytest.mark.parametrize("row", published.rows("money_epc_qr_cases"), ids=lambda row: row["case"])
def test_payment_texts_byte_for_byte(row: dict[str, str]) -> None:
    expected = row["payload_with_backslash_n"].replace("\\n", "\n")
    lines = expected.split("\n")
    text = payment_qr_text(
        row["name"],
        row["iban"],
        Decimal(row["amount"]),
        reference=row["reference"],
        text=row["text"],
        bic=row["bic"],
        purpose=row["purpose"],
        note=lines[11] if len(lines) > 11 else "",
        version=int(lines[1]),
    )
    assert text == expected
    assert len(text.encode()) == int(row["payload_bytes"])
