"""The catch of a trip: logged with wet hands, looked at, corrected, struck out."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bookings.models import Business, Trip
from bookings.queries.health import guides_trip
from guiding.days.actions.catches import (
    correct_catch,
    landed_at,
    log_catch,
    strike_catch,
)
from guiding.days.forms.catches import CatchForm, PressForm
from guiding.days.models import Catch
from guiding.days.queries.catches import species_lately
from guiding.days.views.form_page import carried_out, form_page, typed
from guiding.desk.sheets.catches import day_catch
from guiding.desk.sheets.gather import TripFile, gather
from guiding.desk.sheets.languages import language_of_house
from guiding.desk.sheets.messages import formats
from guiding.papers.formats import Formats

_AT_HAND = 8  # species with a button of their own; the others behind a second press


def may_log(request: HttpRequest, trip: Trip) -> bool:
    """Who may log fish on a trip: the owner, and whoever guides it."""
    return request.user.has_perm("days.add_catch") or guides_trip(request.user, trip)


def _file_or_404(request: HttpRequest, pk: int, *, to_log: bool = False) -> TripFile:
    file = gather(pk, business=Business.objects.get())
    if file is None:
        raise Http404("There is no such trip.")
    if to_log and not may_log(request, file.trip):
        raise PermissionDenied("Only the guides of this trip may log its fish.")
    return file


def _catch_or_404(request: HttpRequest, pk: int) -> tuple[Catch, TripFile]:
    catch = get_object_or_404(Catch.objects.select_related("species"), pk=pk)
    return catch, _file_or_404(request, catch.trip_id, to_log=True)


@require_safe
@permission_required("days.view_catch", raise_exception=True)
def fish(request: HttpRequest, pk: int) -> HttpResponse:
    """The day's catch, and a button for each species."""
    file = _file_or_404(request, pk)
    return _page(request, file, PressForm(imperial=file.business.units == "imperial"))


def _page(
    request: HttpRequest, file: TripFile, form: PressForm, *, status: int = 200
) -> HttpResponse:
    buttons = [(each, f"{each.pk} {uuid.uuid4()}") for each in species_lately()]
    off = file.trip.status == Trip.Status.CANCELLED
    context = {
        "title": f"Fish: {file.trip.offer}",
        "file": file,
        "trip": file.trip,
        "catch": day_catch(file, _shape(file), on=timezone.localdate()),
        "form": form,
        "near": buttons[:_AT_HAND],
        "far": buttons[_AT_HAND:],
        "may_log": may_log(request, file.trip) and not off,
        "begun": file.trip.starts_at <= timezone.now(),
    }
    answer = render(request, "desk/fish.html", context, status=status)
    answer["Cache-Control"] = "private, no-store"  # gone back to, its buttons are new ones
    return answer


@require_POST
def fish_log(request: HttpRequest, pk: int) -> HttpResponse:
    """One press of a button; the same press delivered twice is one entry."""
    file = _file_or_404(request, pk, to_log=True)
    form = PressForm(request.POST, imperial=file.business.units == "imperial")
    now = timezone.now()

    def log() -> None:
        row = log_catch(
            trip=file.trip, at=landed_at(file.trip, now), by=request.user, now=now, **form.facts()
        )
        _tell(request, file, row, "Logged")

    if carried_out(form, log):
        return redirect("fish", pk)
    return _page(request, file, form, status=422)


def _tell(request: HttpRequest, file: TripFile, row: Catch, done: str) -> None:
    """What was written, and at once what is wrong with it."""
    fate = "kept" if row.kept else "released"
    messages.success(request, f"{done}: {_what(row)}, {fate}.")
    found = day_catch(file, _shape(file), on=timezone.localdate()).findings
    for one in found:
        if row.pk not in one.numbers:
            continue
        if one.stops:
            messages.error(request, f"{one.text} If it lives, let it go.")
        else:
            messages.warning(request, one.text)


def _what(row: Catch) -> str:
    return f"{row.count} × {row.species}" if row.count > 1 else str(row.species)


def _shape(file: TripFile) -> Formats:
    return formats(file.business, language_of_house(file.business))


@require_http_methods(["GET", "HEAD", "POST"])
def fish_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Fish with all there is to say about them: time, weight, who, bait."""
    file = _file_or_404(request, pk, to_log=True)
    now = timezone.now()
    start = {"at": timezone.localtime(landed_at(file.trip, now)), "once": uuid.uuid4(), "count": 1}
    form = _form(request, file, initial=start)

    def log() -> None:
        row = log_catch(trip=file.trip, by=request.user, now=now, **form.facts())
        _tell(request, file, row, "Logged")

    if carried_out(form, log):
        return redirect("fish", pk)
    return form_page(request, form, f"Fish of {file.trip.offer}", "desk/form.html")


@require_http_methods(["GET", "HEAD", "POST"])
def fish_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Put an entry right: it is struck out, and the right one stands in its place."""
    catch, file = _catch_or_404(request, pk)
    start = {
        "species": catch.species_id,
        "fate": "kept" if catch.kept else "released",
        "once": uuid.uuid4(),
    }
    form = _form(request, file, initial=start, instance=catch)
    now = timezone.now()

    def correct() -> None:
        row = correct_catch(catch=catch, by=request.user, now=now, **form.facts())
        _tell(request, file, row, "Corrected")

    if carried_out(form, correct):
        return redirect("fish", file.trip.pk)
    return form_page(request, form, f"Correct: {_what(catch)}", "desk/form.html")


def _form(request: HttpRequest, file: TripFile, **start: object) -> CatchForm:
    imperial = file.business.units == "imperial"
    return CatchForm(typed(request), people=list(file.people), imperial=imperial, **start)


@require_POST
def fish_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an entry back with one press; it stays readable."""
    catch, file = _catch_or_404(request, pk)
    strike_catch(catch=catch)
    messages.success(request, f"Struck out: {_what(catch)}.")
    return redirect("fish", file.trip.pk)


@require_POST
def fish_release(request: HttpRequest, pk: int) -> HttpResponse:
    """It went back after all: with one press the entry is corrected."""
    catch, file = _catch_or_404(request, pk)
    key = uuid.uuid5(catch.key, "released after all")
    try:
        correct_catch(catch=catch, key=key, kept=False, by=request.user, now=timezone.now())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"Released: {_what(catch)}.")
    return redirect("fish", file.trip.pk)
