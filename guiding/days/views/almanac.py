"""The almanac of a spot: a year at a glance, or a month."""

from __future__ import annotations

import datetime
from itertools import groupby

from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from bookings.models import Business, Offer
from guiding.days.queries.find_days import diary
from guiding.days.queries.plans import spots
from guiding.days.sheets.almanac import spot_almanac

_FIRST_YEAR, _LAST_YEAR = 1901, 2099


@require_safe
@permission_required("days.view_spot", raise_exception=True)
def almanac(request: HttpRequest, pk: int, pdf_view: str = "") -> HttpResponse:
    """`?year=2027` or `?month=2027-05`; `?offer=` marks the days that suit an offer.

    `pdf_view` names the page of the same days on paper.
    """
    spot = get_object_or_404(spots(), pk=pk)
    business = Business.objects.get()
    offers = list(Offer.objects.all())
    asked = request.GET.get("offer", "")
    offer = next((each for each in offers if str(each.pk) == asked), None)
    month, first, last = asked_span(request)
    found = spot_almanac(
        spot=spot,
        first=first,
        last=last,
        zone=business.zone,
        offer=offer,
        diary=diary(first=first, last=last, tz=business.tz, at=timezone.now()),
    )
    months = [
        (day, list(rows)) for day, rows in groupby(found.rows, key=lambda r: r.day.replace(day=1))
    ]
    context = {
        "title": f"Almanac of {spot}",
        "spot": spot,
        "found": found,
        "months": months,
        "month": month,
        "first": first,
        "before": _shifted(first, -1) if month else first.replace(year=first.year - 1),
        "after": _shifted(first, 1) if month else first.replace(year=first.year + 1),
        "offers": offers,
        "offer": offer,
        "today": timezone.localdate(),
        "pdf_view": pdf_view,
    }
    return render(request, "days/almanac.html", context)


def asked_span(request: HttpRequest) -> tuple[datetime.date | None, datetime.date, datetime.date]:
    """The month asked for, None for a whole year, with the first and the last day."""
    month = _month(request.GET.get("month", ""))
    return month, *_span(month, _year(request.GET.get("year", "")))


def _month(typed: str) -> datetime.date | None:
    try:
        found = datetime.date.fromisoformat(f"{typed}-01")
    except ValueError:
        return None
    return found if _FIRST_YEAR <= found.year <= _LAST_YEAR else None


def _year(typed: str) -> int:
    year = int(typed) if typed.isdigit() and len(typed) == 4 else 0
    return year if _FIRST_YEAR <= year <= _LAST_YEAR else timezone.localdate().year


def _span(month: datetime.date | None, year: int) -> tuple[datetime.date, datetime.date]:
    if month is None:
        return datetime.date(year, 1, 1), datetime.date(year, 12, 31)
    return month, _shifted(month, 1) - datetime.timedelta(days=1)


def _shifted(month: datetime.date, by: int) -> datetime.date:
    """The first of the month before or after."""
    count = month.year * 12 + month.month - 1 + by
    return datetime.date(count // 12, count % 12 + 1, 1)
