"""Rigs: the recipes, one drawn to scale, what is tied, what lies in the box."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bookings.models import Business
from guiding.days.actions.rigs import (
    save_rig,
    save_tackle,
    set_rigs_ready,
    shelve_rig,
    take_rig_up,
    usual_parts,
)
from guiding.days.forms.rigs import (
    PartFormSet,
    RigForm,
    TackleForm,
    UsualRigForm,
    shown_parts,
    typed_parts,
)
from guiding.days.models import Rig, Spot, Tackle
from guiding.days.queries.flying import flying_defaults
from guiding.days.queries.rigs import losses, rigs, tackle
from guiding.days.sheets.rigs import recipe, rig_facts
from guiding.days.views.form_page import carried_out, form_page, refuse, typed
from guiding.drawings.rig import RigFacts, rig_rows, rig_svg
from guiding.flying import rigs as recipes
from guiding.flying.checks.findings import Finding
from guiding.flying.checks.rig import check_rig
from guiding.flying.rig_lists import rig_materials
from guiding.flying.strength import strength_n_from_kgf


@dataclass(frozen=True, slots=True)
class RigDrawing:
    """A rig as a page shows it: wide, narrow, and in words."""

    svg: SafeString
    narrow: SafeString
    rows: tuple[object, ...]


def rig_drawing(facts: RigFacts) -> RigDrawing:
    """Two drawings of one set of facts, and its text twin."""
    # The drawing escapes every text that it is given; nothing else enters the markup.
    wide, narrow = (mark_safe(rig_svg(facts, width)) for width in (1080, 340))  # noqa: S308
    return RigDrawing(wide, narrow, rig_rows(facts))


@require_safe
@permission_required("days.view_rig", raise_exception=True)
def rig_list(request: HttpRequest) -> HttpResponse:
    rows = [(row, recipe(row)) for row in rigs()]
    context = {
        "title": "Rigs",
        "rows": [
            {
                "rig": row,
                "length_m": recipes.rig_length_m(made),
                "payload_g": recipes.rig_payload_g(made),
                "hooks": made.count(recipes.PartKind.HOOK),
            }
            for row, made in rows
        ],
        "shelved": rigs(shelved=True),
        "usual": UsualRigForm(),
    }
    return render(request, "days/rig_list.html", context)


@require_safe
@permission_required("days.view_rig", raise_exception=True)
def rig(request: HttpRequest, pk: int) -> HttpResponse:
    found = _rig_or_404(pk)
    business = Business.objects.get()
    made = recipe(found)
    main_n = strength_n_from_kgf(found.main_strength_kgf)
    facts = rig_facts(
        made, main_strength_n=main_n, bait=found.bait, imperial=business.units == "imperial"
    )
    context = {
        "title": found.name,
        "rig": found,
        "drawing": rig_drawing(facts),
        "materials": rig_materials(made, flying_defaults()),
        "length_m": recipes.rig_length_m(made),
        "payload_g": recipes.rig_payload_g(made),
        "hooks": made.count(recipes.PartKind.HOOK),
        "places": _places(made, main_n),
        "losses": losses(rigs=[found.pk]).get(found.pk),
    }
    return render(request, "days/rig.html", context)


def _rig_or_404(pk: int) -> Rig:
    both: QuerySet[Rig] = Rig.objects.prefetch_related("parts")
    return get_object_or_404(both, pk=pk)


def _places(made: recipes.Rig, main_n: float) -> list[tuple[Spot, tuple[Finding, ...]]]:
    """What the law on hooks says of the rig at each spot."""
    defaults = flying_defaults()
    return [
        (spot, check_rig(made, main_n, spot.hook_limit, spot.hook_inside_limit_mm, defaults)[-2:])
        for spot in Spot.objects.all()
    ]


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_rig", raise_exception=True)
def rig_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """A recipe with its parts; a new one may begin from the usual rig (`?main_kgf=22.7`)."""
    known = _rig_or_404(pk) if pk else None
    sent = typed(request)
    fields, parts = _beginning(request) if known is None else ({}, shown_parts(known))
    form = RigForm(sent, rig=known, **({} if known else {"initial": fields}))
    table = PartFormSet(sent, initial=parts, prefix="part")
    if request.method == "POST" and form.is_valid() and table.is_valid():
        try:
            saved = save_rig(rig=known, parts=typed_parts(table), **form.cleaned_data)
        except ValidationError as refusal:
            refuse(form, refusal)
        else:
            messages.success(request, f"{saved} saved.")
            return redirect("rig", saved.pk)
    title = str(known) if known else "New rig"
    return form_page(request, form, title, "days/rig_form.html", table=table, rig=known)


def _beginning(request: HttpRequest) -> tuple[dict[str, object], list[dict[str, object]]]:
    usual = UsualRigForm(request.GET) if "main_kgf" in request.GET else None
    if usual is None or not usual.is_valid():
        return {"ready": 0, "bait_g": 80, "first_dropper_m": 1.2, "dropper_spacing_m": 1.5}, []
    return usual_parts(main_strength_kgf=usual.cleaned_data["main_kgf"])


@require_POST
@permission_required("days.change_rig", raise_exception=True)
def rig_shelve(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a recipe aside, or take it up again."""
    found = _rig_or_404(pk)
    if found.shelved_on:
        take_rig_up(rig=found)
        messages.success(request, f"{found} is taken up again.")
        return redirect("rig", pk)
    shelve_rig(rig=found)
    messages.success(request, f"{found} is put aside. Days that fish it keep it.")
    return redirect("rig_list")


@require_POST
@permission_required("days.change_rig", raise_exception=True)
def rig_ready(request: HttpRequest, pk: int) -> HttpResponse:
    """How many of a recipe are tied; the number is set, not added, so sending twice is harmless."""
    found = _rig_or_404(pk)
    count = request.POST.get("ready", "")
    try:
        set_rigs_ready(rig=found, ready=int(count) if count.isdecimal() else -1)
    except ValidationError:
        messages.error(request, "Give the number of rigs that are tied, 0 to 500.")
    else:
        messages.success(request, f"{found.ready} of {found} are tied and ready.")
    return redirect("rig", pk)


@require_safe
@permission_required("days.view_tackle", raise_exception=True)
def tackle_list(request: HttpRequest) -> HttpResponse:
    return render(request, "days/tackle_list.html", {"title": "Tackle box", "rows": tackle()})


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_tackle", raise_exception=True)
def tackle_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    known = get_object_or_404(Tackle, pk=pk) if pk else None
    form = TackleForm(typed(request), tackle=known)
    if carried_out(form, lambda: save_tackle(tackle=known, **form.cleaned_data)):
        messages.success(request, "Saved.")
        return redirect("tackle_list")
    return form_page(request, form, str(known) if known else "New in the box")
