"""`manage.py quote`: what a party pays for an offer on a day; nothing is written."""

from __future__ import annotations

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from bookings.models import Business, Offer
from bookings.rules.ladder import ladder_days
from bookings.rules.prices import instalment_plan
from bookings.sheets.pricing import offer_rungs, price_offer
from guiding.days.management.dates import iso_day


class Command(BaseCommand):
    help = (
        "Print the price of an offer: lines, tax, deposit, days of payment and the ladder. "
        "Example: manage.py quote --offer 'Party day' --date 2026-08-14 --heads 4 --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--offer", required=True, help="number or name of the offer")
        parser.add_argument("--date", required=True, help="day of the trip, such as 2026-08-14")
        parser.add_argument("--heads", type=int, required=True, help="how many come")
        parser.add_argument("--children", type=int, default=0, help="of them children")
        parser.add_argument("--json", action="store_true", help="print JSON; money as text")

    def handle(
        self, *, offer: str, date: str, heads: int, children: int, json: bool, **_: object
    ) -> None:
        business = Business.objects.first()
        if business is None:
            raise CommandError("There is no business yet: open the desk once, or load the demo.")
        found, trip_on = _offer(offer), iso_day(date)
        today = timezone.now().astimezone(business.tz).date()
        try:
            if trip_on < today:
                raise ValueError(f"{trip_on} has passed. Choose a day to come.")
            if not (found.valid_from or trip_on) <= trip_on <= (found.valid_until or trip_on):
                raise ValueError(f"{found} is not on sale for {trip_on}.")
            priced = price_offer(found, business=business, heads=heads, children=children)
            parts = instalment_plan(
                priced.total,
                priced.deposit,
                priced.currency,
                today,
                trip_on,
                business.balance_days,
            )
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        facts = {
            "offer": found.name,
            "date": trip_on.isoformat(),
            "heads": heads,
            "children": children,
            "currency": priced.currency,
            "lines": [
                {
                    "text": line.label,
                    "quantity": line.quantity,
                    "unit_price": str(line.unit_price),
                    "amount": str(line.amount),
                }
                for line in priced.lines
            ],
            "net": str(priced.tax.net),
            "tax": str(priced.tax.tax),
            "tax_note": priced.tax.note,
            "total": str(priced.total),
            "deposit": str(priced.deposit),
            "instalments": [
                {"part": x.label, "amount": str(x.amount), "due_on": x.due_on.isoformat()}
                for x in parts
            ],
            "ladder": [
                {
                    "from": x.first_on.isoformat() if x.first_on else None,
                    "until": x.last_on.isoformat() if x.last_on else None,
                    "rule": x.rule,
                }
                for x in ladder_days(trip_on, offer_rungs(found), on=today)
            ],
        }
        self.stdout.write(_dump(facts) if json else _text(facts))


def _offer(wanted: str) -> Offer:
    offers = Offer.objects.select_related("ladder")
    found = offers.filter(pk=int(wanted)) if wanted.isdigit() else offers.filter(name=wanted)
    if not (offer := found.first()):
        names = ", ".join(Offer.objects.values_list("name", flat=True)) or "none yet"
        raise CommandError(f"There is no offer {wanted!r}; there is: {names}.")
    return offer


def _dump(facts: dict[str, Any]) -> str:
    return json.dumps(facts, ensure_ascii=False, indent=2)


def _text(facts: dict[str, Any]) -> str:
    lines = [f"{facts['offer']}, {facts['date']}, {facts['heads']} heads"]
    for line in facts["lines"]:
        lines.append(f"{line['quantity']:>4} x {line['text']:<32}{line['amount']:>12}")
    lines.append(f"{'Total':<39}{facts['total']:>12} {facts['currency']}")
    lines.append(f"{'Tax in it':<39}{facts['tax']:>12}")
    for part in facts["instalments"]:
        lines.append(f"{part['part'] + ' by ' + part['due_on']:<39}{part['amount']:>12}")
    for step in facts["ladder"]:
        span = f"until {step['until']}" if step["until"] else f"from {step['from']}"
        lines.append(f"{span}: {step['rule']}")
    return "\n".join(lines)
