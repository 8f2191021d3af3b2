"""The page of a thing, and the forms that enter, change, retire and ground it."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from equipment.actions.defects import ground, sign_off
from equipment.actions.things import add_thing, edit_thing, retire, take_back
from equipment.forms.things import (
    DefectForm,
    RetireForm,
    SignOffForm,
    blank_row,
    form_of,
)
from equipment.models import Defect, Thing
from equipment.queries.booked import booked_days
from equipment.queries.things import thing_page
from equipment.views.shape import bound, carried_out, fetch, form_page, lead_on, turned_down, who


@require_safe
@permission_required("equipment.view_thing", raise_exception=True)
def thing(request: HttpRequest, pk: int) -> HttpResponse:
    """A thing without a page of its kind; the code on a label leads here, and on."""
    row = fetch(pk)
    if row.kind in ("craft", "pack", "reel"):
        return redirect(row)
    return show(request, row, "equipment/thing.html")


@require_safe
@permission_required("equipment.view_craft", raise_exception=True)
def craft(request: HttpRequest, pk: int, template: str = "equipment/craft.html") -> HttpResponse:
    """A craft; another house may put its own tools on the page with a template of its own."""
    return show(request, fetch(pk, "craft"), template)


def show(request: HttpRequest, row: Thing, template: str, **more: object) -> HttpResponse:
    """The page of a thing of any kind."""
    today = timezone.localdate()
    page = thing_page(thing=row, on=today, booked=booked_days(on=today))
    return render(request, template, {"title": row.label, "page": page, "row": row, **more})


@require_safe
@permission_required("equipment.add_thing", raise_exception=True)
def thing_new(request: HttpRequest) -> HttpResponse:
    """Which kind of thing to enter."""
    return render(
        request, "equipment/kinds.html", {"title": "New thing", "kinds": Thing.Kind.choices}
    )


@require_http_methods(["GET", "POST"])
@permission_required("equipment.add_thing", raise_exception=True)
def thing_new_of(request: HttpRequest, kind: str) -> HttpResponse:
    if kind not in Thing.Kind.values:
        return redirect("thing_new")
    form = bound(request, form_of(kind), instance=blank_row(kind))
    made: list[Thing] = []
    if carried_out(form, lambda: made.append(add_thing(kind=kind, **form.cleaned_data))):
        return lead_on(request, made[0].get_absolute_url(), f"{made[0].label} is entered.")
    return form_page(
        request, form, title=f"New {Thing.Kind(kind).label}", back=reverse("thing_new")
    )


@require_http_methods(["GET", "POST"])
@permission_required("equipment.change_thing", raise_exception=True)
def thing_edit(request: HttpRequest, pk: int) -> HttpResponse:
    row = fetch(pk)
    label, to = row.label, row.get_absolute_url()
    form = bound(request, form_of(row.kind), instance=row)
    if carried_out(form, lambda: edit_thing(thing=fetch(pk), **form.cleaned_data)):
        return lead_on(request, to, "Saved.")
    return form_page(request, form, title=f"Change {label}", back=to)


@require_http_methods(["GET", "POST"])
@permission_required("equipment.change_thing", raise_exception=True)
def thing_retire(request: HttpRequest, pk: int) -> HttpResponse:
    row = fetch(pk)
    form = bound(request, RetireForm, initial={"on": timezone.localdate()})
    if carried_out(form, lambda: retire(thing=row, **form.cleaned_data)):
        return lead_on(request, row.get_absolute_url(), f"{row.label} is retired.")
    return form_page(request, form, title=f"Retire {row.label}", back=row.get_absolute_url())


@require_POST
@permission_required("equipment.change_thing", raise_exception=True)
def thing_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    row = take_back(thing=fetch(pk))
    return lead_on(request, row.get_absolute_url(), f"{row.label} is back in use.")


@require_http_methods(["GET", "POST"])
@permission_required("equipment.add_defect", raise_exception=True)
def defect_new(request: HttpRequest, pk: int) -> HttpResponse:
    row = fetch(pk)
    form = bound(request, DefectForm)
    if carried_out(form, lambda: ground(thing=row, **form.cleaned_data)):
        return lead_on(request, row.get_absolute_url(), f"{row.label} is grounded.")
    return form_page(request, form, title=f"A defect of {row.label}", back=row.get_absolute_url())


@require_http_methods(["GET", "POST"])
@permission_required("equipment.change_defect", raise_exception=True)
def defect_sign_off(request: HttpRequest, pk: int) -> HttpResponse:
    defect = get_object_or_404(Defect.objects.select_related("thing"), pk=pk)
    to = defect.thing.get_absolute_url()
    form = bound(request, SignOffForm, initial={"by": who(request)})
    if defect.signed_off_at is not None:
        said = f"{defect.signed_off_by} has signed this off already."
        return turned_down(request, to, ValidationError(said))
    if carried_out(form, lambda: sign_off(defect=defect, **form.cleaned_data)):
        return lead_on(request, to, "Signed off.")
    lead = f"{defect.thing.label}: {defect.what}"
    return form_page(request, form, title="Sign off a defect", back=to, lead=lead)
