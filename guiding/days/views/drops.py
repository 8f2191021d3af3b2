"""Flying bait out: permissions, the log of drops, and what a craft's log teaches."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from equipment.models import Craft
from equipment.queries.once import told_twice
from guiding.days.actions.flights import NewDrop, record_drop, reverse_drop
from guiding.days.actions.permits import restore_permit, save_permit, withdraw_permit
from guiding.days.forms.drops import DropForm, PermitForm, TakeOutForm, WithdrawForm
from guiding.days.models import Drop, DropPermit
from guiding.days.queries.drops import permits
from guiding.days.queries.flights import drop_log, drops_by_craft, last_of_pack, logged_drops
from guiding.days.queries.flying import flying_defaults
from guiding.days.queries.plans import spots
from guiding.days.sheets.day import cast_only_reason
from guiding.days.sheets.learning import craft_lesson
from guiding.days.views.form_page import carried_out, form_page, typed

_PAGE = 50


@require_safe
@permission_required("days.view_droppermit", raise_exception=True)
def permit_list(request: HttpRequest) -> HttpResponse:
    """Every permission, and what they come to at each spot today."""
    today = timezone.localdate()
    context = {
        "title": "Permissions to drop",
        "today": today,
        "permits": permits(),
        "places": [(spot, cast_only_reason(spot, today)) for spot in spots()],
    }
    return render(request, "days/permit_list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_droppermit", raise_exception=True)
def permit_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    known = get_object_or_404(DropPermit, pk=pk) if pk else None
    sent = request.FILES if request.method == "POST" else None
    form = PermitForm(typed(request), sent, instance=known)
    if carried_out(form, lambda: save_permit(permit=known, **form.cleaned_data)):
        messages.success(request, "Permission saved.")
        return redirect("permit_list")
    title = f"Permission {known.number}" if known else "New permission to drop"
    return form_page(request, form, title)


@require_safe
@permission_required("days.change_droppermit", raise_exception=True)
def permit_file(request: HttpRequest, pk: int) -> FileResponse:
    """The scan of a permission, to keep: never shown in the page."""
    permit = get_object_or_404(DropPermit, pk=pk)
    if not permit.file:
        raise Http404("No scan is kept with this permission.")
    kept = f"permission-{pk}.{str(permit.file)[-3:]}"
    answer = FileResponse(permit.file.open("rb"), as_attachment=True, filename=kept)
    answer["Cache-Control"] = "private, no-store"
    answer["X-Content-Type-Options"] = "nosniff"
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_droppermit", raise_exception=True)
def permit_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    permit = get_object_or_404(DropPermit, pk=pk)
    form = WithdrawForm(typed(request), initial={"on": timezone.localdate()})
    if carried_out(form, lambda: withdraw_permit(permit=permit, **form.cleaned_data)):
        messages.success(request, f"{permit} is withdrawn. Days after that are cast only.")
        return redirect("permit_list")
    return form_page(request, form, f"Withdraw {permit}")


@require_POST
@permission_required("days.change_droppermit", raise_exception=True)
def permit_restore(request: HttpRequest, pk: int) -> HttpResponse:
    permit = restore_permit(permit=get_object_or_404(DropPermit, pk=pk))
    messages.success(request, f"{permit} is in force again.")
    return redirect("permit_list")


@require_safe
@permission_required("days.view_drop", raise_exception=True)
def drop_list(request: HttpRequest) -> HttpResponse:
    """The log, newest first; `?craft=` shows one craft's."""
    asked = request.GET.get("craft", "")
    craft = Craft.objects.filter(pk=int(asked[:9])).first() if asked.isdecimal() else None
    number = request.GET.get("page", "1")
    page = max(int(number[:6]), 1) if number.isdecimal() else 1
    rows = drop_log(craft=craft.pk if craft else None)
    by_craft = drops_by_craft()
    start = (page - 1) * _PAGE
    found = list(rows[start : start + _PAGE + 1])
    context = {
        "title": "Drops flown",
        "craft": craft,
        "by_craft": by_craft,
        "count": sum(one.drops for one in by_craft if craft is None or one.craft_id == craft.pk),
        "rows": found[:_PAGE],
        "page": {
            "number": page,
            "has_previous": page > 1,
            "has_next": len(found) > _PAGE,
            "previous_page_number": page - 1,
            "next_page_number": page + 1,
        },
    }
    return render(request, "days/drop_list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("equipment.add_useentry", raise_exception=True)
def drop_new(request: HttpRequest) -> HttpResponse:
    """Log one drop; the last one of the craft fills the boxes in."""
    form = DropForm(typed(request), initial=_like_the_last(request))
    if carried_out(form, lambda: _log(request, form)):
        messages.success(request, f"Logged, with its wear on craft and pack.{_once(form)}")
        if "again" in request.POST:
            return redirect("drop_new")
        return redirect("drop_list")
    return form_page(request, form, "Log a drop")


def _log(request: HttpRequest, form: DropForm) -> Drop:
    return record_drop(drop=NewDrop(**form.cleaned_data), by=request.user)


def _once(form: DropForm) -> str:
    """What to tell where that whole day was logged as well."""
    told = form.cleaned_data
    things = {told[name].pk for name in ("craft", "pack", "clip", "reel") if told.get(name)}
    twice = told_twice(things, on=timezone.localdate(told["at"]))
    if not twice:
        return ""
    return f" That whole day is logged for {', '.join(twice)} as well: counted once."


def _like_the_last(request: HttpRequest) -> dict[str, object]:
    """What is likely the same as on the drop before: the gear, the flight, the pack's gauge."""
    last = Drop.objects.filter(reverses=None, reversed_by=None).order_by("-entered_at").first()
    shown: dict[str, object] = {"at": timezone.localtime()}
    if last is None:
        return shown | {"from_percent": 100, "new_charge": True}
    same = ("plan", "craft", "pack", "clip", "reel", "rig")
    shown |= {name: getattr(last, f"{name}_id") for name in same}
    figures = ("distance_m", "height_m", "wind_ms", "wind_off_path_deg", "payload_g", "line_mm")
    shown |= {name: getattr(last, name) for name in figures}
    newest = last_of_pack(pack=last.pack_id)
    return shown | {"from_percent": newest.to_percent if newest else 100}


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("equipment.add_useentry", raise_exception=True)
def drop_take_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask once why an entry is wrong, and take it out by another one."""
    drop = get_object_or_404(Drop.objects.select_related("craft", "pack"), pk=pk)
    form = TakeOutForm(typed(request))
    if carried_out(form, lambda: reverse_drop(drop=drop, by=request.user, **form.cleaned_data)):
        messages.success(request, "Taken out of the log; both entries stay readable.")
        return redirect("drop_list")
    return form_page(request, form, f"Take out: {drop}", "days/drop_take_out.html", drop=drop)


@require_safe
@permission_required("days.view_drop", raise_exception=True)
def craft_drops(request: HttpRequest, pk: int) -> HttpResponse:
    """What a craft's log teaches: percent per drop by distance and wind, the model's own error."""
    craft = get_object_or_404(Craft, pk=pk)
    try:
        defaults = flying_defaults()
        log = logged_drops(craft=craft.pk, newest=defaults.learn_newest_drops)
        lesson = craft_lesson(craft=craft, log=log, defaults=defaults)
    except (ValueError, ValidationError) as refusal:
        lesson, why = None, str(refusal)
    else:
        why = ""
    context = {"title": f"What {craft} uses", "craft": craft, "lesson": lesson, "why": why}
    return render(request, "days/craft_drops.html", context)
