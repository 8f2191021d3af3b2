"""Offers: the kinds of day that are for sale, their steps and extras, and the ladders."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.forms import BaseFormSet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bookings.actions import offers as actions
from bookings.forms.offers import (
    ExtraForm,
    LadderForm,
    LadderStepFormSet,
    OfferForm,
    StepFormSet,
)
from bookings.models import CancellationLadder, Offer, OfferExtra
from bookings.views.form_page import form_page, typed

_KEPT = "Price notes already made keep the old terms."
# For a first go; what stands already grows by one at a time, or the phone's page has no end.
_EMPTY_ROWS = 3


@require_safe
@permission_required("bookings.view_offer", raise_exception=True)
def offer_list(request: HttpRequest) -> HttpResponse:
    context = {
        "title": "Offers",
        "offers": Offer.objects.select_related("ladder").prefetch_related("steps", "extras"),
        "ladders": CancellationLadder.objects.prefetch_related("steps"),
    }
    return render(request, "bookings/offer_list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_offer", raise_exception=True)
def offer(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    known = get_object_or_404(Offer, pk=pk) if pk else None
    form = OfferForm(typed(request), instance=known)
    if request.method == "POST" and form.is_valid():
        try:
            saved = actions.save_offer(offer=known, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{saved} saved. {_KEPT}")
            unstepped = saved.basis == Offer.Basis.STEPS and not saved.steps.exists()
            return redirect("offer_steps", saved.pk) if unstepped else redirect("offer_list")
    title = str(known) if known else "New offer"
    return form_page(request, form, title, "bookings/offer.html", offer=known)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_offer", raise_exception=True)
def offer_steps(request: HttpRequest, pk: int) -> HttpResponse:
    """The price of the day by heads, all steps on one page."""
    found = get_object_or_404(Offer, pk=pk)
    initial = [{"heads_from": each.heads_from, "price": each.price} for each in found.steps.all()]
    rows = StepFormSet(typed(request), initial=initial)
    rows.extra = _EMPTY_ROWS if not initial else 1

    def act() -> str:
        steps = [(row["heads_from"], row["price"]) for row in _filled(rows)]
        actions.set_steps(offer=found, steps=steps)
        return f"Steps of {found} saved. {_KEPT}"

    context = {"title": f"Steps of {found}", "rows": rows, "offer": found}
    return _rows_page(request, rows, act, context)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_offer", raise_exception=True)
def offer_extra(request: HttpRequest, pk: int, extra_pk: int | None = None) -> HttpResponse:
    found = get_object_or_404(Offer, pk=pk)
    known = get_object_or_404(OfferExtra, pk=extra_pk, offer=found) if extra_pk else None
    form = ExtraForm(typed(request), instance=known)
    if request.method == "POST" and form.is_valid():
        try:
            saved = actions.save_extra(offer=found, extra=known, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{saved} saved. {_KEPT}")
            return redirect("offer", found.pk)
    return form_page(request, form, str(known) if known else f"An extra of {found}")


@require_POST
@permission_required("bookings.change_offer", raise_exception=True)
def offer_extra_remove(request: HttpRequest, pk: int, extra_pk: int) -> HttpResponse:
    extra = get_object_or_404(OfferExtra, pk=extra_pk, offer=pk)
    actions.remove_extra(extra=extra)
    messages.success(request, f"{extra.name} is off the offer. {_KEPT}")
    return redirect("offer", pk)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_offer", raise_exception=True)
def ladder(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """A cancellation ladder with all its steps on one page."""
    known = get_object_or_404(CancellationLadder, pk=pk) if pk else None
    form = LadderForm(typed(request), initial={"name": known.name if known else ""})
    columns = ("days_before", "keep_percent", "base", "may_move", "deposit_if_refilled")
    initial = list(known.steps.values(*columns)) if known else []
    rows = LadderStepFormSet(typed(request), initial=initial)
    rows.extra = _EMPTY_ROWS if not initial else 1

    def act() -> str:
        name = form.cleaned_data["name"] if form.is_valid() else ""
        saved = actions.save_ladder(ladder=known, name=name, steps=_filled(rows))
        return f"{saved} saved. {_KEPT}"

    title = str(known) if known else "New cancellation ladder"
    return _rows_page(request, rows, act, {"title": title, "rows": rows, "form": form})


def _filled(rows: BaseFormSet[Any]) -> list[dict[str, Any]]:
    """What stands in the rows that somebody filled in and did not take out."""
    found = []
    for row in rows.forms:
        values = dict(row.cleaned_data)
        if values and not values.pop("DELETE", False):
            found.append(values)
    return found


def _rows_page(
    request: HttpRequest, rows: BaseFormSet[Any], act: Callable[[], str], context: dict[str, Any]
) -> HttpResponse:
    """A page of rows: saved together or refused together, with all that was typed."""
    if request.method == "POST" and rows.is_valid():
        try:
            messages.success(request, act())
        except ValidationError as refusal:
            context["refusal"] = " ".join(refusal.messages)
        else:
            return redirect("offer_list")
    status = 422 if request.method == "POST" else 200
    return render(request, "bookings/offer_rows.html", context, status=status)
