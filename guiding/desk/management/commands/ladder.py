"""`manage.py ladder`: what cancelling a booking would come to; nothing is written."""

from __future__ import annotations

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from bookings.models import Booking, Business
from bookings.queries.bookings import full_bookings
from bookings.rules.ladder import Settlement, Wish
from bookings.sheets.cancelling import cancellation_terms
from guiding.days.management.dates import iso_day


class Command(BaseCommand):
    help = (
        "Print what is kept, refunded, moved and still due if a booking is cancelled on a day. "
        "Example: manage.py ladder 7 --by client --on 2026-08-01 --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("booking", type=int, help="number of the booking")
        parser.add_argument("--by", choices=["client", "guide"], required=True, help="who cancels")
        parser.add_argument("--on", required=True, help="day of cancelling, such as 2026-08-01")
        parser.add_argument("--refilled", action="store_true", help="somebody took the place")
        parser.add_argument("--json", action="store_true", help="print JSON; money as text")

    def handle(
        self, *, booking: int, by: str, on: str, refilled: bool, json: bool, **_: object
    ) -> None:
        found = full_bookings().filter(pk=booking).first()
        business = Business.objects.first()
        if found is None or business is None:
            raise CommandError(f"There is no booking {booking}.")
        if found.status != Booking.Status.CONFIRMED:
            raise CommandError(
                f"Booking {booking} is {found.status}: only a confirmed one is settled."
            )
        try:
            terms = cancellation_terms(
                found, by=by, on=iso_day(on), business=business, refilled=refilled
            )
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        facts = _facts(found, by, terms)
        self.stdout.write(_dump(facts) if json else _text(facts))


def _facts(booking: Booking, by: str, terms: dict[Wish, Settlement]) -> dict[str, Any]:
    outcome = terms[Wish.REFUND]
    return {
        "booking": booking.pk,
        "by": by,
        "days_before": outcome.days_before,
        "holds_until": outcome.holds_until.isoformat() if outcome.holds_until else None,
        "currency": booking.currency,
        "price": str(booking.price),
        **{
            wish.value: {
                "kept": str(found.kept),
                "refunded": str(found.refunded),
                "moved": str(found.moved),
                "still_due": str(found.still_due),
                "rule": found.rule,
            }
            for wish, found in terms.items()
        },
    }


def _dump(facts: dict[str, Any]) -> str:
    return json.dumps(facts, ensure_ascii=False, indent=2)


def _text(facts: dict[str, Any]) -> str:
    lines = [facts["refund"]["rule"]]
    for wish, words in (("refund", "With money back"), ("move", "With another date")):
        found = facts[wish]
        lines.append(
            f"{words}: kept {found['kept']}, refunded {found['refunded']}, moved {found['moved']}, "
            f"still due {found['still_due']} {facts['currency']}"
        )
    if facts["holds_until"]:
        lines.append(f"This holds until {facts['holds_until']}.")
    return "\n".join(lines)
