"""A trip: planned, looked at, changed, its papers."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bookings.models import Booking, Business, Party
from bookings.queries.health import collects_signatures, guides_trip
from bookings.queries.invites import answers_counted, refused_answers
from bookings.queries.signatures import Outstanding, outstanding
from bookings.rules.states import TripState
from guiding.days.actions.plans import change_plan, plan_day, propose_day
from guiding.days.forms import PlanForm
from guiding.days.queries.catches import catches_of, standing
from guiding.days.sheets.catch_return import totals_of
from guiding.days.sheets.cost import TripCost, trip_cost
from guiding.days.sheets.cost_facts import cost_facts
from guiding.days.sheets.day import cast_only_reason, spot_day, strip_facts
from guiding.days.sheets.strips import page_strip
from guiding.days.views.form_page import refuse, typed
from guiding.desk.actions.holding import hold_with_price
from guiding.desk.actions.telling import move_and_tell
from guiding.desk.forms import CallOffForm, NewTripForm
from guiding.desk.queries.today import lacking
from guiding.desk.sheets.deciding import newest_decision
from guiding.desk.sheets.drops import plan_drawing, trip_drops
from guiding.desk.sheets.files import (
    CONTENT_TYPES,
    make_trip_file,
    papers_of_trip,
    trip_file_names,
)
from guiding.desk.sheets.gather import TripFile, gather
from guiding.desk.sheets.money import money_papers
from guiding.desk.sheets.risks import hazards
from guiding.desk.sheets.safety import confirm_refusals
from guiding.safety.queries.facts import card_gaps
from guiding.safety.queries.watch import running_watch


def _file_or_404(pk: int) -> TripFile:
    file = gather(pk, business=Business.objects.get())
    if file is None:
        raise Http404("There is no such trip.")
    return file


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.add_trip", raise_exception=True)
def trip_new(request: HttpRequest) -> HttpResponse:
    """Choose offer, spot and day; look at the hours; plan it. `?party=` books that party on it."""
    party = _party(request)
    sent = typed(request)
    asked = request.GET if "day" in request.GET else None
    form = NewTripForm(asked if sent is None else sent, initial=_wishes(party))
    context: dict[str, object] = {"title": "Plan a day", "form": form, "party": party}
    if form.is_bound and form.is_valid():
        wish = {name: form.cleaned_data[name] for name in ("offer", "spot", "day")}
        business = Business.objects.get()
        try:
            if request.method == "POST":
                return _plan(request, party, business, form)
            times, why = propose_day(business=business, **wish)
            nature = spot_day(spot=wish["spot"], day=wish["day"], zone=business.zone)
            context |= {
                "times": times,
                "why": why,
                "cast_only": cast_only_reason(wish["spot"], wish["day"]),
                "strip": page_strip(strip_facts(nature), business, open=False),
            }
        except ValidationError as refusal:
            refuse(form, refusal)
    status = 422 if request.method == "POST" else 200
    return render(request, "desk/trip_new.html", context, status=status)


def _party(request: HttpRequest) -> Party | None:
    number = request.POST.get("party") or request.GET.get("party") or ""
    if not number:
        return None
    if not number.isdigit():
        raise Http404("There is no such party.")
    return get_object_or_404(Party.objects.select_related("client", "offer"), pk=int(number))


def _wishes(party: Party | None) -> dict[str, object]:
    if party is None:
        return {}
    return {"offer": party.offer_id, "day": party.day_from}


def _plan(
    request: HttpRequest, party: Party | None, business: Business, form: NewTripForm
) -> HttpResponse:
    plan = plan_day(business=business, at=timezone.now(), **form.cleaned_data)
    messages.success(request, "The day is planned.")
    if party:
        _book(request, party, plan.trip_id, business)
        return redirect("party", party.pk)
    return redirect("trip", plan.trip_id)


def _book(request: HttpRequest, party: Party, trip_pk: int, business: Business) -> None:
    """Hold the day for the party and draft its price; a refusal is told, the day stays planned."""
    file = gather(trip_pk, business=business)
    if file is None:
        raise Http404("There is no such trip.")
    try:
        hold_with_price(party=party, trip=file.trip, cost_estimate=_estimate(file))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, "Held for the party, with a price note to send.")


def _estimate(file: TripFile) -> dict[str, object]:
    if file.plan is None:
        return {}
    cost = trip_cost(trip=file.trip, plan=file.plan, business=file.business)
    return cost_facts(cost) if isinstance(cost, TripCost) else {"why": cost}


@require_POST
@permission_required("bookings.add_booking", raise_exception=True)
def trip_book(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a party on a trip that stands already."""
    party = _party(request)
    if party is None:
        messages.error(request, "Choose a party first.")
        return redirect("trip", pk)
    _book(request, party, _file_or_404(pk).trip.pk, Business.objects.get())
    return redirect("party", party.pk)


@require_safe
@permission_required("bookings.view_trip", raise_exception=True)
def trip(request: HttpRequest, pk: int) -> HttpResponse:
    file = _file_or_404(pk)
    now = timezone.now()
    facts = file.strip(now=now if file.day == timezone.localdate() else None)
    open_parties = Party.objects.filter(state=Party.State.OPEN).select_related("client")
    stand = outstanding(file.trip, at=now)
    context: dict[str, object] = {
        "title": str(file.trip.offer),
        "file": file,
        "trip": file.trip,
        "plan": file.plan,
        "strip": page_strip(facts, file.business) if facts else None,
        "people": [(person, file.is_minor(person), stand.of(person.pk)) for person in file.people],
        "lacking": _lacking(file, stand) if file.trip.ends_at > now else [],
        "stand": stand,
        "now": now,
        "collects": collects_signatures(request.user, file.trip),
        "guides": guides_trip(request.user, file.trip),
        "call_off_form": CallOffForm(),
        "stops": confirm_refusals(file) if file.trip.status == "tentative" else [],
        "agreed": [one for one in file.bookings if one.is_fixed],
        "awaited": [one for one in file.bookings if one.awaits_deposit],
        "gear": file.gear_fit,
        "papers": _papers(request, file),
        "open_parties": open_parties.exclude(
            bookings__in=Booking.objects.filter(trip=file.trip).exclude(status="cancelled")
        ),
        "answers": answers_counted(file.trip),
        "live": file.trip.status in {"tentative", "confirmed"},
        "watch": running_watch(file.trip, at=now),
    }
    if file.plan and request.user.has_perm("days.view_costrate"):
        context["cost"] = trip_cost(trip=file.trip, plan=file.plan, business=file.business)
    if file.plan and facts:
        context |= {
            "hazards": hazards(file),
            "cast_only": facts.cast_only,
            "decision": newest_decision(file),
            "found": file.conditions,
        }
    if request.user.has_perm("bookings.view_moneyentry"):
        context["money_papers"] = money_papers(file.trip)
    if request.user.has_perm("days.view_catch"):
        context["fish"] = totals_of(standing(catches_of(file.trip)), file.business.tz)
    drops = trip_drops(file)
    if drops:
        context |= {"drops": drops, "drop_drawing": plan_drawing(file, drops)}
    return render(request, "desk/trip.html", context)


def _lacking(file: TripFile, stand: Outstanding) -> list[str]:
    refused = refused_answers([file.trip]).get(file.trip.pk, [])
    gaps = card_gaps([file.plan]) if file.plan else {}
    return [*lacking(file.trip, file.plan, stand, gaps.get(file.trip.pk, ())), *refused]


def _papers(request: HttpRequest, file: TripFile) -> list[tuple[str, str]]:
    """The papers this person may have, with what each is called."""
    if file.plan is None:
        return []
    costs = request.user.has_perm("days.view_costrate")
    return [
        (name, label)
        for name, label in papers_of_trip(file).items()
        if costs or not name.startswith("cost")
    ]


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("days.change_dayplan", raise_exception=True)
def plan_edit(request: HttpRequest, pk: int) -> HttpResponse:
    file = _file_or_404(pk)
    if file.plan is None:
        raise Http404("This trip has no plan yet.")
    form = PlanForm(typed(request), instance=file.plan)
    if request.method == "POST" and form.is_valid():
        try:
            change_plan(plan=file.plan, **form.cleaned_data)
        except ValidationError as refusal:
            refuse(form, refusal)
        else:
            messages.success(request, "Plan saved.")
            return redirect("trip", pk)
    status = 422 if request.method == "POST" else 200
    title = f"Plan of {file.trip.offer}"
    return render(request, "desk/form.html", {"title": title, "form": form}, status=status)


_STEPS = {
    "confirm": TripState.CONFIRMED,
    "call-off": TripState.CANCELLED,
    "fished": TripState.FISHED,
}


@require_POST
@permission_required("bookings.change_trip", raise_exception=True)
def trip_move(request: HttpRequest, pk: int, step: str) -> HttpResponse:
    file = _file_or_404(pk)
    short = confirm_refusals(file) if step == "confirm" else []
    if short:
        messages.error(request, f"Not confirmed. {' '.join(short)}")
        return redirect("trip", pk)
    try:
        _moved, told = move_and_tell(
            trip=file.trip,
            to=_STEPS[step],
            reason=request.POST.get("reason", ""),
            at=timezone.now(),
        )
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        mails = f" {told} {'mail is' if told == 1 else 'mails are'} on the way." if told else ""
        out = " The watch goes on until everybody is home." if _out(file) else ""
        messages.success(request, f"The trip is {_STEPS[step].value}.{mails}{out}")
    return redirect("trip", pk)


def _out(file: TripFile) -> bool:
    return running_watch(file.trip, at=timezone.now()) is not None


@require_safe
@permission_required("bookings.view_trip", raise_exception=True)
def trip_paper(request: HttpRequest, pk: int, name: str) -> HttpResponse:
    """One paper of the trip as a file; `?paper=Letter` for the other page size."""
    if name.startswith("cost") and not request.user.has_perm("days.view_costrate"):
        raise Http404("There is no such paper.")
    file = _file_or_404(pk)
    if name not in trip_file_names() | papers_of_trip(file):
        raise Http404("There is no such paper.")
    size = request.GET.get("paper", "")
    printed_at = timezone.now().replace(second=0, microsecond=0)
    try:
        content = make_trip_file(
            name, file, printed_at=printed_at, page_size=size if size in {"A4", "Letter"} else ""
        )
    except ValueError as refusal:
        messages.error(request, str(refusal))
        return redirect("trip", pk)
    response = HttpResponse(content, content_type=CONTENT_TYPES[name.rsplit(".", 1)[-1]])
    day = f"{file.day:%Y-%m-%d}"
    response["Content-Disposition"] = f'attachment; filename="{day}-{name}"'
    response["Cache-Control"] = "private, no-store"
    return response
