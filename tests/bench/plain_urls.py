"""The desk with three pages more: the very pages of the gear list and the due list, with as many
rows and the like of their words, but straight from the tables, nothing worked out."""

from __future__ import annotations

import datetime

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import include, path

from equipment.models import ServiceRecord, Thing
from equipment.queries.due import DueGroup, DueItem
from equipment.rules.service import ServiceDue, ServiceState
from equipment.views.gear import by_kind

TODAY = datetime.date(2026, 6, 14)


def bare(request: HttpRequest) -> HttpResponse:
    """The things of the gear list and nothing else, by one query."""
    return _gear(request, Thing.objects.order_by("kind", "label"))


def related(request: HttpRequest) -> HttpResponse:
    """The same with the rows that the gear list reads beside them, by Django's own prefetching."""
    rows = Thing.objects.select_related("tally", "craft", "flightpack", "reel")
    rows = rows.prefetch_related(
        "defects", "services", "flightpack__checks", "reel__spoolings__line"
    )
    return _gear(request, rows.order_by("kind", "label"))


def _gear(request: HttpRequest, queryset: QuerySet[Thing]) -> HttpResponse:
    rows = list(queryset)
    for row in rows:
        row.state, row.reason, row.url = "due", row.model_note, row.get_absolute_url()
        row.next_due = ServiceDue("Rinse", ServiceState.DUE, "days", 1, 2, row.bought_on, None, "")
    page = {"title": "Gear", "on": TODAY, "groups": by_kind(rows), "shown": len(rows)}
    return render(request, "equipment/gear.html", page | {"owned": len(rows)})


def records(request: HttpRequest, count: int) -> HttpResponse:
    """As many rows as the due list has, each joined to its thing, by one query."""
    items = [
        DueItem(row.thing_id, row.thing.kind, row.thing.label, row.rule_name, row.rule_name,
                "due", "days", 1.0, 2.0, None, TODAY, row.thing.model_note)
        for row in ServiceRecord.objects.select_related("thing").order_by("pk")[:count]
    ]  # fmt: skip
    page = {"title": "Due", "on": TODAY, "items": items, "may_tick": True, "asks_day": True}
    page["groups"] = [DueGroup(later=False, before=TODAY, items=tuple(items))]
    return render(request, "equipment/due.html", page)


urlpatterns = [
    path("gear/plain/", bare, name="bare_things"),
    path("gear/plain/related/", related, name="plain_things"),
    path("gear/plain/<int:count>/", records, name="plain_records"),
    path("", include("guiding.urls")),
]
