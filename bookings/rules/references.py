"""Payment references and accounts with check digits, and the text of a payment QR code."""

from decimal import Decimal

from bookings.rules.money import checked_money

_LETTERS = {chr(ord("A") + n): str(10 + n) for n in range(26)}

# ISO 13616: the length of an account number by country, registry of 2024. The digits of the
# national account inside are the bank's business and not checked.
_LENGTHS = {
    15: "NO",
    16: "BE",
    18: "DK FI FK FO GL NL SD",
    19: "MK SI",
    20: "AT BA EE KZ LT LU MN XK",
    21: "CH HR LI LV",
    22: "BG BH CR DE GB GE IE ME RS VA",
    23: "AE GI IL IQ OM SO TL",
    24: "AD CZ ES MD PK RO SA SE SK TN VG",
    25: "LY PT ST",
    26: "IS TR",
    27: "BI DJ FR GR IT MC MR SM",
    28: "AL AZ BY CY DO GT HN HU LB NI PL SV",
    29: "BR EG PS QA UA",
    30: "JO KW MU YE",
    31: "MT SC",
    32: "LC",
    33: "RU",
}
_IBAN_LENGTH = {
    country: length for length, countries in _LENGTHS.items() for country in countries.split()
}
_QR_MOST = Decimal("999999999.99")
_QR_BYTES = 331


def mod97_check_digits(base: str) -> str:
    """The two check digits of a text of digits and letters, to be put behind it.

    Letters count from A = 10 to Z = 35, small as capital. Errors: other characters, an empty text.
    Source: ISO 7064, mod 97-10.
    """
    return f"{98 - _remainder(_clean(base, 'The text') + '00'):02d}"


def mod97_is_valid(text: str) -> bool:
    """Whether a text ends in its two right check digits. Source: ISO 7064, mod 97-10."""
    return _is_alphanumeric(text.upper()) and len(text) > 2 and _remainder(text.upper()) == 1


def luhn_is_valid(digits: str) -> bool:
    """Whether a number ends in its right Luhn digit; digits only. Source: ISO/IEC 7812-1."""
    if len(digits) < 2 or not (digits.isascii() and digits.isdigit()):
        return False
    doubled = (int(digit) * 2 for digit in digits[-2::-2])
    plain = sum(int(digit) for digit in digits[-1::-2])
    return (plain + sum(sum(divmod(each, 10)) for each in doubled)) % 10 == 0


def creditor_reference(body: str) -> str:
    """The creditor reference of one's own number (an invoice's): RF, check digits, that number.

    `body`: 1 to 21 digits and letters; spaces and hyphens drop out, small letters become capitals.
    Errors: other characters, too long, empty. Source: ISO 11649.
    """
    kept = _clean(body, "The reference")
    if len(kept) > 21:
        raise ValueError(f"The reference {kept} has {len(kept)} characters; 21 are the most.")
    return f"RF{mod97_check_digits(kept + 'RF')}{kept}"


def creditor_reference_is_valid(reference: str) -> bool:
    """Whether a creditor reference has its form and right check digits; spaces may stand in it.

    Source: ISO 11649.
    """
    kept = reference.replace(" ", "").upper()
    return (
        kept.startswith("RF")
        and 5 <= len(kept) <= 25
        and _is_alphanumeric(kept)
        and _ends_check_at_four(kept)
    )


def grouped_by_four(code: str) -> str:
    """A reference or account number in groups of four, as people read it. Source: ISO 13616."""
    kept = code.replace(" ", "").upper()
    return " ".join(kept[n : n + 4] for n in range(0, len(kept), 4))


def checked_iban(iban: str) -> str:
    """The account number without spaces and in capitals, or a ValueError with what is wrong.

    Checks country, its length and the check digits, not whether the account exists.
    Source: ISO 13616 and the lengths of its registry, 2024.
    """
    kept = iban.replace(" ", "").upper()
    length = _IBAN_LENGTH.get(kept[:2])
    if length is None:
        raise ValueError(f"The account number begins with '{kept[:2]}', no country with an IBAN.")
    if len(kept) != length:
        raise ValueError(
            f"The account number has {len(kept)} characters; one of {kept[:2]} has {length}."
        )
    if not _is_alphanumeric(kept) or not _ends_check_at_four(kept):
        raise ValueError("The check digits of the account number do not fit; compare it once more.")
    return kept


def iban_country(code: str) -> bool:
    """Whether accounts of a country have an IBAN. Source: the registry of ISO 13616, 2024."""
    return code in _IBAN_LENGTH


def iban_is_valid(iban: str) -> bool:
    """Whether an account number passes the checks of `checked_iban`. Source: ISO 13616."""
    try:
        checked_iban(iban)
    except ValueError:
        return False
    return True


def payment_qr_text(
    name: str,
    iban: str,
    amount: Decimal,
    reference: str = "",
    text: str = "",
    bic: str = "",
    purpose: str = "",
    note: str = "",
    version: int = 2,
) -> str:
    """The text of a SEPA payment QR code in euros, UTF-8, at most 331 bytes.

    `name` of the payee up to 70 characters; `amount` in EUR from 0.01 to 999,999,999.99; either a
    creditor `reference` (ISO 11649) or a `text` up to 140; `bic` is needed in version 1; `purpose`
    up to 4 letters, `note` up to 70. Draw it with error correction M, at most QR version 13.
    Errors: anything outside these, a line break inside a field. Source: EPC069-12; leaving empty
    lines off the end is from memory.
    """
    if version not in (1, 2) or (version == 1 and not bic):
        raise ValueError("Version 2 goes without a BIC, version 1 needs one; give 1 or 2.")
    if not Decimal("0.01") <= checked_money(amount, "EUR") <= _QR_MOST:
        raise ValueError(f"An amount of {amount} EUR cannot be paid; 0.01 to {_QR_MOST} can.")
    lines = [
        "BCD",
        f"{version:03d}",
        "1",
        "SCT",
        _checked_bic(bic),
        _field(name, "name", 70, needed=True),
        checked_iban(iban),
        f"EUR{amount.normalize():f}",
        _field(purpose, "purpose", 4),
        _reference_or_nothing(reference, text),
        _field(text, "text", 140),
        _field(note, "note", 70),
    ]
    payload = "\n".join(lines).rstrip("\n")
    if len(payload.encode()) > _QR_BYTES:
        raise ValueError(f"The payment text is over {_QR_BYTES} bytes; shorten the text or note.")
    return payload


def _reference_or_nothing(reference: str, text: str) -> str:
    if reference and text:
        raise ValueError("A payment carries a reference or a text, not both; leave one out.")
    if reference and not creditor_reference_is_valid(reference):
        raise ValueError(f"The reference '{reference}' has wrong check digits.")
    return reference.replace(" ", "").upper()


def _checked_bic(bic: str) -> str:
    kept = bic.strip().upper()
    if kept and (len(kept) not in (8, 11) or not _is_alphanumeric(kept)):
        raise ValueError(f"The BIC '{bic}' is not 8 or 11 digits and letters; check it.")
    return kept


def _field(value: str, what: str, most: int, *, needed: bool = False) -> str:
    kept = value.strip()
    if needed and not kept:
        raise ValueError(f"The {what} is missing; enter it.")
    if len(kept) > most:
        raise ValueError(f"The {what} has {len(kept)} characters; {most} are the most.")
    if not kept.isprintable():  # a line break would start the next field
        raise ValueError(f"The {what} holds a line break or another control character; remove it.")
    return kept


def _clean(text: str, what: str) -> str:
    kept = text.replace(" ", "").replace("-", "").upper()
    if not _is_alphanumeric(kept):
        raise ValueError(f"{what} '{text}' must hold digits and letters A to Z only.")
    return kept


def _is_alphanumeric(text: str) -> bool:
    return text.isascii() and text.isalnum()


def _ends_check_at_four(kept: str) -> bool:
    """Check digits stand third and fourth; 00, 01 and 99 pass the sum and are never issued."""
    issued = kept[2:4].isdigit() and 2 <= int(kept[2:4]) <= 98
    return issued and _remainder(kept[4:] + kept[:4]) == 1


def _remainder(text: str) -> int:
    return int("".join(_LETTERS.get(letter, letter) for letter in text)) % 97
