"""Run as a program: agrees, bills, takes money and cancels without end, until somebody kills it.

`python -m tests.bookings.money.clerk SEED [STEPS]`; with STEPS it stops by itself and prints them,
without it prints a line for each thing done.
"""

from __future__ import annotations

import datetime
import sys
from decimal import Decimal
from random import Random

ENDLESS = 10**9


def main(seed: int, steps: int) -> None:
    import django

    django.setup()
    from django.core.exceptions import ValidationError
    from django.utils import timezone

    from bookings.actions.money.invoices import invoice_balance
    from bookings.actions.money.payments import record_payment, record_refund
    from bookings.actions.quotes import accept_quote, draft_quote, send_quote
    from bookings.actions.trips import cancel_booking, hold_places, plan_trip
    from bookings.models import Booking, Offer, Party

    dice, done = Random(seed), 0  # noqa: S311  a test, no secret
    print("ready", flush=True)

    def agree() -> None:
        at = timezone.now()
        offer, party = Offer.objects.order_by("pk")[0], dice.choice(list(Party.objects.all()))
        starts = at + datetime.timedelta(days=dice.randrange(1, 60))
        trip = plan_trip(
            offer=offer,
            starts_at=starts,
            ends_at=starts + datetime.timedelta(hours=10),
            meeting_place="the slip",
        )
        held = hold_places(party=party, trip=trip, heads=2)
        quote = draft_quote(party=party, offer=offer, heads=2, booking=held)
        accept_quote(quote=send_quote(quote=quote))

    def some() -> Booking:
        live = Booking.objects.filter(status="confirmed").order_by("?").first()
        if live is None:
            raise ValidationError("nobody is booked yet")
        return live

    def pay() -> None:
        amount = Decimal(dice.randrange(1, 60_000)) / 100
        record_payment(party=some().party, amount=amount, moved_on=timezone.localdate())

    def give_back() -> None:
        booking, amount = some(), Decimal(dice.randrange(1, 30_000)) / 100
        record_refund(
            party=booking.party,
            booking=booking,
            amount=amount,
            moved_on=timezone.localdate(),
            reason="goodwill",
        )

    acts = [
        agree,
        lambda: invoice_balance(booking=some()),
        pay,
        give_back,
        lambda: cancel_booking(booking=some(), by=dice.choice(["client", "guide"])),
    ]
    while done < steps:
        try:
            dice.choice(acts)()
        except ValidationError:
            continue
        done += 1
        if steps == ENDLESS:
            print("done", flush=True)
    print(done, flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else ENDLESS)
