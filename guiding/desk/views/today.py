"""Today and the Diary."""

from __future__ import annotations

import calendar
import datetime

from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from bookings.models import Business, Trip
from bookings.queries.trips import trips_between
from guiding.days.models import DayPlan
from guiding.days.queries.tides import TideBook, tide_books, tide_reminders
from guiding.days.sheets.day import strip_facts
from guiding.days.sheets.nature import spot_days
from guiding.days.sheets.strips import mini_strip, page_strip
from guiding.desk.queries.gear_today import gear_today
from guiding.desk.queries.today import today as todays
from guiding.desk.sheets.deciding import newest_decision
from guiding.desk.sheets.drops import stopped_drops
from guiding.desk.sheets.gather import gather
from guiding.desk.sheets.house import house_lacks
from guiding.desk.sheets.safety import agreed_and_stopped
from guiding.safety.queries.watch import contact_ashore


@require_safe
@permission_required("bookings.view_trip", raise_exception=True)
def today(request: HttpRequest) -> HttpResponse:
    now, business = timezone.now(), Business.objects.get()
    found = todays(at=now, business=business)
    context: dict[str, object] = {
        "title": "Today",
        "found": found,
        "stopped": agreed_and_stopped(at=now, business=business),
        "now": now,
        "house": house_lacks(business),
        "tides": tide_reminders(on=timezone.localdate(), zone=business.tz),
    }
    soonest = found.ahead[0] if found.ahead else found.next_trip
    context["no_contact"] = soonest is not None and contact_ashore(business) is None
    if request.user.has_perm("equipment.view_thing"):
        context["gear"] = gear_today(on=timezone.localdate())
    file = gather(soonest.pk, business=business) if soonest else None
    # The next trip alone: looking at the drops of one costs some forty statements.
    context["drop_stops"] = stopped_drops([file] if file else [], at=now)
    if file and file.nature:
        facts = file.strip(now=now if file.day == timezone.localdate() else None)
        if facts:
            context |= {
                "file": file,
                "strip": page_strip(facts, business),
                "decision": newest_decision(file),
            }
    return render(request, "desk/today.html", context)


@require_safe
@permission_required("bookings.view_trip", raise_exception=True)
def diary(request: HttpRequest) -> HttpResponse:
    """A month; `?month=2026-06` chooses it."""
    first = _month(request.GET.get("month", "")) or timezone.localdate().replace(day=1)
    weeks = calendar.Calendar().monthdatescalendar(first.year, first.month)
    business = Business.objects.get()
    start, end = (
        datetime.datetime.combine(day, datetime.time(), business.tz)
        for day in (weeks[0][0], weeks[-1][-1] + datetime.timedelta(days=1))
    )
    trips = list(trips_between(start=start, end=end))
    plans = {
        plan.trip_id: plan
        for plan in DayPlan.objects.filter(trip__in=trips)
        .select_related("spot__tide_source")
        .prefetch_related("spot__permits")
    }
    books = tide_books((plan.spot.tide_source for plan in plans.values()), start=start, end=end)
    by_day: dict[datetime.date, list[dict[str, object]]] = {}
    for trip in trips:
        day = trip.starts_at.astimezone(business.tz).date()
        by_day.setdefault(day, []).append(_entry(trip, plans.get(trip.pk), day, business, books))
    return render(
        request,
        "desk/diary.html",
        {
            "title": "Diary",
            "first": first,
            "days": [(day, by_day.get(day, [])) for week in weeks for day in week],
            "today": timezone.localdate(),
            "count": sum(len(entries) for entries in by_day.values()),
            "before": (first - datetime.timedelta(days=1)).replace(day=1),
            "after": (first + datetime.timedelta(days=32)).replace(day=1),
        },
    )


def _entry(
    trip: Trip,
    plan: DayPlan | None,
    day: datetime.date,
    business: Business,
    books: dict[int, TideBook],
) -> dict[str, object]:
    mini = None
    if plan:
        [nature] = spot_days(
            spot=plan.spot,
            first=day,
            last=day,
            zone=business.zone,
            book=books.get(plan.spot.tide_source_id or 0),
            curves=True,
        )
        mini = mini_strip(strip_facts(nature, plan=plan), business)
    return {"trip": trip, "plan": plan, "mini": mini}


def _month(typed: str) -> datetime.date | None:
    try:
        found = datetime.date.fromisoformat(f"{typed}-01")
    except ValueError:
        return None
    return found if 2000 <= found.year <= 2099 else None
