"""Payment references, account numbers and payment texts: limits and refusals."""

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from segno import helpers, make

from bookings.rules.references import (
    checked_iban,
    creditor_reference,
    creditor_reference_is_valid,
    grouped_by_four,
    iban_is_valid,
    luhn_is_valid,
    mod97_check_digits,
    mod97_is_valid,
    payment_qr_text,
)
from tests.reference import published

D = Decimal
IBAN = "DE89370400440532013000"  # the registry's own example
bodies = st.text("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=1, max_size=21)


@given(bodies)
def test_every_reference_made_is_valid(body: str) -> None:
    reference = creditor_reference(body)
    assert creditor_reference_is_valid(reference)
    assert creditor_reference_is_valid(grouped_by_four(reference))
    assert mod97_is_valid(body + mod97_check_digits(body))


@given(bodies, st.data())
def test_one_wrong_character_is_always_seen(body: str, data: st.DataObject) -> None:
    reference = creditor_reference(body)
    place = data.draw(st.integers(2, len(reference) - 1))
    letters = "0123456789" if place < 4 else "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    other = data.draw(st.sampled_from(letters.replace(reference[place], "")))
    wrong = reference[:place] + other + reference[place + 1 :]
    # a letter stands for two digits, so the sum alone may meet: digit for digit it never does
    if reference[place].isdigit() == other.isdigit():
        assert not creditor_reference_is_valid(wrong)


def test_hyphens_and_small_letters_of_an_invoice_number_are_taken() -> None:
    assert creditor_reference("inv-2026 0001") == creditor_reference("INV20260001")


@pytest.mark.parametrize("body", ["", "A" * 22, "Nº7", "A/7"])
def test_a_body_that_cannot_be_a_reference_is_refused(body: str) -> None:
    with pytest.raises(ValueError, match="The reference"):
        creditor_reference(body)


@pytest.mark.parametrize(
    ("iban", "words"),
    [
        ("ZZ89370400440532013000", "no country"),
        ("DE8937040044053201300", "has 21 characters; one of DE has 22"),
        ("DE89370400440532013001", "check digits"),
        ("DE8937040044053201300é", "check digits"),
        ("", "no country"),
    ],
)
def test_a_wrong_account_number_says_what_is_wrong(iban: str, words: str) -> None:
    assert not iban_is_valid(iban)
    with pytest.raises(ValueError, match=words):
        checked_iban(iban)


def test_an_account_number_is_cleaned_and_grouped() -> None:
    assert checked_iban("de89 3704 0044 0532 0130 00") == IBAN
    assert grouped_by_four(IBAN) == "DE89 3704 0044 0532 0130 00"


def test_check_digits_that_are_never_issued_do_not_pass() -> None:
    # 01 and 98 give the same remainder; only 02 to 98 are ever issued (ISO 13616)
    twin = next(f"DE{98:02d}{n:018d}" for n in range(200) if iban_is_valid(f"DE98{n:018d}"))
    assert not iban_is_valid("DE01" + twin[4:])


@pytest.mark.parametrize("text", ["", "7", "12a4", "٧٩"])
def test_luhn_wants_digits(text: str) -> None:
    assert not luhn_is_valid(text)


def _limit(what: str) -> int:
    rules = " ".join(row["rule"] for row in published.rows("money_epc_qr_rules"))
    found = re.search(rf"{what} (?:<=|at most) (\d+)", rules)
    assert found, what
    return int(found[1])


@pytest.mark.parametrize(
    ("field", "name_in_rules"),
    [
        ("name", "name"),
        ("text", "unstructured text"),
        ("note", "note"),
        ("purpose", "purpose"),
    ],
)
def test_fields_as_long_as_the_rules_allow_and_no_longer(field: str, name_in_rules: str) -> None:
    most = _limit(name_in_rules)
    terms = {"name": "Marram Head Days", "iban": IBAN, "amount": D(1)}
    assert payment_qr_text(**{**terms, field: "x" * most}).count("x") == most  # type: ignore[arg-type]
    with pytest.raises(ValueError, match=f"{most} are the most"):
        payment_qr_text(**{**terms, field: "x" * (most + 1)})  # type: ignore[arg-type]


def test_the_whole_text_keeps_its_bytes() -> None:
    assert _limit("payload") == 331
    with pytest.raises(ValueError, match="over 331 bytes"):
        payment_qr_text("ä" * 70, IBAN, D(1), text="ä" * 140)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"amount": D(0)}, "cannot be paid"),
        ({"amount": D("1000000000")}, "cannot be paid"),
        ({"amount": D("1.005")}, "more digits"),
        ({"reference": "RF18539007547034", "text": "Deposit"}, "not both"),
        ({"reference": "RF17539007547034"}, "wrong check digits"),
        ({"version": 1}, "version 1 needs one"),
        ({"version": 3}, "give 1 or 2"),
        ({"bic": "ABC"}, "8 or 11"),
        ({"name": " "}, "name is missing"),
        ({"text": "Deposit\nEUR9"}, "line break"),
        ({"iban": "DE89370400440532013001"}, "check digits"),
    ],
)
def test_a_payment_that_a_bank_would_refuse_is_refused(changes, words: str) -> None:  # type: ignore[no-untyped-def]
    terms = {"name": "Marram Head Days", "iban": IBAN, "amount": D("174.00"), **changes}
    with pytest.raises(ValueError, match=words):
        payment_qr_text(**terms)


@pytest.mark.parametrize("amount", ["0.01", "100", "174.50", "999999999.99"])
def test_an_independent_maker_writes_the_same_text(amount: str) -> None:
    mine = payment_qr_text("Zoë Töm", IBAN, D(amount), reference="RF18539007547034")
    made = helpers.make_epc_qr(
        name="Zoë Töm", iban=IBAN, amount=D(amount), reference="RF18539007547034", encoding="utf-8"
    )
    assert made == make(mine, error="m", boost_error=False, micro=False, encoding="utf-8")
