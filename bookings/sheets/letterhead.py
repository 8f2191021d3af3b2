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
    "tax_number",
)


def both_sides(business: Business, client: Client) -> dict[str, Any]:
    """Who writes and to whom, fit for JSON."""
    return {
        "business": {name: getattr(business, name) for name in _OURS},
        "recipient": {
            "name": str(client),
            "address": client.address,
            "tax_number": client.tax_number,
        },
    }
