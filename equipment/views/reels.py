"""Reels: the page of one, line onto it and off it, and how a spool fills."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from equipment.actions.lines import move_line, spool_line, take_off_line
from equipment.forms.reels import FillForm, MoveForm, SpoolForm, TakeOffForm
from equipment.models import Reel
from equipment.queries.lines import line_history, line_on, reel_sheets, spool_fill
from equipment.views.shape import bound, carried_out, fetch, form_page, lead_on
from equipment.views.things import show


@require_safe
@permission_required("equipment.view_reel", raise_exception=True)
def reel(request: HttpRequest, pk: int) -> HttpResponse:
    """One reel: the line on it, what is left and for how long, and where the line has been."""
    row = fetch(pk, "reel")
    today = timezone.localdate()
    sheets = reel_sheets(on=today, reels=[pk])
    line = line_on(reel=row)
    return show(
        request,
        row,
        "equipment/reel.html",
        sheet=sheets[0] if sheets else None,
        line=line,
        line_history=line_history(line=line) if line else [],
        earlier=list(row.spoolings.exclude(on_until=None).select_related("line")),
    )


@require_http_methods(["GET", "POST"])
@permission_required("equipment.add_spooling", raise_exception=True)
def reel_spool(request: HttpRequest, pk: int) -> HttpResponse:
    row: Reel = fetch(pk, "reel")
    form = bound(request, SpoolForm, initial={"on": timezone.localdate()})
    if carried_out(form, lambda: spool_line(reel=row, **form.cleaned_data)):
        return lead_on(request, row.get_absolute_url(), "The new line is on.")
    old = line_on(reel=row)
    lead = f"The {old} that is on it comes off the same day." if old else ""
    return form_page(
        request, form, title=f"New line for {row}", back=row.get_absolute_url(), lead=lead
    )


@require_http_methods(["GET", "POST"])
@permission_required("equipment.add_spooling", raise_exception=True)
def reel_move(request: HttpRequest, pk: int) -> HttpResponse:
    row: Reel = fetch(pk, "reel")
    line = line_on(reel=row)
    if line is None:
        return lead_on(request, row.get_absolute_url(), f"{row} has no line to move.")
    form = bound(request, MoveForm, initial={"on": timezone.localdate()})
    if carried_out(form, lambda: move_line(line=line, **form.cleaned_data)):
        to = form.cleaned_data["reel"]
        return lead_on(request, to.get_absolute_url(), f"The line is on {to} now.")
    return form_page(
        request, form, title=f"Move the line of {row}", back=row.get_absolute_url(), lead=str(line)
    )


@require_http_methods(["GET", "POST"])
@permission_required("equipment.change_spooling", raise_exception=True)
def reel_take_off(request: HttpRequest, pk: int) -> HttpResponse:
    row: Reel = fetch(pk, "reel")
    form = bound(request, TakeOffForm, initial={"on": timezone.localdate()})
    if carried_out(form, lambda: take_off_line(reel=row, **form.cleaned_data)):
        return lead_on(request, row.get_absolute_url(), "The line is off; its history is kept.")
    return form_page(request, form, title=f"Take the line off {row}", back=row.get_absolute_url())


@require_safe
@permission_required("equipment.view_reel", raise_exception=True)
def reel_fill(request: HttpRequest) -> HttpResponse:
    """What a spool takes of a line, and how much backing goes under it."""
    form = FillForm(request.GET if "line_m" in request.GET else None, initial=request.GET.dict())
    fill = spool_fill(**form.cleaned_data) if form.is_valid() else None
    status = 422 if form.is_bound and not form.is_valid() else 200
    return render(
        request,
        "equipment/reel_fill.html",
        {"title": "Fill a spool", "form": form, "fill": fill},
        status=status,
    )
