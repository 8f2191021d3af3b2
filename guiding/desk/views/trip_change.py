"""A day gets another time or another meeting place."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from bookings.models import Business
from bookings.views.form_page import form_page, typed
from guiding.almanac.position import Position
from guiding.desk.actions.moving import Moved, move_day
from guiding.desk.forms import ChangeTripForm
from guiding.desk.sheets.gather import TripFile, gather
from guiding.safety.views.shape import carried_out


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_trip", raise_exception=True)
def trip_change(request: HttpRequest, pk: int) -> HttpResponse:
    file = gather(pk, business=Business.objects.get())
    if file is None:
        raise Http404("There is no such trip.")
    form = ChangeTripForm(typed(request), initial=_as_it_stands(file))
    done: list[Moved] = []

    def move() -> None:
        done.append(move_day(trip=file.trip, at=timezone.now(), **form.cleaned_data))

    if carried_out(form, move):
        (moved,) = done
        count = f"{moved.mails} {'mail goes' if moved.mails == 1 else 'mails go'} out."
        messages.success(request, " ".join(["The day is changed.", count, *moved.to_do]))
        return redirect("trip", pk)
    title = f"Change time or place: {file.trip.offer}"
    return form_page(request, form, title, "desk/form.html")


def _as_it_stands(file: TripFile) -> dict[str, Any]:
    trip, plan = file.trip, file.plan
    found: dict[str, Any] = {
        "starts_at": timezone.localtime(trip.starts_at),
        "ends_at": timezone.localtime(trip.ends_at),
        "meeting_place": trip.meeting_place,
    }
    if trip.meeting_latitude is not None and trip.meeting_longitude is not None:
        found["meeting_at"] = Position(trip.meeting_latitude, trip.meeting_longitude)
    if plan is not None:
        found["session_start"] = timezone.localtime(plan.session_start)
        found["session_end"] = timezone.localtime(plan.session_end)
    return found
