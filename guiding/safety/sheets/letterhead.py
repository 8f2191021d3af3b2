"""Our head of paper."""

from __future__ import annotations

import datetime

from bookings.models import Business, Trip
from bookings.rules.phones import phone_text
from guiding.papers import records
from guiding.papers.words import Words

_STANDINGS = {
    Trip.Status.TENTATIVE.value: records.Standing.TENTATIVE,
    Trip.Status.CANCELLED.value: records.Standing.CALLED_OFF,
}


def letterhead(
    business: Business,
    *,
    number: str,
    printed_at: datetime.datetime,
    page_size: str = "",
    trip: Trip | None = None,
) -> records.Letterhead:
    """The business as it stands at the head of every paper.

    A paper of a `trip` says on every page where the trip is not sure or is called off.
    """
    language = business.locale.split("_")[0]
    return records.Letterhead(
        business=records.Business(
            name=business.name,
            address_lines=tuple(line for line in business.address.splitlines() if line.strip()),
            phone=phone_text(business.phone),
            mail=business.email,
        ),
        number=number,
        printed_at=printed_at,
        zone=business.zone,
        locale=business.locale,
        language=language if language in Words.languages() else "en",
        currency=business.currency,
        page_size=records.PageSize(page_size or business.paper),
        units=records.Units(business.units),
        standing=standing_of(trip) if trip else records.Standing.FIRM,
    )


def standing_of(trip: Trip) -> records.Standing:
    """Whether a trip goes ahead, as far as its papers and invites are concerned."""
    return _STANDINGS.get(trip.status, records.Standing.FIRM)
