"""What a payment on a bank statement may be for: every booking that owes, with its papers."""

from __future__ import annotations

import datetime

from bookings.models import Booking, Business
from bookings.queries.bank import newest_invoices
from bookings.rules.statement import OpenInvoice
from bookings.sheets.accounts import open_accounts


def what_is_owed(
    *, business: Business, on: datetime.date
) -> tuple[list[OpenInvoice], dict[str, Booking]]:
    """The open invoices as the matching reads them, and the booking behind each name.

    Expected sums: what is open of the papers, what is left in all, each part of the plan.
    """
    accounts = [each for each in open_accounts(business=business, on=on) if each.left]
    papers = newest_invoices(each.booking.pk for each in accounts)
    found, bookings = [], {}
    for each in accounts:
        sums = {each.left, *(part.left for part in each.instalments if part.left)}
        if each.account.open > 0:
            sums.add(each.account.open.normalize() + 0)
        known = papers.get(each.booking.pk, [])
        for number, paper in enumerate(known or [None]):
            name = f"{each.booking.pk}-{number}"
            bookings[name] = each.booking
            found.append(
                OpenInvoice(
                    name=name,
                    label=paper.label if paper else "",
                    reference=paper.reference if paper else "",
                    client=str(each.booking.party.client),
                    sums=tuple(sums) if number == 0 else (),
                )
            )
    return found, bookings
