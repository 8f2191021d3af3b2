"""Flight packs: the page of one, checks of many in a row, charge, limits, pairs and travel."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from equipment.actions.checks import (
    put_at_charge,
    record_check,
    set_pack_limits,
    strike_out_check,
)
from equipment.forms.packs import ChargeForm, ChecksForm, LimitsForm, now_shown
from equipment.forms.things import ReasonForm
from equipment.models import FlightPack, PackCheck
from equipment.queries.booked import booked_days
from equipment.queries.forecast import trend
from equipment.queries.packs import check_history, limits, pack_sheets
from equipment.queries.storage import pairs, stored, travel
from equipment.rules.packs import pack_limits_table
from equipment.views.shape import (
    asked_day,
    bound,
    carried_out,
    fetch,
    form_page,
    lead_on,
    turned_down,
    who,
)
from equipment.views.things import show


@require_safe
@permission_required("equipment.view_flightpack", raise_exception=True)
def pack(request: HttpRequest, pk: int) -> HttpResponse:
    """One pack: its facts, the number that decides, the trend of its health, its checks."""
    row = fetch(pk, "pack")
    today = timezone.localdate()
    return show(
        request,
        row,
        "equipment/pack.html",
        checks=check_history(pack=row),
        trend=trend(pack=row, on=today, booked=booked_days(on=today)),
    )


@require_safe
@permission_required("equipment.view_flightpack", raise_exception=True)
def pack_list(request: HttpRequest) -> HttpResponse:
    """All packs side by side: how they lie, which make pairs, which may travel by air."""
    on = asked_day(request)
    sheets = pack_sheets(on=on)
    return render(
        request,
        "equipment/packs.html",
        {
            "title": "Flight packs",
            "on": on,
            "sheets": sheets,
            "stored": stored(sheets=sheets, on=on, booked=booked_days(on=on)),
            "pairs": pairs(sheets=sheets),
            "travel": travel(sheets=sheets),
        },
    )


@require_http_methods(["GET", "POST"])
@permission_required("equipment.add_packcheck", raise_exception=True)
def pack_checks(request: HttpRequest) -> HttpResponse:
    """Checks of many packs in a row; `?pack=` asks for one of them only."""
    packs = FlightPack.objects.filter(retired_on=None).order_by("label")
    if request.GET.get("pack", "").isdecimal():
        packs = packs.filter(pk=int(request.GET["pack"]))
    first = now_shown() | {"by": who(request)}
    form = bound(request, ChecksForm, packs=list(packs), initial=first)
    if form.is_valid() and _record(request, form):
        return lead_on(request, reverse("pack_list"), f"{len(form.checks())} checks are entered.")
    return form_page(
        request,
        form,
        title="Check packs",
        back=reverse("pack_list"),
        template="equipment/pack_checks.html",
    )


def _record(request: HttpRequest, form: ChecksForm) -> bool:
    """Enter all checks or none; every refusal is put at its field."""
    with transaction.atomic():
        for pack, figures in form.checks():
            try:
                record_check(
                    pack=pack,
                    at=form.cleaned_data["at"],
                    by=form.cleaned_data["by"],
                    entered_by=request.user,
                    **figures,
                )
            except ValidationError as error:
                problems = getattr(error, "message_dict", {"": error.messages})
                for name, sentences in problems.items():
                    form.point_at(pack, name, sentences)
        if form.errors:
            transaction.set_rollback(True)
    return not form.errors


@require_http_methods(["GET", "POST"])
@permission_required("equipment.change_packcheck", raise_exception=True)
def check_strike_out(request: HttpRequest, pk: int) -> HttpResponse:
    check = get_object_or_404(PackCheck.objects.select_related("pack"), pk=pk)
    to = check.pack.get_absolute_url()
    form = bound(request, ReasonForm, button="Strike it out")
    if carried_out(
        form, lambda: strike_out_check(check=check, by=request.user, **form.cleaned_data)
    ):
        return lead_on(request, to, "Struck out; the check stays readable.")
    return form_page(request, form, title=f"Strike out a check of {check.pack}", back=to)


@require_POST
@permission_required("equipment.change_flightpack", raise_exception=True)
def pack_charge(request: HttpRequest) -> HttpResponse:
    """Note that the ticked packs were charged full or brought to storage charge."""
    form = ChargeForm(request.POST)
    to = reverse("pack_list")
    if not form.is_valid():
        return turned_down(request, to, ValidationError("Tick the packs, then press again."))
    put_at_charge(packs=form.cleaned_data["packs"], full=form.cleaned_data["full"])
    words = "charged full" if form.cleaned_data["full"] else "at storage charge"
    count = len(form.cleaned_data["packs"])
    return lead_on(request, to, f"{count} pack{'s' * (count != 1)} noted as {words}.")


@require_http_methods(["GET", "POST"])
@permission_required("equipment.change_packlimit", raise_exception=True)
def pack_limits(request: HttpRequest) -> HttpResponse:
    table = pack_limits_table(limits=limits())
    form = bound(request, LimitsForm, table=table)
    if carried_out(form, lambda: set_pack_limits(values=form.cleaned_data)):
        return lead_on(request, reverse("pack_list"), "The limits are set.")
    return form_page(
        request,
        form,
        title="Limits of flight packs",
        back=reverse("pack_list"),
        lead="The maker's manual goes before every default. Check with it first.",
    )
