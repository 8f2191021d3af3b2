"""What hangs on a spot: closures, photographs, files of waypoints; and the guide's days away."""

from __future__ import annotations

import datetime

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from guiding.days.actions.closures import remove_away, remove_closure, save_away, save_closure
from guiding.days.actions.photos import add_photo, take_off_photo
from guiding.days.actions.spots import move_spots
from guiding.days.forms.places import AwayForm, ClosureForm, GpxForm, PhotoForm
from guiding.days.models import Away, Closure, Spot, SpotPhoto
from guiding.days.rules.gpx import GpxReading, read_gpx
from guiding.days.sheets.places import FoundPlace, found_places, spots_gpx
from guiding.days.views.form_page import carried_out, form_page, typed

_GPX = "application/gpx+xml"


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_closure", raise_exception=True)
def closure_new(request: HttpRequest, pk: int) -> HttpResponse:
    spot = get_object_or_404(Spot, pk=pk)
    form = ClosureForm(typed(request))
    if request.method == "POST" and carried_out(
        form, lambda: save_closure(spot=spot, **form.cleaned_data)
    ):
        messages.success(request, f"{spot} is shut on these dates.")
        return redirect("spot", pk)
    return form_page(request, form, f"{spot} shut")


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_closure", raise_exception=True)
def closure(request: HttpRequest, pk: int) -> HttpResponse:
    known = get_object_or_404(Closure.objects.select_related("spot"), pk=pk)
    form = ClosureForm(typed(request), instance=known)
    if request.method == "POST" and carried_out(
        form, lambda: save_closure(closure=known, **form.cleaned_data)
    ):
        messages.success(request, "Dates saved.")
        return redirect("spot", known.spot_id)
    return form_page(request, form, f"{known.spot} shut")


@require_POST
@permission_required("days.delete_closure", raise_exception=True)
def closure_remove(request: HttpRequest, pk: int) -> HttpResponse:
    known = get_object_or_404(Closure, pk=pk)
    spot_pk = known.spot_id
    remove_closure(closure=known)
    messages.success(request, "The spot is open on these dates again.")
    return redirect("spot", spot_pk)


@require_safe
@permission_required("days.view_away", raise_exception=True)
def away_list(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    rows = Away.objects.filter(last_day__gte=today)
    return render(request, "days/away_list.html", {"title": "Days away", "rows": rows})


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_away", raise_exception=True)
def away(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    known = get_object_or_404(Away, pk=pk) if pk else None
    form = AwayForm(typed(request), instance=known)
    if request.method == "POST" and carried_out(
        form, lambda: save_away(away=known, **form.cleaned_data)
    ):
        messages.success(request, "Days saved. Nothing is offered on them.")
        return redirect("away_list")
    return form_page(request, form, "Days away")


@require_POST
@permission_required("days.delete_away", raise_exception=True)
def away_remove(request: HttpRequest, pk: int) -> HttpResponse:
    remove_away(away=get_object_or_404(Away, pk=pk))
    messages.success(request, "You are there on these days after all.")
    return redirect("away_list")


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.add_spotphoto", raise_exception=True)
def photo_new(request: HttpRequest, pk: int) -> HttpResponse:
    spot = get_object_or_404(Spot, pk=pk)
    form = PhotoForm(typed(request), request.FILES or None)

    def keep() -> None:
        sent = form.cleaned_data["file"]
        title = form.cleaned_data["title"]
        add_photo(spot=spot, file=sent, size=sent.size, title=title, by=request.user)

    if request.method == "POST" and carried_out(form, keep):
        messages.success(request, "The picture is kept, without where and when it was taken.")
        return redirect("spot", pk)
    return form_page(request, form, f"A photograph of {spot}")


@require_safe
@permission_required("days.view_spotphoto", raise_exception=True)
def photo(request: HttpRequest, pk: int) -> FileResponse:
    """The picture; its content was drawn by us, so it may be shown in its place."""
    row = get_object_or_404(SpotPhoto, pk=pk, taken_off_at=None)
    try:
        stream = row.file.open("rb")
    except OSError:
        raise Http404("The file is not in its place.") from None
    name = f"{slugify(row.title) or 'spot'}.jpg"
    response = FileResponse(stream, filename=name, content_type="image/jpeg")
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, max-age=3600"
    return response


@require_POST
@permission_required("days.change_spotphoto", raise_exception=True)
def photo_off(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(SpotPhoto, pk=pk)
    take_off_photo(photo=row)
    messages.success(request, "The picture is taken off the page.")
    return redirect("spot", row.spot_id)


@require_safe
@permission_required("days.view_spot", raise_exception=True)
def gpx(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """All spots or one as GPX, for a phone or a plotter."""
    rows = list(Spot.objects.filter(pk=pk) if pk else Spot.objects.all())
    if pk and not rows:
        raise Http404("There is no such spot.")
    title = rows[0].name if pk else "Spots"
    text = spots_gpx(rows, title=title, at=timezone.now().astimezone(datetime.UTC))
    response = HttpResponse(text, content_type=_GPX)
    name = f"{slugify(title) or 'spot'}.gpx"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_spot", raise_exception=True)
def gpx_import(request: HttpRequest) -> HttpResponse:
    """Look at the waypoints of a file, then move the spots that were ticked."""
    if request.method == "POST" and "gpx" in request.POST:
        return _move(request)
    form = GpxForm(typed(request), request.FILES or None)
    if request.method == "POST" and form.is_valid():
        reading = read_gpx(form.cleaned_data["file"])
        if not reading.problems:
            return _found(request, form.cleaned_data["file"], reading)
        for problem in reading.problems[:20]:
            form.add_error("file", str(problem))
    return form_page(request, form, "Spots from a GPX file")


def _found(request: HttpRequest, text: str, reading: GpxReading) -> HttpResponse:
    rows = found_places(reading, list(Spot.objects.all()))
    context = {"title": "Spots from a GPX file", "rows": rows, "gpx": text}
    return render(request, "days/gpx_import.html", context)


def _move(request: HttpRequest) -> HttpResponse:
    reading = read_gpx(request.POST["gpx"])
    rows: tuple[FoundPlace, ...] = found_places(reading, list(Spot.objects.all()))
    ticked = set(request.POST.getlist("move"))
    chosen = [(row.spot, row.point) for row in rows if row.spot and str(row.number) in ticked]
    if not chosen:
        messages.error(request, "Tick the spots to move, or begin a new one from a waypoint.")
        return _found(request, request.POST["gpx"], reading)
    try:
        count = move_spots(places=chosen)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("gpx_import")
    messages.success(request, f"{count} spots moved." if count > 1 else f"{chosen[0][0]} moved.")
    return redirect("spot_list")
