"""How a client can pay, in the words of papers and mails."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from bookings.models import MoneyEntry
from bookings.sheets.paying import WaysToPay, ways_to_pay
from guiding.papers import records
from guiding.papers.words import Words


def bank_details(
    ours: Mapping[str, Any],
    *,
    language: str,
    invoice: MoneyEntry | None = None,
    amount: Decimal | None = None,
) -> records.BankDetails:
    """What a paper prints of it, from our side as the paper keeps it."""
    ways = ways_to_pay(ours, language=language, invoice=invoice, amount=amount)
    return records.BankDetails(
        account_name=ways.account_name,
        numbers=ways.numbers,
        lines=ways.lines,
        reference=ways.reference,
        qr_payload=ways.qr_text,
        other_ways=other_ways(ways, language),
    )


def other_ways(ways: WaysToPay, language: str) -> tuple[str, ...]:
    """Link and cash as sentences; where there is no way at all, that one has to ask."""
    say = Words.of(language if language in Words.languages() else "en").text
    if not ways.any:
        return (say("money.pay_ask"),)
    link = say("money.pay_link").format(link=ways.link) if ways.link else ""
    cash = say("money.pay_cash") if ways.cash else ""
    return tuple(filter(None, (link, cash)))
