"""Health notes, for the guides of the trip alone; each look is written down first."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.models import User
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST, require_safe

from bookings.actions.health import look_at_notes, set_guides
from bookings.models import Trip, TripGuide
from bookings.queries.health import (
    NoteState,
    guides_trip,
    health_facts,
    kept_of,
    looks,
    opened_people,
    people_and_notes,
)
from bookings.queries.retention import held_for, rules_in_force
from bookings.rules.retention import Kept
from bookings.views.private import not_stored


def _trip_or_403(request: HttpRequest, pk: int) -> Trip:
    trip = get_object_or_404(Trip.objects.select_related("offer"), pk=pk)
    if not guides_trip(request.user, trip):
        raise PermissionDenied("Only the guides of this trip may see its health notes.")
    return trip


def _page(
    request: HttpRequest, trip: Trip, people: list[NoteState], *, shown: bool
) -> HttpResponse:
    guides = set(TripGuide.objects.filter(trip=trip).values_list("user", flat=True))
    others = User.objects.filter(is_active=True, is_superuser=False).order_by("email")
    context = {
        "title": "Health notes",
        "trip": trip,
        "people": people,
        "shown": shown,
        "anything": any(state.note or state.has_told for state in people),
        "facts": health_facts(trip),
        "looks": looks(trip),
        "holds": held_for(trip),
        "keep_days": rules_in_force()[Kept.HEALTH].days,
        "helpers": [(user, user.pk in guides) for user in others],
    }
    return not_stored(render(request, "bookings/health_trip.html", context))


@require_safe
def health(request: HttpRequest, pk: int) -> HttpResponse:
    """Who declared something; nothing of it is shown before it is asked for."""
    trip = _trip_or_403(request, pk)
    return _page(request, trip, people_and_notes(trip), shown=False)


@sensitive_post_parameters()
@require_POST
def health_open(request: HttpRequest, pk: int) -> HttpResponse:
    """The words, once the look is on the log. A POST, so that nothing opens them by itself."""
    trip = _trip_or_403(request, pk)
    notes = kept_of(trip)
    user = request.user if isinstance(request.user, User) else None
    look_at_notes(notes=notes, user=user, trip=trip, why="page of the trip")
    return _page(request, trip, opened_people(trip, notes), shown=True)


@require_POST
def health_guides(request: HttpRequest, pk: int) -> HttpResponse:
    """Who guides this trip beside the owner; the owner alone decides."""
    trip = _trip_or_403(request, pk)
    if not request.user.has_perm("bookings.change_tripguide"):
        raise PermissionDenied("The owner names the guides of a trip.")
    chosen = [int(pk) for pk in request.POST.getlist("user") if pk.isdecimal()]
    users = list(User.objects.filter(pk__in=chosen, is_active=True))
    set_guides(trip=trip, users=users)
    messages.success(request, "The guides of this trip are set.")
    return redirect("health", pk)
