"""Telephone numbers: stored as E.164, shown the way they are read."""

from __future__ import annotations

import phonenumbers


def phone_text(number: str) -> str:
    """A stored number as people read it, with its country code; what cannot be read stays as it is.

    `number` as E.164, such as +353209100100. Source: ITU-T E.123 form, by the phonenumbers library.
    """
    try:
        parsed = phonenumbers.parse(number, None)
    except phonenumbers.NumberParseException:
        return number
    return str(phonenumbers.format_number(parsed, phonenumbers.PhoneNumberFormat.INTERNATIONAL))
