"""What to take on a trip, and that put on its plan."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from bookings.models import Business
from guiding.desk.actions.taking import take_advice
from guiding.desk.sheets.gather import gather
from guiding.desk.sheets.taking import what_to_take


@require_safe
@permission_required("days.view_dayplan", raise_exception=True)
def trip_gear(request: HttpRequest, pk: int) -> HttpResponse:
    """Which craft, packs and reels should go along, and why."""
    file = gather(pk, business=Business.objects.get())
    taking = what_to_take(file) if file else None
    if file is None or taking is None:
        raise Http404("There is no such trip, or it has no plan yet.")
    return render(
        request,
        "desk/trip_gear.html",
        {
            "title": "What to take",
            "file": file,
            "trip": file.trip,
            "plan": file.plan,
            "taking": taking,
        },
    )


@require_POST
@permission_required("days.change_dayplan", raise_exception=True)
def trip_gear_take(request: HttpRequest, pk: int) -> HttpResponse:
    """Put on the plan what goes."""
    try:
        take_advice(trip_pk=pk, business=Business.objects.get())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("trip", pk)
    messages.success(request, "The plan has it so.")
    return redirect("trip_gear", pk)
