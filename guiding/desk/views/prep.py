"""A trip's drops and its prep: planned, checked, ticked on the phone, printed."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bookings.models import Business
from guiding.days.actions.prep import ChosenRig, assign_prep, mark_prep, plan_drops
from guiding.days.forms.drops import DropSetupForm
from guiding.days.models import DayPlan
from guiding.days.views.form_page import carried_out, form_page, typed
from guiding.desk.sheets.drops import trip_drops
from guiding.desk.sheets.files import CONTENT_TYPES
from guiding.desk.sheets.gather import TripFile, gather
from guiding.desk.sheets.prep import PREP_LABELS, TripPrep, prep_file, trip_prep


def _planned_or_404(pk: int) -> tuple[TripFile, DayPlan]:
    file = gather(pk, business=Business.objects.get())
    if file is None or file.plan is None:
        raise Http404("There is no such trip, or it has no plan yet.")
    return file, file.plan


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_dayplan", raise_exception=True)
def trip_drops_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Rigs, wind, sea, flight and places of a day's drops; saved, the checks answer."""
    file, plan = _planned_or_404(pk)
    drops = trip_drops(file)
    if drops is None:
        raise Http404("This trip has no plan yet.")
    form = DropSetupForm(typed(request), plan=plan, setup=drops.setup)
    if carried_out(
        form,
        lambda: plan_drops(
            plan=plan,
            rigs=[ChosenRig(rig, rods, link) for rig, rods, link in form.rigs()],
            **form.conditions(),
        ),
    ):
        messages.success(request, "Saved, and checked again.")
        return HttpResponseRedirect(f"{reverse('trip', args=[pk])}#drops")
    title = f"Drops of {file.trip.offer}"
    context = {"trip": file.trip, "drops": drops}
    return form_page(request, form, title, "desk/trip_drops.html", **context)


@require_safe
@permission_required("days.view_dayplan", raise_exception=True)
def prep(request: HttpRequest, pk: int) -> HttpResponse:
    """The lists of a day, to tick on the phone."""
    file, _plan = _planned_or_404(pk)
    found = trip_prep(file, at=timezone.now())
    people = [file.business.guide_name, *(person.given_name for person in file.people)]
    context = {
        "title": f"Prep of {file.trip.offer}",
        "file": file,
        "trip": file.trip,
        "plan": file.plan,
        "drops": found.drops,
        "prep": found.day,
        "names": list(dict.fromkeys(name for name in people if name)),
        "files": PREP_LABELS.items(),
        "may_tick": request.user.has_perm("equipment.add_useentry"),
    }
    return render(request, "desk/prep.html", context)


@require_POST
@permission_required("equipment.add_useentry", raise_exception=True)
def prep_mark(request: HttpRequest, pk: int) -> HttpResponse:
    """Set or take back one tick: `set` is what, the state wanted, and the line, so that sending
    the same twice is harmless."""
    file, plan = _planned_or_404(pk)
    what, _, rest = request.POST.get("set", "").partition(" ")
    wanted, _, item = rest.partition(" ")
    if what not in {"done", "back"} or wanted not in {"yes", "no"}:
        messages.error(request, "That tick could not be read: press it again.")
        return redirect("prep", pk)
    found = trip_prep(file)
    section = next((one for one in found.day.sections if _has(one.items, item)), None)
    if section is None:
        messages.error(request, "That line is no longer on the lists of this day.")
        return redirect("prep", pk)
    state = wanted == "yes"
    if what == "done":
        mark_prep(plan=plan, item=item, done=state, by=request.user)
    else:
        mark_prep(plan=plan, item=item, back=state, by=request.user)
    return HttpResponseRedirect(f"{reverse('prep', args=[pk])}#{section.name}")


def _has(items: tuple[object, ...], key: str) -> bool:
    return any(getattr(item, "key", None) == key for item in items)


@require_POST
@permission_required("equipment.add_useentry", raise_exception=True)
def prep_who(request: HttpRequest, pk: int) -> HttpResponse:
    """Who takes what, written together."""
    file, plan = _planned_or_404(pk)
    found = trip_prep(file)
    keys = {item.key for section in found.day.sections for item in section.items}
    who = {
        name.removeprefix("who "): str(value)
        for name, value in request.POST.items()
        if name.startswith("who ") and name.removeprefix("who ") in keys
    }
    try:
        assign_prep(plan=plan, who=who)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, "Saved who takes what.")
    return HttpResponseRedirect(f"{reverse('prep', args=[pk])}#load")


@require_safe
@permission_required("days.view_dayplan", raise_exception=True)
def prep_paper(request: HttpRequest, pk: int, sheet: str) -> HttpResponse:
    """One paper or table of the prep as a file; `?paper=Letter` for the other page size."""
    if sheet not in PREP_LABELS:
        raise Http404("There is no such paper.")
    file, _plan = _planned_or_404(pk)
    size = request.GET.get("paper", "")
    content = prep_file(
        sheet,
        _prepared(file),
        printed_at=timezone.now().replace(second=0, microsecond=0),
        page_size=size if size in {"A4", "Letter"} else "",
    )
    response = HttpResponse(content, content_type=CONTENT_TYPES[sheet.rsplit(".", 1)[-1]])
    response["Content-Disposition"] = f'attachment; filename="{file.day:%Y-%m-%d}-{sheet}"'
    response["Cache-Control"] = "private, no-store"
    return response


def _prepared(file: TripFile) -> TripPrep:
    return trip_prep(file, at=timezone.now())
