"""Incidents and near misses."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bookings.models import Business
from bookings.views.form_page import form_page, typed
from bookings.views.records import download
from guiding.papers.incident_report import incident_report_pdf
from guiding.safety.actions import incidents as acts
from guiding.safety.forms import (
    DetailForm,
    DoneForm,
    FollowUpForm,
    IncidentForm,
    WitnessForm,
)
from guiding.safety.models import FollowUp, Incident
from guiding.safety.queries.incidents import incidents, open_follow_ups, past_keeping
from guiding.safety.sheets.incident import condition_facts, incident_report
from guiding.safety.views.shape import carried_out, lead_on, turned_down

_FORM = ("GET", "HEAD", "POST")


@require_safe
@permission_required("safety.change_incident", raise_exception=True)
def incident_list(request: HttpRequest) -> HttpResponse:
    page = Paginator(incidents(), 25).get_page(request.GET.get("page"))
    return render(
        request,
        "safety/incident_list.html",
        {
            "title": "Incidents and near misses",
            "page": page,
            "todo": open_follow_ups(),
            "today": timezone.localdate(),
            "past": past_keeping(on=timezone.localdate()).count(),
        },
    )


@require_POST
@permission_required("safety.delete_incident", raise_exception=True)
def incident_erase(request: HttpRequest) -> HttpResponse:
    """Erase what has been kept for its time."""
    gone = acts.erase_past_keeping(on=timezone.localdate())
    return lead_on(request, f"{gone} erased.", "incident_list")


@sensitive_post_parameters()
@require_http_methods(_FORM)
@permission_required("safety.add_incident", raise_exception=True)
def incident_new(request: HttpRequest) -> HttpResponse:
    """The quick entry; `?trip=` puts it on a trip."""
    asked = request.GET.get("trip", "")
    now = timezone.localtime().replace(second=0, microsecond=0)
    initial = {"happened_at": now} | ({"trip": asked} if asked.isdecimal() else {})
    form = IncidentForm(typed(request), initial=initial)
    kept: list[Incident] = []
    if carried_out(form, lambda: kept.append(_enter(request, form))):
        if request.user.has_perm("safety.change_incident"):
            return lead_on(request, "Entered. Fill in the rest in peace.", "incident", kept[0].pk)
        return lead_on(request, "Entered. The guide sees it.", "incident_new")
    return form_page(request, form, "What happened?", "safety/form.html")


def _enter(request: HttpRequest, form: IncidentForm) -> Incident:
    business = Business.objects.get()
    return acts.enter_incident(business=business, by=request.user, **form.cleaned_data)


@sensitive_post_parameters()
@require_http_methods(_FORM)
@permission_required("safety.change_incident", raise_exception=True)
def incident(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Incident.objects.select_related("spot", "trip__offer"), pk=pk)
    business = Business.objects.get()
    form = DetailForm(typed(request), instance=row)
    fresh = get_object_or_404(Incident, pk=pk)
    if carried_out(
        form,
        lambda: acts.detail_incident(
            incident=fresh, business=business, by=request.user, **form.cleaned_data
        ),
    ):
        return lead_on(request, "Saved.", "incident", pk)
    return form_page(
        request,
        form,
        f"{row.get_kind_display().capitalize()}: {row.what[:60]}",
        "safety/incident.html",
        incident=row,
        frozen=condition_facts(row, business),
        entries=list(row.entries.all()),
        follow_ups=list(row.follow_ups.all()),
        witnesses=list(row.witnesses.all()),
        witness_form=WitnessForm(auto_id="witness-%s"),
        follow_up_form=FollowUpForm(auto_id="todo-%s"),
        today=timezone.localdate(),
    )


@require_safe
@permission_required("safety.change_incident", raise_exception=True)
def incident_paper(request: HttpRequest, pk: int) -> HttpResponse:
    """The report as a file."""
    row = get_object_or_404(incidents(), pk=pk)
    report = incident_report(
        row,
        business=Business.objects.get(),
        printed_at=timezone.now().replace(second=0, microsecond=0),
    )
    name = f"{timezone.localdate(row.happened_at):%Y-%m-%d}-incident-{row.pk}.pdf"
    return download(incident_report_pdf(report), name, "application/pdf")


@sensitive_post_parameters()
@require_POST
@permission_required("safety.change_incident", raise_exception=True)
def incident_witness(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Incident, pk=pk)
    form = WitnessForm(request.POST)
    if carried_out(
        form, lambda: acts.add_witness(incident=row, by=request.user, **form.cleaned_data)
    ):
        return lead_on(request, "Witness added.", "incident", pk)
    return form_page(request, form, "A witness", "safety/form.html")


@sensitive_post_parameters()
@require_POST
@permission_required("safety.change_incident", raise_exception=True)
def incident_follow_up(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Incident, pk=pk)
    form = FollowUpForm(request.POST)
    if carried_out(
        form, lambda: acts.add_follow_up(incident=row, by=request.user, **form.cleaned_data)
    ):
        return lead_on(request, "Added.", "incident", pk)
    return form_page(request, form, "Something to be done", "safety/form.html")


@require_POST
@permission_required("safety.change_followup", raise_exception=True)
def follow_up_done(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(FollowUp, pk=pk)
    form = DoneForm(request.POST)
    note = form.cleaned_data["note"] if form.is_valid() else ""
    try:
        acts.finish_follow_up(follow_up=row, on=timezone.localdate(), note=note, by=request.user)
    except ValidationError as refusal:
        return turned_down(request, refusal, "incident", row.incident_id)
    return lead_on(request, "Done.", "incident", row.incident_id)


@sensitive_post_parameters()
@require_POST
@permission_required("safety.change_incident", raise_exception=True)
def incident_close(request: HttpRequest, pk: int, step: str) -> HttpResponse:
    row = get_object_or_404(Incident, pk=pk)
    try:
        if step == "close":
            acts.close_incident(incident=row, by=request.user)
        else:
            acts.reopen_incident(incident=row, by=request.user)
    except ValidationError as refusal:
        return turned_down(request, refusal, "incident", pk)
    return lead_on(request, "Closed." if step == "close" else "Open again.", "incident", pk)
