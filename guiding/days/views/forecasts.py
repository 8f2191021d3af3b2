"""The forecast of a spot: what is known, typed in, read from a file, or fetched."""

from __future__ import annotations

import datetime

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from guiding.days.actions.forecasts import add_forecast, fetch_forecasts, import_forecast
from guiding.days.forms.forecasts import ForecastFileForm, TypedForecastForm
from guiding.days.models import Forecast, Spot
from guiding.days.queries.forecasts import forecasts_of, last_fetches, last_source, weather_of
from guiding.days.queries.weather_service import services
from guiding.days.rules.weather import WeatherHour
from guiding.days.views.form_page import carried_out, form_page, typed

_SHOWN_DAYS = 3
_ISSUES = 20


@require_safe
@permission_required("days.view_forecast", raise_exception=True)
def forecast(request: HttpRequest, pk: int) -> HttpResponse:
    """The days ahead hour by hour, the issues kept, and how the last question ended."""
    spot = get_object_or_404(Spot, pk=pk)
    now = timezone.now()
    start = _asked_day(request) or timezone.localdate()
    begin = datetime.datetime.combine(start, datetime.time(), timezone.get_current_timezone())
    weather = weather_of(spot, start=begin, end=begin + _day(_SHOWN_DAYS), at=now)
    context = {
        "title": f"Forecast of {spot}",
        "spot": spot,
        "now": now,
        "weather": weather,
        "days": _by_day(weather.hours),
        "issues": forecasts_of(spot)[:_ISSUES],
        "count": forecasts_of(spot).count(),
        "fetches": last_fetches(spot),
        "can_fetch": bool(services()),
        "credit": settings.FORECAST_CREDIT,
    }
    return render(request, "days/forecast.html", context)


def _day(count: int) -> datetime.timedelta:
    return datetime.timedelta(days=count)


def _asked_day(request: HttpRequest) -> datetime.date | None:
    try:
        found = datetime.date.fromisoformat(request.GET.get("day", ""))
    except ValueError:
        return None
    return found if 2000 <= found.year < 2100 else None


def _by_day(hours: tuple[WeatherHour, ...]) -> list[tuple[datetime.date, list[WeatherHour]]]:
    """The hours of which anything is known, day by day."""
    found: dict[datetime.date, list[WeatherHour]] = {}
    for hour in hours:
        if not hour.is_empty:
            found.setdefault(timezone.localtime(hour.at).date(), []).append(hour)
    return list(found.items())


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.add_forecast", raise_exception=True)
def forecast_type(request: HttpRequest, pk: int) -> HttpResponse:
    """Type a day in: a line every three hours, empty where nothing is known."""
    spot = get_object_or_404(Spot, pk=pk)
    day = _asked_day(request) or timezone.localdate() + _day(1)
    started = {"day": day, "issued_at": timezone.localtime(), "source": last_source(spot)}
    form = TypedForecastForm(typed(request), initial=started)

    def keep() -> None:
        found = form.cleaned_data
        add_forecast(
            spot=spot,
            kind=Forecast.Kind.TYPED,
            source=found["source"],
            issued_at=found["issued_at"],
            hours=form.hours(timezone.get_current_timezone()),
            by=request.user,
        )

    if request.method == "POST" and carried_out(form, keep):
        messages.success(request, "Forecast kept.")
        return redirect("forecast", pk)
    title = f"Forecast of {spot}, typed in"
    return form_page(request, form, title, "days/forecast_form.html", spot=spot)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.add_forecast", raise_exception=True)
def forecast_file(request: HttpRequest, pk: int) -> HttpResponse:
    """Read a table in CSV, whole or not at all."""
    spot = get_object_or_404(Spot, pk=pk)
    started = {"issued_at": timezone.localtime(), "zone": timezone.get_current_timezone_name()}
    form = ForecastFileForm(typed(request), request.FILES or None, initial=started)

    def read() -> None:
        try:
            import_forecast(
                spot=spot,
                text=form.cleaned_data["file"],
                source=form.cleaned_data["source"],
                issued_at=form.cleaned_data["issued_at"],
                columns=form.columns(),
                units=form.units(),
                by=request.user,
            )
        except ValidationError as refusal:
            rows = getattr(refusal, "error_dict", {}).pop("text", None)
            raise ValidationError({"file": rows}) if rows else refusal from None

    if request.method == "POST" and carried_out(form, read):
        messages.success(request, "Forecast kept.")
        return redirect("forecast", pk)
    return form_page(request, form, f"Forecast of {spot} from a file")


@require_POST
@permission_required("days.add_forecast", raise_exception=True)
def forecast_fetch(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask the services now, as far as they let us."""
    spot = get_object_or_404(Spot, pk=pk)
    try:
        ended = fetch_forecasts(spot=spot)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        for each in ended:
            tell = messages.success if each.ok else messages.error
            tell(request, f"{each.get_part_display().capitalize()}: {each.message}")
    return redirect("forecast", pk)
