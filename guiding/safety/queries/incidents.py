"""Questions about incidents: what the day was like, what is still to be done."""

from __future__ import annotations

import datetime
from typing import Any

from django.db.models import Count, Q, QuerySet

from bookings.models import Business
from guiding.almanac.light import sun_place
from guiding.days.models import DayPlan, Forecast
from guiding.days.queries.tides import tide_for
from guiding.safety.models import FollowUp, Incident

_HALF_DAY = datetime.timedelta(hours=12)


def incidents() -> QuerySet[Incident]:
    """All of them, the newest first, with how much each still asks for."""
    return (
        Incident.objects.select_related("spot", "hazard", "trip__offer")
        .annotate(open_items=Count("follow_ups", filter=Q(follow_ups__done_on=None)))
        .order_by("-happened_at", "-pk")
    )


def open_follow_ups() -> QuerySet[FollowUp]:
    """What is still to be done, the soonest first."""
    return FollowUp.objects.filter(done_on=None).select_related("incident__spot")


def past_keeping(*, on: datetime.date) -> QuerySet[Incident]:
    """Closed records whose time of keeping is over."""
    return Incident.objects.filter(keep_until__lt=on, closed_at__isnull=False)


def conditions_at(incident: Incident, *, business: Business) -> dict[str, Any]:
    """Tide, light, forecast and plan at the time, as they are known when it is entered."""
    at, spot = incident.happened_at, incident.spot
    found: dict[str, Any] = {"at": at.isoformat(), "zone": business.zone}
    if spot is None:
        return found
    found["spot"] = spot.name
    found["position"] = [spot.latitude, spot.longitude]
    found["sun_altitude_deg"] = round(sun_place(spot.latitude, spot.longitude, at).altitude_deg, 1)
    tide, why = tide_for(spot.tide_source, start=at - _HALF_DAY, end=at + _HALF_DAY)
    if tide is None:
        found["tide"] = why
    else:
        found["tide_m"] = round(float(tide.height_m(at)), 2)
        found["tide_source"] = tide.source
    found |= _forecast(incident)
    plan = DayPlan.objects.filter(trip=incident.trip_id).select_related("craft").first()
    if incident.trip_id and plan:
        found |= {
            "craft": str(plan.craft or ""),
            "rods": plan.rods,
            "drops_planned": plan.drops,
            "people": sum(
                booking.heads
                for booking in plan.trip.bookings.all()
                if booking.status != "cancelled"
            ),
        }
    return found


def _forecast(incident: Incident) -> dict[str, Any]:
    at = incident.happened_at
    newest = (
        Forecast.objects.filter(
            spot=incident.spot_id, first_at__lte=at, last_at__gte=at, issued_at__lte=at
        )
        .order_by("-issued_at", "-entered_at", "-pk")
        .first()
    )
    hour = newest.hours.filter(at__lte=at).order_by("-at").first() if newest else None
    if newest is None or hour is None:
        return {"forecast": "none on file for that hour"}
    names = ("wind_ms", "gust_ms", "wave_m", "period_s", "rain_mm", "air_c", "water_c", "thunder")
    figures = {name: getattr(hour, name) for name in names if getattr(hour, name) is not None}
    return {"forecast": str(newest)} | figures
