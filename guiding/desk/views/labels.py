"""Labels for gear: which ones to print, and the sheet itself."""

from __future__ import annotations

from urllib.parse import urlsplit

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from bookings.models import Business
from equipment.queries.export import LabelFacts, label_facts
from guiding.desk.forms import LabelsForm
from guiding.desk.sheets.labels import gear_labels


@require_safe
@permission_required("equipment.view_thing", raise_exception=True)
def labels(request: HttpRequest) -> HttpResponse:
    """Tick what wants a label."""
    return _choose(request, LabelsForm())


@require_safe
@permission_required("equipment.view_thing", raise_exception=True)
def labels_file(request: HttpRequest) -> HttpResponse:
    """The sheets as a file, for the ticked things or for all."""
    form = LabelsForm(request.GET)
    if not form.is_valid():
        return _choose(request, form)
    asked = form.cleaned_data
    now = timezone.now()
    try:
        content, _count = gear_labels(
            business=Business.objects.get(),
            on=timezone.localdate(now),
            printed_at=now.replace(second=0, microsecond=0),
            things=asked["thing"] or None,
            start=asked["start"] or 0,
            page_size=asked["paper"],
        )
    except ValueError as refusal:
        messages.error(request, str(refusal))
        return redirect("labels")
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = 'attachment; filename="gear-labels.pdf"'
    response["Cache-Control"] = "private, no-store"
    return response


def _choose(request: HttpRequest, form: LabelsForm) -> HttpResponse:
    groups: dict[str, list[LabelFacts]] = {}
    facts = label_facts(on=timezone.localdate())
    for one in facts:
        groups.setdefault(one.kind, []).append(one)
    here = urlsplit(settings.PUBLIC_URL).hostname
    context = {
        "title": "Labels",
        "form": form,
        "groups": groups.items(),
        "count": len(facts),
        "ticked": set(request.GET.getlist("thing")) if form.is_bound else set(),
        "address": settings.PUBLIC_URL,
        "only_here": here in {"127.0.0.1", "localhost"},
    }
    status = 422 if form.is_bound else 200
    return render(request, "desk/labels.html", context, status=status)
