"""Account numbers of countries without an IBAN against published ones; exact, British by shape."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from bookings.rules import accounts
from tests.reference import published


def uk_both(value: str) -> str:
    code, number = value.rsplit(" ", 1)
    return f"{accounts.uk_sort_code(code)} {accounts.uk_account_number(number)}"


CHECKS: dict[str, Callable[[str], str]] = {
    "ABA routing number": accounts.aba_routing_number,
    "NZ account": accounts.nz_account,
    "UK sort code and account": uk_both,
    "UK sort code": accounts.uk_sort_code,
    "UK account number": accounts.uk_account_number,
    "AU BSB": accounts.au_bsb,
    "CA routing, paper": accounts.ca_routing_number,
    "CA routing, electronic": accounts.ca_routing_on_paper,
}


@pytest.mark.parametrize(
    "row", published.rows("money_bank_account_cases"), ids=lambda row: row["value"]
)
def test_numbers_are_taken_or_refused_as_published(row: dict[str, str]) -> None:
    check = CHECKS[row["scheme"]]
    if row["valid"] == "yes":
        assert check(row["value"]) == row["normal_form"]
        return
    with pytest.raises(ValueError, match=r"[.]$"):
        check(row["value"])


def test_every_rule_of_the_table_is_checked_here_or_said_to_be_left_out() -> None:
    left_out = {"UK modulus check", "IBAN countries"}  # ages; has its own cases
    numbers = {"US account number", "AU account number", "CA account number"}
    named = {row["scheme"] for row in published.rows("money_bank_account_rules")}
    assert named == set(CHECKS) - {"UK sort code and account"} | left_out | numbers


@pytest.mark.parametrize(
    ("check", "least", "most"),
    [
        (accounts.us_account_number, 4, 17),  # from memory
        (accounts.au_account_number, 6, 9),  # S-REMIT
        (accounts.ca_account_number, 7, 12),  # from memory
    ],
)
def test_numbers_without_a_check_have_their_length(
    check: Callable[[str], str], least: int, most: int
) -> None:
    assert check("0" * least) == "0" * least
    assert check("0" * most) == "0" * most
    for wrong in ("0" * (least - 1), "0" * (most + 1), "0" * (least - 1) + "x", ""):
        with pytest.raises(ValueError, match=r"[.]$"):
            check(wrong)
