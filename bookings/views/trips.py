"""Places on a trip. The trip's own page stands on the desk, with its plan and its gear."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from bookings.actions.changes import carry_out_choices
from bookings.actions.trips import hold_places
from bookings.actions.waiting import join_waiting_list, leave_waiting_list, place_waiting
from bookings.forms.trips import ChoicesForm, HoldForm
from bookings.models import Business, Trip, Waiting
from bookings.queries.bookings import days_like, full_bookings, settlements_of_trip, waiting_for
from bookings.sheets.accounts import accounts_of
from bookings.views.form_page import form_page, typed


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.add_booking", raise_exception=True)
def trip_hold(request: HttpRequest, pk: int) -> HttpResponse:
    """Hold places for a party; `?party=` names it when we come from its page."""
    trip = get_object_or_404(Trip.objects.select_related("offer"), pk=pk)
    form = HoldForm(typed(request), initial=request.GET.dict())
    if request.method == "POST" and form.is_valid():
        try:
            booking = hold_places(trip=trip, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
            trip.refresh_from_db(fields=["places_taken", "status"])
        else:
            messages.success(request, "The places are held. Send a price note while they are.")
            return redirect("party", booking.party_id)
    return form_page(request, form, "Hold places", "bookings/trip_hold.html", trip=trip)


def _trip_or_404(pk: int) -> Trip:
    return get_object_or_404(Trip.objects.select_related("offer"), pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_booking", raise_exception=True)
def trip_parties(request: HttpRequest, pk: int) -> HttpResponse:
    """The parties of a day with their money; called off, what each of them chose, in one go."""
    trip, on = _trip_or_404(pk), timezone.localdate()
    open_ones = settlements_of_trip(trip)
    days = days_like(trip, at=timezone.now())
    form = ChoicesForm(typed(request), settlements=open_ones, days=days)
    if request.method == "POST" and form.is_valid():
        try:
            done = carry_out_choices(choices=form.choices())
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"Noted for {done} of {len(open_ones)}.")
            return redirect("trip_parties", pk)
    accounts = accounts_of(
        list(full_bookings().filter(trip=trip)), business=Business.objects.get(), on=on
    )
    return form_page(
        request,
        form,
        f"Parties of {trip.offer}",
        "bookings/trip_parties.html",
        trip=trip,
        accounts=accounts,
        waiting=waiting_for(trip),
        open_ones=open_ones,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.add_booking", raise_exception=True)
def trip_wait(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a party on the waiting list of a full day."""
    trip = _trip_or_404(pk)
    form = HoldForm(typed(request), initial=request.GET.dict(), button="Put them on the list")
    if request.method == "POST" and form.is_valid():
        try:
            join_waiting_list(trip=trip, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, "They are on the list. A place is theirs once it is held.")
            return redirect("trip_parties", pk)
    return form_page(request, form, "Waiting list", "bookings/trip_hold.html", trip=trip)


@require_POST
@permission_required("bookings.add_booking", raise_exception=True)
def waiting_move(request: HttpRequest, pk: int, step: str) -> HttpResponse:
    """`place` holds the places, `leave` takes the party off the list."""
    waiting = get_object_or_404(Waiting.objects.select_related("party__client"), pk=pk)
    act = {"place": place_waiting, "leave": leave_waiting_list}[step]
    try:
        act(waiting=waiting)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        word = "has the places" if step == "place" else "is off the list"
        messages.success(request, f"{waiting.party.client} {word}.")
    return redirect("trip_parties", waiting.trip_id)
