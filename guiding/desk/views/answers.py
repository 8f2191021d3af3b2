"""The page on which somebody who was invited says whether they come. No login, one link a person.

Opening the page changes nothing: programs that look at links before their reader does say no yes.
"""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from bookings.forms.messages import ComingForm
from bookings.models import Business, TripAttendee
from bookings.views.form_page import typed
from bookings.views.private import closed_off
from bookings.views.throttle import count_try
from guiding.desk.actions.answers import answer_by_link
from guiding.desk.sheets.answers import ShutAnswerError, attendee_of_link
from guiding.desk.sheets.languages import language_of
from guiding.desk.sheets.messages import formats
from guiding.papers.formats import Formats

_MISSES, _SENDS = 30, 120


# The link is the only key there is and no cookie is read: a token against forged requests would
# guard nothing, and a browser that tells nobody where it comes from would have it refused.
@sensitive_post_parameters()
@csrf_exempt
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def invite_answer(request: HttpRequest, token: str) -> HttpResponse:
    """Yes, no or not sure, with a word beside it."""
    at = timezone.now()
    try:
        attendee = attendee_of_link(token, at=at)
    except ShutAnswerError as shut:
        if shut.reason == "unknown" and count_try(request, "answer-link") > _MISSES:
            return _shut(request, "too_many", 429)
        return _shut(request, shut.reason, 404)
    if request.method == "POST" and count_try(request, "answer-page") > _SENDS:
        return _shut(request, "too_many", 429)
    shape = formats(Business.objects.get(), language_of(attendee.booking))
    form = ComingForm(typed(request), initial={"comment": attendee.answer_comment})
    said = False
    if request.method == "POST" and form.is_valid():
        try:
            attendee = answer_by_link(attendee=attendee, at=at, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            said = True
    status = 422 if request.method == "POST" and not said else 200
    return _page(request, attendee, form, shape, said=said, status=status)


def _page(
    request: HttpRequest,
    attendee: TripAttendee,
    form: ComingForm,
    shape: Formats,
    *,
    said: bool,
    status: int,
) -> HttpResponse:
    trip, say = attendee.trip, shape.words.text
    day = shape.local(trip.starts_at).date()
    context = {
        "title": say("answer.title"),
        "say": {name: say(f"answer.{name}") for name in _WORDS},
        "language": shape.words.language,
        "name": attendee.name or attendee.mail,
        "trip": trip,
        "day": shape.day(day),
        "begins": shape.time(trip.starts_at),
        "ends": shape.time_on(trip.ends_at, day),
        "now": say(f"answer.now_{attendee.answer.lower()}"),
        "known": attendee.answer != TripAttendee.Answer.NEEDS_ACTION,
        "form": form,
        "said": said,
    }
    return closed_off(render(request, "desk/answer.html", context, status=status))


_WORDS = ("meet", "back", "yes", "unsure", "no", "comment", "thanks", "changes")


def _shut(request: HttpRequest, reason: str, status: int) -> HttpResponse:
    # Whoever holds a dead link is nobody we know a language of: both are said.
    say = [formats(Business.objects.get(), one).words.text for one in ("en", "de")]
    context = {"title": say[0]("answer.shut"), "why": [one(f"answer.shut_{reason}") for one in say]}
    return closed_off(render(request, "desk/answer_shut.html", context, status=status))
