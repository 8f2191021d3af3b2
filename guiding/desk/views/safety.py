"""Safety: what the next days ask for, and a trip's assessment, briefing and watch."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bookings.models import Business
from bookings.queries.trips import next_trips
from bookings.views.form_page import form_page, typed
from guiding.days.queries.plans import spots
from guiding.days.sheets.day import cast_only_reason
from guiding.desk.sheets.briefing import talk
from guiding.desk.sheets.gather import TripFile, gather
from guiding.desk.sheets.risks import assessment
from guiding.desk.sheets.safety import gaps_by_paper, papers_ahead, papers_of
from guiding.safety.actions import watch as watch_actions
from guiding.safety.actions.assessment import (
    choose_hazard,
    save_day_marks,
    sign_assessment,
    tick_heard,
)
from guiding.safety.forms import ChoiceForm, DayMarksForm, SignForm, StandDownForm, WatchForm
from guiding.safety.models import Heard, Watch
from guiding.safety.queries.facts import marks_of, usual_marks
from guiding.safety.queries.incidents import open_follow_ups
from guiding.safety.queries.watch import contact_ashore, running_watch, unwatched, waiting
from guiding.safety.rules.matrix import CONSEQUENCES, LIKELIHOODS, risk_bands
from guiding.safety.sheets.watch import NO_RESCUE
from guiding.safety.views.shape import carried_out, lead_on, turned_down

_FORM = ("GET", "HEAD", "POST")


def planned_or_404(pk: int) -> TripFile:
    """The file of a trip that has a plan."""
    file = gather(pk, business=Business.objects.get())
    if file is None or file.plan is None:
        raise Http404("There is no such trip, or it has no plan yet.")
    return file


@require_safe
@permission_required("safety.view_hazard", raise_exception=True)
def safety(request: HttpRequest) -> HttpResponse:
    """The hazards of the next trip, papers, watches, what is to be done, where bait may fly."""
    now, today = timezone.now(), timezone.localdate()
    business = Business.objects.get()
    soonest = next_trips(at=now).filter(plan__isnull=False).first()
    file = gather(soonest.pk, business=business) if soonest else None
    context = {
        "title": "Safety",
        "file": file,
        "found": assessment(file) if file else None,
        "gaps": gaps_by_paper(papers_ahead(at=now, business=business)),
        "unwatched": unwatched(at=now),
        "waiting": waiting(),
        "todo": open_follow_ups(),
        "today": today,
        "places": [(spot, cast_only_reason(spot, today)) for spot in spots()],
    }
    return render(request, "desk/safety.html", context)


@require_safe
@permission_required("safety.view_signedassessment", raise_exception=True)
def trip_safety(request: HttpRequest, pk: int) -> HttpResponse:
    """The assessment of a trip: every hazard with its number and both scores."""
    file = planned_or_404(pk)
    return _assessment_page(request, file, ChoiceForm(), SignForm(), status=200)


def _assessment_page(
    request: HttpRequest, file: TripFile, choice: ChoiceForm, sign: SignForm, *, status: int
) -> HttpResponse:
    levels = range(5, 0, -1)
    bands = risk_bands()
    matrix = [
        (level, LIKELIHOODS[level - 1], [(level * c, bands[level - 1][c - 1]) for c in range(1, 6)])
        for level in levels
    ]
    context = {
        "title": f"Assessment of {file.trip.offer}",
        "file": file,
        "trip": file.trip,
        "found": assessment(file),
        "papers": papers_of(file).gaps,
        "choice_form": choice,
        "sign_form": sign,
        "matrix": matrix,
        "consequences": list(enumerate(CONSEQUENCES, 1)),
        "watch": Watch.objects.filter(trip=file.trip).first(),
        "heard": Heard.objects.filter(trip=file.trip).count(),
    }
    return render(request, "desk/safety_trip.html", context, status=status)


@require_POST
@permission_required("safety.change_hazardchoice", raise_exception=True)
def trip_choice(request: HttpRequest, pk: int) -> HttpResponse:
    file, form = planned_or_404(pk), ChoiceForm(request.POST)

    def choose() -> object:
        return choose_hazard(trip=file.trip, by=request.user, **form.cleaned_data)

    if carried_out(form, choose):
        return lead_on(request, "The list is changed; sign it anew.", "trip_safety", pk)
    return _assessment_page(request, file, form, SignForm(), status=422)


@sensitive_post_parameters()
@require_POST
@permission_required("safety.change_signedassessment", raise_exception=True)
def trip_sign(request: HttpRequest, pk: int) -> HttpResponse:
    file, form = planned_or_404(pk), SignForm(request.POST)
    found = assessment(file)

    def sign() -> object:
        return sign_assessment(
            trip=file.trip, assessment=found, by=request.user, **form.cleaned_data
        )

    if carried_out(form, sign):
        return lead_on(request, "Signed as it stands.", "trip_safety", pk)
    return _assessment_page(request, file, ChoiceForm(), form, status=422)


@sensitive_post_parameters()
@require_http_methods(_FORM)
@permission_required("safety.change_daymarks", raise_exception=True)
def trip_marks(request: HttpRequest, pk: int) -> HttpResponse:
    """What the guide knows of the day and no other table holds."""
    file = planned_or_404(pk)
    marks = marks_of(file.trip)
    usual = usual_marks(file.trip) if marks.pk is None else None
    form = DayMarksForm(typed(request), instance=marks, initial=usual)
    if carried_out(form, lambda: save_day_marks(trip=file.trip, **form.cleaned_data)):
        return lead_on(request, "Saved.", "trip_safety", pk)
    return form_page(request, form, f"This day: {file.trip.offer}", "desk/form.html")


@require_safe
@permission_required("safety.view_heard", raise_exception=True)
def trip_briefing(request: HttpRequest, pk: int) -> HttpResponse:
    """The briefing to read aloud, with a tick for everyone who heard it."""
    file = planned_or_404(pk)
    heard = dict(Heard.objects.filter(trip=file.trip).values_list("person", "at"))
    said = talk(file)
    context = {
        "title": "Briefing",
        "file": file,
        "trip": file.trip,
        "said": said,
        "people": [(person, heard.get(person.pk)) for person in file.people],
        "all_heard": all(person.pk in heard for person in file.people),
        "minutes": said.minutes,
    }
    return render(request, "desk/safety_briefing.html", context)


@require_POST
@permission_required("safety.add_heard", raise_exception=True)
def trip_heard(request: HttpRequest, pk: int) -> HttpResponse:
    """Ticks, from the phone or copied from paper; a form that comes twice counts once."""
    file = planned_or_404(pk)
    ticked = set(request.POST.getlist("person"))
    people = [person for person in file.people if str(person.pk) in ticked]
    if len(people) < len(ticked):
        error = ValidationError("Somebody on that list does not come along. Look again.")
        return turned_down(request, error, "trip_briefing", pk)
    new = tick_heard(
        trip=file.trip, people=people, on_paper="on_paper" in request.POST, by=request.user
    )
    return lead_on(request, f"{new} ticked.", "trip_briefing", pk)


@require_safe
@permission_required("safety.view_heard", raise_exception=True)
def trip_child(request: HttpRequest, pk: int) -> HttpResponse:
    """The children's own page."""
    file = planned_or_404(pk)
    said = talk(file)
    context = {"title": "For you", "file": file, "trip": file.trip, "said": said}
    return render(request, "desk/safety_child.html", context)


@sensitive_post_parameters()
@require_http_methods(_FORM)
@permission_required("safety.change_watch", raise_exception=True)
def trip_watch(request: HttpRequest, pk: int) -> HttpResponse:
    """Set the watch over a trip and see what was told."""
    file = planned_or_404(pk)
    known = Watch.objects.filter(trip=file.trip).prefetch_related("messages").first()
    form = WatchForm(typed(request), initial=_proposed(file, known))
    if carried_out(form, lambda: watch_actions.set_watch(trip=file.trip, **form.cleaned_data)):
        return lead_on(request, "The watch is set.", "trip_watch", pk)
    return form_page(
        request,
        form,
        f"Watch over {file.trip.offer}",
        "desk/safety_watch.html",
        trip=file.trip,
        watch=known,
        stand_down_form=StandDownForm(auto_id="down-%s"),
        no_rescue=NO_RESCUE,
        running=running_watch(file.trip, at=timezone.now()),
    )


def _proposed(file: TripFile, known: Watch | None) -> dict[str, Any]:
    due = known.overdue_at if known else file.plan.overdue_at if file.plan else None
    business = file.business
    contact = contact_ashore(business) or {
        "contact_name": business.shore_contact_name,
        "contact_phone": business.shore_contact_phone,
    }
    if known:
        names = ("contact_name", "contact_mail", "contact_phone")
        contact = {name: getattr(known, name) for name in names}
    return {"overdue_at": timezone.localtime(due) if due else None, **contact}


@require_POST
@permission_required("safety.add_watch", raise_exception=True)
def trip_home(request: HttpRequest, pk: int) -> HttpResponse:
    """Everybody is home."""
    watch = Watch.objects.filter(trip=pk).first()
    if watch is None:
        raise Http404("Nobody watches over this trip.")
    watch_actions.record_home(watch=watch, by=request.user)
    return lead_on(request, "Home. Nobody is told that you are overdue.", "trip", pk)


@require_POST
@permission_required("safety.change_watch", raise_exception=True)
def trip_stand_down(request: HttpRequest, pk: int) -> HttpResponse:
    watch = Watch.objects.filter(trip=pk).first()
    if watch is None:
        raise Http404("Nobody watches over this trip.")
    try:
        watch_actions.stand_down(watch=watch, reason=request.POST.get("reason", ""))
    except ValidationError as refusal:
        return turned_down(request, refusal, "trip_watch", pk)
    return lead_on(request, "Nobody waits for this trip now.", "trip_watch", pk)
