"""A bank statement of the demo, to try the import with: its payments are those that are owed."""

from __future__ import annotations

import csv
import datetime
import io
from decimal import Decimal

from bookings.models import Business
from bookings.queries.bank import newest_invoices
from bookings.rules.references import grouped_by_four
from bookings.sheets.accounts import BookingAccount, open_accounts

_HEAD = ("Booking date", "Name", "Description", "Amount", "Currency")
_BEFORE = datetime.timedelta(days=1)


def demo_statement(*, today: datetime.date, business: Business) -> str:
    """A statement in CSV with the newest line first: who pays is known for certain by a reference,
    likely by name and sum, perhaps by the sum alone, or not at all; and money that went out.
    """
    owing = [each for each in open_accounts(business=business, on=today) if each.left]
    sums = [each.left for each in owing]
    lines = [("Harbour Savings", "Interest", Decimal("0.42"))]
    if owing:
        (paper, *_older) = newest_invoices([owing[0].booking.pk])[owing[0].booking.pk]
        words = f"{grouped_by_four(paper.reference)} thank you"
        lines.append(("Joint account 0417", words, owing[0].left))
    # The name of one with a sum that others owe as well; the sum alone of one that nobody else has.
    named = next((each for each in owing[1:] if _ascii(each)), None)
    if named:
        lines.append((str(named.booking.party.client), "For our day", named.left))
    alone = (each for each in owing[1:] if each is not named and sums.count(each.left) == 1)
    lines += [("Cabin Six", "Shore day", each.left) for each in list(alone)[:1]]
    lines.append(("Tidewater Bait and Ice", "Bait", Decimal("-46.80")))
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(_HEAD)
    for number, (name, words, amount) in enumerate(lines, start=1):
        day = today - number * _BEFORE
        rows.writerow((day.isoformat(), name, words, f"{amount:.2f}", business.currency))
    return out.getvalue()


def _ascii(account: BookingAccount) -> bool:
    """Banks write names in plain letters: who is recognised by name has such a name."""
    return str(account.booking.party.client).isascii()
