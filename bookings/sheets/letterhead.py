"""Both sides of a paper as they stand when it is written; a paper keeps them for good."""

from __future__ import annotations

from typing import Any

from bookings.models import Business, Client

_OURS = (
    "name",
    "guide_name",
    "address",
    "phone",
    "email",
    "zone",
    "locale",
    "currency",
    "paper",
    "units",
    "iban",
    "bic",
    "country",
    "bank_code",
    "account_number",
    "account_lines",
    "pay_link",
    "cash_on_the_day",
    "tax_number",
)


def our_side(business: Business) -> dict[str, Any]:
    """What a paper keeps of us, fit for JSON."""
    return {name: getattr(business, name) for name in _OURS}


def both_sides(business: Business, client: Client) -> dict[str, Any]:
    """Who writes and to whom, fit for JSON."""
    return {
        "business": our_side(business),
        "recipient": {
            "name": str(client),
            "address": client.address,
            "tax_number": client.tax_number,
        },
    }
