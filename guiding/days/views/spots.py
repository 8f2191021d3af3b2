"""Spots: the places, one day at each, and what is entered about them."""

from __future__ import annotations

import datetime

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from bookings.models import Business
from guiding.days.actions.spots import save_spot
from guiding.days.forms import SpotForm
from guiding.days.forms.spots import WindLimitFormSet, shown_wind_limits, wind_limits_of
from guiding.days.models import Spot
from guiding.days.queries.decisions import closed_because, the_house
from guiding.days.queries.forecasts import last_fetches, weather_of
from guiding.days.queries.plans import spots
from guiding.days.queries.tides import tide_reaches, tide_reminders
from guiding.days.sheets.day import cast_only_reason, spot_day, strip_facts
from guiding.days.sheets.nature import SpotDay
from guiding.days.sheets.places import spot_place
from guiding.days.sheets.strips import page_strip
from guiding.days.views.form_page import carried_out, form_page, typed


@require_safe
@permission_required("days.view_spot", raise_exception=True)
def spot_list(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    rows = [
        (spot, cast_only_reason(spot, today), closed_because(spot=spot, on=today))
        for spot in spots()
    ]
    reminders = tide_reminders(on=today, zone=timezone.get_current_timezone())
    context = {"title": "Spots", "rows": rows, "reminders": reminders}
    return render(request, "days/spot_list.html", context)


@require_safe
@permission_required("days.view_spot", raise_exception=True)
def spot(request: HttpRequest, pk: int) -> HttpResponse:
    """A spot with one day at it; `?day=` chooses the day."""
    found = get_object_or_404(spots(), pk=pk)
    business = Business.objects.get()
    today, now = timezone.localdate(), timezone.now()
    nature = _asked_day(request, found, business, today)
    day = nature.light.day
    weather = weather_of(found, start=nature.light.start, end=nature.light.end, at=now)
    facts = strip_facts(nature, now=now if day == today else None, weather=weather)
    source = found.tide_source_id
    context = {
        "title": found.name,
        "spot": found,
        "day": day,
        "today": today,
        "nature": nature,
        "cast_only": cast_only_reason(found, day),
        "closed": closed_because(spot=found, on=day),
        "strip": page_strip(facts, business),
        "weather": weather,
        "fetches": last_fetches(found),
        "place": spot_place(found),
        "photos": found.photos.filter(taken_off_at=None),
        "reach": next(
            (r for r in tide_reaches(on=today, zone=business.tz) if r.source.pk == source), None
        ),
        "before": day - datetime.timedelta(days=1),
        "after": day + datetime.timedelta(days=1),
    }
    return render(request, "days/spot.html", context)


def _asked_day(
    request: HttpRequest, found: Spot, business: Business, today: datetime.date
) -> SpotDay:
    """The day that was asked for; one out of reach is told, and today shown."""
    house = the_house()
    try:
        day = datetime.date.fromisoformat(request.GET.get("day", today.isoformat()))
        return spot_day(spot=found, day=day, zone=business.zone, house=house)
    except (ValueError, OverflowError):
        messages.error(request, "That day is out of reach: write year, month and day.")
        return spot_day(spot=found, day=today, zone=business.zone, house=house)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_spot", raise_exception=True)
def spot_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """A spot with its wind limits; `?name=&place=` begins a new one from a waypoint."""
    known = get_object_or_404(Spot, pk=pk) if pk else None
    begun = {name: request.GET[name] for name in ("name", "place") if name in request.GET}
    form = SpotForm(typed(request), instance=known, initial=begun)
    winds = WindLimitFormSet(typed(request), initial=shown_wind_limits(known), prefix="wind")
    saved: list[Spot] = []

    def save() -> None:
        limits = wind_limits_of(winds)
        saved.append(save_spot(spot=known, wind_limits=limits, **form.cleaned_data))

    if request.method == "POST" and winds.is_valid() and carried_out(form, save):
        messages.success(request, f"{saved[0]} saved.")
        return redirect("spot", saved[0].pk)
    title = str(known) if known else "New spot"
    return form_page(request, form, title, "days/spot_form.html", spot=known, winds=winds)
