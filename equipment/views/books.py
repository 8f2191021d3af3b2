"""What gear costs: wear per use, and its value on the books."""

from __future__ import annotations

from decimal import Decimal

from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from equipment.queries.booked import booked_days
from equipment.queries.wear import book_list, line_costs, wear_list
from equipment.views.shape import asked_day


@require_safe
@permission_required("equipment.view_thing", raise_exception=True)
def gear_wear(request: HttpRequest) -> HttpResponse:
    """What one more use of each thing costs."""
    on = asked_day(request)
    return render(
        request,
        "equipment/wear.html",
        {
            "title": "Cost of wear",
            "on": on,
            "wears": wear_list(on=on, booked=booked_days(on=on)),
            "lines": line_costs(on=on),
        },
    )


@require_safe
@permission_required("equipment.view_thing", raise_exception=True)
def gear_books(request: HttpRequest) -> HttpResponse:
    """Depreciation of a year, thing by thing."""
    today = timezone.localdate()
    asked = request.GET.get("year", "")
    year = int(asked) if asked.isdecimal() and 2000 <= int(asked[:5]) <= 2100 else today.year
    entries = book_list(year=year)
    counted = [entry.this_year for entry in entries if entry.this_year]
    return render(
        request,
        "equipment/books.html",
        {
            "title": "On the books",
            "year": year,
            "entries": entries,
            "written_off": sum((one.depreciation for one in counted), Decimal(0)),
            "remains": sum((one.closing for one in counted), Decimal(0)),
        },
    )
