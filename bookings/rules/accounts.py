"""Account numbers of the countries that have no IBAN, or one beside it: their form and checks.

A number that passes has the right form; nobody but the bank can say whether the account exists.
Sources of each rule: `fixtures/reference/money_bank_account_rules.csv`.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

# The weights of each bank's numbers in New Zealand, from the 13 digits of bank, branch and account
# to the 3 of the suffix, and the two moduli: of each product above it, and of the sum.
_NZ_WEIGHTS = {
    "A": ((0, 0, 6, 3, 7, 9, 0, 10, 5, 8, 4, 2, 1, 0, 0, 0), 11, 11),
    "B": ((0, 0, 0, 0, 0, 0, 0, 10, 5, 8, 4, 2, 1, 0, 0, 0), 11, 11),
    "D": ((0, 0, 0, 0, 0, 0, 7, 6, 5, 4, 3, 2, 1, 0, 0, 0), 11, 11),
    "E": ((0, 0, 0, 0, 0, 0, 0, 0, 0, 5, 4, 3, 2, 0, 0, 1), 9, 11),
    "F": ((0, 0, 0, 0, 0, 0, 1, 7, 3, 1, 7, 3, 1, 0, 0, 0), 10, 10),
    "G": ((0, 0, 0, 0, 0, 0, 1, 3, 7, 1, 3, 7, 1, 3, 7, 1), 9, 10),
}
_NZ_OTHER = {"08": "D", "09": "E", "25": "F", "33": "F", "26": "G", "28": "G", "29": "G"}
_NZ_LIKE_A = frozenset(
    {f"{bank:02d}" for bank in (*range(1, 5), 6, *range(10, 25), 27, 30, 35, 38)}
)
_NZ_NEW_NUMBERS = "0990000"  # from here on, bank and branch take no part


def aba_routing_number(typed: str) -> str:
    """A routing number of the United States: nine digits, kept as text for its leading zeros.

    Errors: another length, an unused district, a sum that is no multiple of ten. A swap of
    neighbours that differ by five passes. Source: the ABA's rule, as in the reference file.
    """
    digits = _digits(typed, "A routing number", 9, 9)
    district = int(digits[:2])
    if not (district <= 12 or 21 <= district <= 32 or 61 <= district <= 72 or district == 80):
        raise ValueError(f"No routing number begins with {digits[:2]}; compare it once more.")
    if sum(int(digit) * (3, 7, 1)[place % 3] for place, digit in enumerate(digits)) % 10:
        raise ValueError(f"The check digit of the routing number {digits} does not fit.")
    return digits


def us_account_number(typed: str) -> str:
    """An account number of the United States: 4 to 17 digits, no check. Source: from memory."""
    return _digits(typed, "An account number", 4, 17)


def uk_sort_code(typed: str) -> str:
    """A sort code: six digits. Errors: any other. Source: as in the reference file."""
    return _digits(typed, "A sort code", 6, 6)


def uk_account_number(typed: str) -> str:
    """A British account number: eight digits; the bank knows how a shorter one is written.

    The check by the table of sort codes is left out: the table ages. Source: as in the reference
    file.
    """
    return _digits(typed, "A British account number", 8, 8)


def au_bsb(typed: str) -> str:
    """A BSB: six digits for bank, state, branch. Errors: any other. Source: the reference file."""
    return _digits(typed, "A BSB", 6, 6)


def au_account_number(typed: str) -> str:
    """An Australian account number: six to nine digits, no check. Source: as in the reference."""
    return _digits(typed, "An account number", 6, 9)


def ca_routing_number(typed: str) -> str:
    """A routing number of Canada in its electronic form: 0, institution, transit; nine digits.

    Taken as on paper, 'transit-institution' (XXXXX-YYY), or in that form. Errors: any other.
    Source: as in the reference file.
    """
    kept = typed.strip()
    if re.fullmatch(r"\d{5}[- ]\d{3}", kept):
        return f"0{kept[-3:]}{kept[:5]}"
    digits = _digits(kept, "A routing number", 9, 9)
    if not digits.startswith("0"):
        raise ValueError(
            "Write five digits of the branch, a hyphen, three of the institution: 45678-123."
        )
    return digits


def ca_routing_on_paper(electronic: str) -> str:
    """The routing number as cheques print it: 012345678 is 45678-123.

    Errors: a number that is none. Source: as in the reference file.
    """
    digits = ca_routing_number(electronic)
    return f"{digits[4:]}-{digits[1:4]}"


def ca_account_number(typed: str) -> str:
    """A Canadian account number: 7 to 12 digits, no common check. Source: from memory."""
    return _digits(typed, "An account number", 7, 12)


def nz_account(typed: str) -> str:
    """A New Zealand account number: BB-bbbb-AAAAAAA-SSS, a short branch or suffix padded.

    Errors: another form, an unknown bank, digits that its bank's check refuses. Bank 31 has no
    check. Source: Inland Revenue, RWT and NRWT specification, accounts of seven digits.
    """
    digits = _nz_digits(typed)
    bank, account = digits[:2], digits[6:13]
    if bank not in _NZ_LIKE_A and bank not in _NZ_OTHER and bank != "31":
        raise ValueError(f"No bank of New Zealand has the number {bank}.")
    kind = _NZ_OTHER.get(bank, "B" if account >= _NZ_NEW_NUMBERS else "A")
    weights, part, whole = _NZ_WEIGHTS[kind]
    products = (weight * int(digit) for weight, digit in zip(weights, digits, strict=True))
    if bank != "31" and sum(each % part if each > part else each for each in products) % whole:
        raise ValueError("The check of the account number does not fit; compare it once more.")
    return f"{bank}-{digits[2:6]}-{account}-{digits[13:]}"


def _nz_digits(typed: str) -> str:
    parts = re.split(r"[-\s]+", typed.strip())
    if len(parts) == 4:
        lengths = (2, 4, 7, 3)
        joined = "".join(part.zfill(most) for part, most in zip(parts, lengths, strict=True))
    else:
        joined = "".join(parts)
        joined = joined[:13] + joined[13:].zfill(3)
    if len(joined) != 16 or not (joined.isascii() and joined.isdigit()):
        raise ValueError("Write bank, branch, account and suffix: 01-0902-0068389-00.")
    return joined


def _digits(typed: str, what: str, least: int, most: int) -> str:
    kept = re.sub(r"[\s-]", "", typed)
    if not kept:
        raise ValueError(f"{what} is missing. Enter it.")
    if not (kept.isascii() and kept.isdigit()):
        raise ValueError(f"{what} is digits alone; '{typed.strip()}' holds something else.")
    if not least <= len(kept) <= most:
        wanted = str(least) if least == most else f"{least} to {most}"
        raise ValueError(f"{what} has {wanted} digits; this one has {len(kept)}.")
    return kept


def _same(kept: str) -> str:
    return kept


@dataclass(frozen=True, slots=True)
class AccountScheme:
    """What a country asks for in a transfer: a code of bank and branch, if any, and a number.

    `code` is empty where the number holds everything. The checks give the form that is kept, the
    `shown` ones the form that people read.
    """

    code: str
    check_code: Callable[[str], str]
    check_number: Callable[[str], str]
    shown_code: Callable[[str], str] = _same


def _pairs(kept: str) -> str:
    return f"{kept[:2]}-{kept[2:4]}-{kept[4:]}"


def _halves(kept: str) -> str:
    return f"{kept[:3]}-{kept[3:]}"


SCHEMES = {
    "GB": AccountScheme("sort_code", uk_sort_code, uk_account_number, _pairs),
    "AU": AccountScheme("bsb", au_bsb, au_account_number, _halves),
    "US": AccountScheme("routing", aba_routing_number, us_account_number),
    "CA": AccountScheme("transit", ca_routing_number, ca_account_number, ca_routing_on_paper),
    "NZ": AccountScheme("", _same, nz_account),
}
ACCOUNT_WORDS = {
    "en": {
        "sort_code": "Sort code",
        "bsb": "BSB",
        "routing": "Routing number",
        "transit": "Transit and institution",
        "number": "Account number",
    },
    "de": {
        "sort_code": "Sort Code",
        "bsb": "BSB",
        "routing": "Routing Number",
        "transit": "Filial- und Institutsnummer",
        "number": "Kontonummer",
    },
}
