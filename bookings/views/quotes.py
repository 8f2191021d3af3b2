"""Price notes: looked at, sent, accepted. Drafting one needs the day's cost: see the desk."""

from __future__ import annotations

from decimal import Decimal

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from bookings.actions import quotes as actions
from bookings.models import Booking, Quote, Trip
from bookings.queries.messages import mails_of_quote, rules
from bookings.queries.stops import trip_stops
from bookings.sheets.pricing import fixed_by, quote_tax


@require_safe
@permission_required("bookings.view_quote", raise_exception=True)
def quote(request: HttpRequest, pk: int, template: str = "bookings/quote.html") -> HttpResponse:
    found = get_object_or_404(
        Quote.objects.select_related(
            "party__client", "booking__trip", "replaced_by"
        ).prefetch_related("lines"),
        pk=pk,
    )
    context = {
        "title": f"Price note {pk}",
        "quote": found,
        "tax": quote_tax(found),
        "fixed_by": fixed_by(found).label,
        "cost": found.cost_estimate,
        "hour": _earned_per_hour(found),
        "mails": mails_of_quote(pk),
        "mails_itself": rules()["price_note"].automatic,
    }
    return render(request, template, context)


def _earned_per_hour(quote: Quote) -> Decimal | None:
    """What this party leaves for an hour of the guide, as it was worked out when it was quoted."""
    rows = quote.cost_estimate.get("parties", [])
    found: dict[str, str] = next((row for row in rows if row.get("heads") == quote.heads), {})
    hour = found.get("earned_per_guide_hour")
    return Decimal(hour) if hour else None


@require_POST
@permission_required("bookings.change_quote", raise_exception=True)
def quote_move(request: HttpRequest, pk: int, step: str) -> HttpResponse:
    """`sent` or `accepted`, as the guide notes it."""
    found = get_object_or_404(Quote, pk=pk)
    act = {"sent": actions.send_quote, "accepted": actions.accept_quote}[step]
    try:
        act(quote=found)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"Price note {pk} is {step}.")
        if step == "accepted":
            _tell_stops(request, found)
    return redirect("party", found.party_id)


def _tell_stops(request: HttpRequest, quote: Quote) -> None:
    """The party has said yes, and something keeps the day itself from being confirmed."""
    booking = Booking.objects.filter(quotes=quote).first()
    if booking is not None and booking.awaits_deposit:
        messages.info(request, "The day is theirs once the first part has come in.")
        return
    trip = Trip.objects.filter(bookings__quotes=quote, status=Trip.Status.TENTATIVE).first()
    if trip is not None:
        why = " ".join(trip_stops(trip=trip))
        messages.warning(request, f"The trip itself is not confirmed yet. {why}".strip())
