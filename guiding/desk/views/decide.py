"""The night before: every limit of the days just ahead, and the decision on each."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_POST, require_safe

from bookings.models import Business
from bookings.queries.trips import next_trips
from guiding.days.forms.decisions import DecideForm
from guiding.days.models import Decision
from guiding.days.rules.decision import Call
from guiding.days.sheets.fallbacks import Fallbacks
from guiding.desk.actions.decisions import decide_and_tell
from guiding.desk.actions.telling import conditions_told
from guiding.desk.sheets.deciding import newest_decision, trip_fallbacks
from guiding.desk.sheets.gather import TripFile, gather

_AHEAD = datetime.timedelta(hours=60)
_MOST = 4


@dataclass(frozen=True, slots=True)
class Card:
    """One trip to decide about."""

    file: TripFile
    decision: Decision | None
    instead: Fallbacks


@require_safe
@permission_required("days.view_decision", raise_exception=True)
def night_before(request: HttpRequest) -> HttpResponse:
    """The trips of the next two days and a half; `?trip=` shows one."""
    now = timezone.now()
    asked = request.GET.get("trip", "")
    trips = next_trips(at=now).filter(plan__isnull=False)
    if asked:
        if not asked.isdigit():
            raise Http404("There is no such trip.")
        trips = trips.filter(pk=int(asked[:9]))
    else:
        trips = trips.filter(starts_at__lt=now + _AHEAD)
    business = Business.objects.get()
    files = [
        gather(pk, business=business, at=now) for pk in trips.values_list("pk", flat=True)[:_MOST]
    ]
    cards = [
        Card(file, newest_decision(file), trip_fallbacks(file, at=now)) for file in files if file
    ]
    later = None if cards else next_trips(at=now).filter(plan__isnull=False).first()
    context = {"title": "Go or not", "cards": cards, "later": later, "now": now}
    return render(request, "desk/night_before.html", context)


@require_POST
@permission_required("days.add_decision", raise_exception=True)
def trip_decide(request: HttpRequest, pk: int) -> HttpResponse:
    """Go, hold or call off, on the numbers as they stand now."""
    now = timezone.now()
    file = gather(pk, business=Business.objects.get(), at=now)
    if file is None or file.conditions is None:
        raise Http404("There is no such trip with a plan.")
    before = conditions_told(file.trip)
    form = DecideForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Choose go, hold or call off; a reason has 500 letters at most.")
        return _back(pk)
    try:
        row = decide_and_tell(
            trip=file.trip,
            conditions=file.conditions,
            call=Call(form.cleaned_data["call"]),
            reason=form.cleaned_data["reason"],
            seen=form.cleaned_data["seen"],
            by=request.user,
            at=now,
        )
    except ValidationError as refusal:
        # What was typed is not lost: it stands in the message, and the page has its box.
        words = " ".join(refusal.messages)
        typed = form.cleaned_data["reason"]
        messages.error(request, f"{words} You wrote: {typed}" if typed else words)
        return _back(pk)
    said = f"Decided: {row.get_verdict_display()}, on the numbers of now."
    if before and before.kind == row.verdict and conditions_told(file.trip) == before:
        said += f" The mail that says so has been sent before, {_when(before.made_at)}."
    messages.success(request, said)
    return redirect("trip", pk) if row.verdict == Decision.Verdict.CALL_OFF else _back(pk)


def _when(at: datetime.datetime) -> str:
    return date_format(timezone.localtime(at), "j F, H:i")


def _back(pk: int) -> HttpResponse:
    response = redirect("night_before")
    response["Location"] += f"?trip={pk}"
    return response
