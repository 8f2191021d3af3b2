"""Tides: where they come from, how far they reach, and what is loaded from files."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from guiding.almanac.tide import Turn, TurnKind, turns_lines
from guiding.days.actions.tides import TideLoad, import_constants, import_turns, save_tide
from guiding.days.forms import TideSourceForm
from guiding.days.forms.tides import ConstantsForm, TideTableForm
from guiding.days.models import TideSource
from guiding.days.queries.tides import tide_reaches
from guiding.days.views.form_page import carried_out, form_page, typed


@require_safe
@permission_required("days.view_tidesource", raise_exception=True)
def tide_list(request: HttpRequest) -> HttpResponse:
    reaches = tide_reaches(on=timezone.localdate(), zone=timezone.get_current_timezone())
    return render(request, "days/tide_list.html", {"title": "Tides", "reaches": reaches})


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_tidesource", raise_exception=True)
def tide_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    known = get_object_or_404(TideSource, pk=pk) if pk else None
    form = TideSourceForm(typed(request), instance=known, initial=_typed(known))
    saved: list[TideSource] = []

    def save() -> None:
        # A table that came from a file is not in the form, and stays.
        rows = {"table": None} if "table" not in form.fields else {}
        saved.append(save_tide(tide=known, **form.cleaned_data | rows))

    if request.method == "POST" and carried_out(form, save):
        messages.success(request, f"Tide of {saved[0]} saved.")
        return redirect("tide_list")
    title = f"Tide of {known}" if known else "New tide"
    imports = known.imports.select_related("loaded_by")[:10] if known else []
    return form_page(request, form, title, "days/tide_form.html", tide=known, imports=imports)


def _typed(known: TideSource | None) -> dict[str, str]:
    """The rows of a source as the lines they were typed in."""
    if known is None:
        return {}
    constants = [f"{c.name} {c.amplitude_m:g} {c.phase_deg:g}" for c in known.constants.all()]
    turns = [
        Turn(row.at, row.height_m, TurnKind.HIGH if row.high else TurnKind.LOW)
        for row in known.turns.all()
    ]
    clock = known.clock or ("UTC" if turns else "")  # older rows were typed in UTC
    return {
        "constants": "\n".join(constants),
        "table": turns_lines(turns, clock or "UTC"),
        "clock": clock,
    }


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_tidesource", raise_exception=True)
def tide_table(request: HttpRequest, pk: int) -> HttpResponse:
    """Read an official table into a source: look first, load then."""
    tide = get_object_or_404(TideSource.objects.select_related("reference"), pk=pk)
    form = TideTableForm(
        typed(request),
        request.FILES or None,
        initial={"table_source": tide.table_source, "zone": tide.clock},
    )
    look = "look" in request.POST
    done: list[TideLoad] = []

    def load() -> None:
        reading = form.reading()
        done.append(import_turns(tide=tide, dry_run=look, by=request.user, **reading))

    if request.method == "POST" and carried_out(form, load):
        if not look:
            messages.success(request, f"{done[0].rows} highs and lows of {tide} loaded.")
            return redirect("tide_list")
        # What was looked at stands in the box of rows, so that it need not be chosen again.
        seen = request.POST.copy()
        seen["text"] = form.cleaned_data["text"]
        context = {"form": TideTableForm(seen), "load": done[0]}
        title = f"Table of {tide}"
        return render(request, "days/tide_table.html", {"title": title, "tide": tide, **context})
    return form_page(request, form, f"Table of {tide}", "days/tide_table.html", tide=tide)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_tidesource", raise_exception=True)
def tide_constants(request: HttpRequest) -> HttpResponse:
    """Read a station's harmonic constants from two files."""
    form = ConstantsForm(typed(request), request.FILES or None)
    done: list[TideLoad] = []

    def load() -> None:
        found = form.cleaned_data
        known = TideSource.objects.filter(station=found["station_id"]).first()
        done.append(
            import_constants(
                constants=found["constants_text"],
                stations=found["stations_text"],
                station_id=found["station_id"],
                tide=known,
                file_name=found["constants"].name,
                by=request.user,
            )
        )

    if request.method == "POST" and carried_out(form, load):
        messages.success(request, f"{done[0].rows} constants of {done[0].source} loaded.")
        return redirect("tide_list")
    return form_page(request, form, "Tide from harmonic constants")
