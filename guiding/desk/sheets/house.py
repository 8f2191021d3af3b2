"""What the business itself still lacks before a paper of it can be relied on."""

from __future__ import annotations

from bookings.models import Business
from bookings.sheets.letterhead import our_side
from bookings.sheets.paying import ways_to_pay
from guiding.desk.sheets.countries import country_names, zone_fits
from guiding.safety.sheets.emergency_numbers import CHECK_LOCALLY, emergency_unconfirmed


def house_lacks(business: Business) -> tuple[str, ...]:
    """A sentence for each thing, the most urgent first; empty when nothing is missing."""
    return tuple(filter(None, (_emergency(business), _pay(business), _zone(business))))


def _emergency(business: Business) -> str:
    doubt = emergency_unconfirmed(business)
    if not doubt:
        return ""
    number = business.emergency_number
    return f"The emergency number {number} is unconfirmed. {doubt} {CHECK_LOCALLY}"


def _pay(business: Business) -> str:
    if ways_to_pay(our_side(business), language="en").any:
        return ""
    return (
        "No way to pay is entered, so invoices and mails can only say: ask us. Enter an account, "
        "a page, or that you take cash on the day."
    )


def _zone(business: Business) -> str:
    """A country typed wrong shows here: its time zone is another's."""
    if zone_fits(business.country, business.zone):
        return ""
    where = country_names().get(business.country, business.country)
    return f"{business.zone} is no time zone of {where}. One of the two is wrong."
