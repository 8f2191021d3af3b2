"""The use log: a thing's own, one entry, an entry taken out, a whole day."""

from __future__ import annotations

import uuid

from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from equipment.actions.use import NewUse, record_use, record_uses, reverse_use
from equipment.forms.use import DayForm, ReverseForm, UseForm, moment_on
from equipment.models import UseEntry
from equipment.models.use import TOLD_TWICE
from equipment.queries.booked import trip_on
from equipment.queries.once import told_twice
from equipment.queries.things import things_in_use, use_log
from equipment.views.shape import (
    asked_day,
    bound,
    carried_out,
    fetch,
    form_page,
    lead_on,
    page_of,
    turned_down,
)


@require_safe
@permission_required("equipment.view_useentry", raise_exception=True)
def use_list(request: HttpRequest, pk: int) -> HttpResponse:
    """The whole log of a thing, newest first."""
    row = fetch(pk)
    page = page_of(request, use_log(thing=row))
    return render(
        request, "equipment/use.html", {"title": f"Use of {row.label}", "row": row, "page": page}
    )


@require_http_methods(["GET", "POST"])
@permission_required("equipment.add_useentry", raise_exception=True)
def use_new(request: HttpRequest, pk: int) -> HttpResponse:
    row = fetch(pk)
    form = bound(request, UseForm, thing=row, initial=_first_shown(request))
    if carried_out(form, lambda: record_use(thing=row, by=request.user, **form.cleaned_data)):
        return lead_on(request, row.get_absolute_url(), "Logged.")
    return form_page(request, form, title=f"Log a use of {row.label}", back=row.get_absolute_url())


def _first_shown(request: HttpRequest) -> dict[str, object]:
    shown: dict[str, object] = {"at": timezone.localtime()}
    if request.GET.get("kind") in UseEntry.Kind.values:
        shown["kind"] = request.GET["kind"]
    return shown


@require_http_methods(["GET", "POST"])
@permission_required("equipment.add_useentry", raise_exception=True)
def use_reverse(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask once why an entry is wrong, and take it out by another one."""
    entry = get_object_or_404(UseEntry.objects.select_related("thing"), pk=pk)
    to = entry.thing.get_absolute_url()
    if entry.kind == UseEntry.Kind.REVERSAL:
        said = "This entry takes another one out. Enter that use again instead."
        return turned_down(request, to, ValidationError(said))
    form = bound(request, ReverseForm)
    if carried_out(form, lambda: reverse_use(entry=entry, by=request.user, **form.cleaned_data)):
        return lead_on(request, to, "Taken out of the log; both entries stay readable.")
    return form_page(
        request,
        form,
        title="Take an entry out",
        back=to,
        entry=entry,
        template="equipment/use_reverse.html",
    )


@require_http_methods(["GET", "POST"])
@permission_required("equipment.add_useentry", raise_exception=True)
def use_day(request: HttpRequest) -> HttpResponse:
    """A whole day on one page."""
    on = asked_day(request)
    things = things_in_use(on=on)
    form = bound(request, DayForm, things=things, initial={"on": on, "trip": _trip(request)})
    if carried_out(form, lambda: _record_day(request, form)):
        count = len({thing.pk for thing, _, _ in form.uses()})
        said = f"The day is logged for {count} thing{'s' * (count != 1)}.{_once(form)}"
        return lead_on(request, reverse("gear"), said)
    return form_page(
        request,
        form,
        title="Log a day",
        back=reverse("gear"),
        template="equipment/use_day.html",
    )


def _trip(request: HttpRequest) -> uuid.UUID | None:
    try:
        return uuid.UUID(request.GET.get("trip", ""))
    except ValueError:
        return None


def _once(form: DayForm) -> str:
    """What to tell where the drops of that day tell the same."""
    things = {thing.pk for thing, _, _ in form.uses()}
    twice = told_twice(things, on=form.cleaned_data["on"])
    if not twice:
        return ""
    return f" The drops of that day tell of {', '.join(twice)} as well: counted once."


def _record_day(request: HttpRequest, form: DayForm) -> None:
    """A day without a booked trip is an outing with an id of its own, so that its line loss and
    its wear count as those of one trip."""
    typed = form.cleaned_data
    at = moment_on(typed["on"], timezone.localtime())
    trip = typed["trip"] or trip_on(on=typed["on"]) or typed["batch"]
    record_uses(
        uses=[
            NewUse(
                thing_id=thing.pk,
                kind=kind,
                amount=amount,
                at=at,
                trip_uid=trip,
                note=typed["note"],
                key=uuid.uuid5(typed["batch"], f"{thing.pk}:{kind}"),
                source=UseEntry.Source.DAY if kind in TOLD_TWICE else "",
                day_total=amount if kind in TOLD_TWICE else None,
            )
            for thing, kind, amount in form.uses()
        ],
        by=request.user,
    )
