"""What our messages say and when they go; written by hand after a look; answers read in."""

from __future__ import annotations

import uuid
from typing import NamedTuple

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from bookings.actions.invites import drop_refused
from bookings.actions.messages import (
    back_to_house_text,
    save_message_rule,
    save_message_text,
    save_quiet_hours,
)
from bookings.actions.sending import send_one
from bookings.forms.messages import (
    AnswerForm,
    HandForm,
    QuietForm,
    StatementForm,
    TestMailForm,
    ThanksForm,
    WordsForm,
    rule_form,
)
from bookings.models import Business, Client, Message, MessageKind, QuietHours
from bookings.queries.invites import answers_of
from bookings.queries.messages import WITH_INVITES, rules, words_of
from bookings.queries.trips import next_trips
from bookings.rules.message_words import LANGUAGES
from bookings.rules.messages import message_fields
from bookings.views.form_page import form_page, typed
from guiding.desk.actions.invites import take_answer
from guiding.desk.actions.telling import BY_HAND, send_by_hand, send_statement, send_test_mail
from guiding.desk.sheets.gather import TripFile, gather
from guiding.desk.sheets.messages import (
    Written,
    statement_values,
    trip_values,
    written,
)
from guiding.desk.sheets.previews import preview_values
from guiding.desk.sheets.statements import account_statement
from guiding.safety.models import Watch

_MAY = "bookings.change_business"


class Reader(NamedTuple):
    """Somebody whom a mail goes to, for the line above it."""

    name: str
    email: str


@require_safe
@permission_required(_MAY, raise_exception=True)
def words_list(request: HttpRequest) -> HttpResponse:
    """Every kind of message: its words by language, its rule."""
    known = rules()
    kinds = [
        (kind, label, known.get(kind), [(one, words_of(kind, one).own) for one in LANGUAGES])
        for kind, label in MessageKind.choices
    ]
    context = {
        "title": "Messages",
        "kinds": kinds,
        "with_invites": WITH_INVITES,
        "quiet": QuietHours.objects.first(),
    }
    return render(request, "desk/message_words_list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required(_MAY, raise_exception=True)
def words_edit(request: HttpRequest, message_kind: str, language: str) -> HttpResponse:
    """The words of one kind: looked at with a real party, saved, or back to the house's."""
    kind = message_kind
    if kind not in MessageKind.values or language not in LANGUAGES:
        raise Http404("There is no such message.")
    now = words_of(kind, language)
    form = WordsForm(typed(request), initial={"subject": now.subject, "body": now.body})
    preview: Written | None = None
    if request.method == "POST" and "house" in request.POST:
        back_to_house_text(kind=kind, language=language)
        messages.success(request, "The house's words stand again.")
        return redirect("words_edit", kind, language)
    if request.method == "POST" and form.is_valid():
        try:
            preview = _preview(kind, language, **form.cleaned_data)
            if "save" in request.POST:
                save_message_text(kind=kind, language=language, **form.cleaned_data)
                messages.success(request, "Saved.")
                return redirect("words_list")
        except ValueError as refusal:
            form.add_error(None, str(refusal))
        except ValidationError as refusal:
            form.refuse(refusal)
    failed = request.method == "POST" and preview is None
    context = {
        "title": f"{MessageKind(kind).label.capitalize()} ({language})",
        "form": form,
        "fields": message_fields(kind),
        "preview": preview,
        "own": now.own,
    }
    return render(request, "desk/message_words.html", context, status=422 if failed else 200)


def _preview(kind: str, language: str, subject: str, body: str) -> Written | None:
    """The words with the next party that is booked; None where nobody is."""
    at = timezone.now()
    for trip in next_trips(at=at)[:20]:
        file = gather(trip.pk, business=Business.objects.get())
        if file is not None and file.bookings:
            values = preview_values(kind, file, file.bookings[0], at=at)
            return written(kind, language, values, subject, body)
    return None


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required(_MAY, raise_exception=True)
def rule_of_kind(request: HttpRequest, message_kind: str) -> HttpResponse:
    kind = message_kind
    rule = rules().get(kind)
    if rule is None:
        raise Http404("This message only goes by hand.")
    form = rule_form(rule, typed(request))
    if request.method == "POST" and form.is_valid():
        save_message_rule(kind=kind, **form.wish())
        messages.success(request, "Saved.")
        return redirect("words_list")
    title = f"When: {MessageKind(kind).label}"
    return form_page(request, form, title, "desk/message_rule.html", rule=rule)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required(_MAY, raise_exception=True)
def quiet(request: HttpRequest) -> HttpResponse:
    row = QuietHours.objects.first() or QuietHours()
    now = {"quiet_from": row.quiet_from, "quiet_until": row.quiet_until}
    form = QuietForm(typed(request), initial=now)
    if request.method == "POST" and form.is_valid():
        save_quiet_hours(**form.cleaned_data)
        messages.success(request, "Saved.")
        return redirect("words_list")
    return form_page(request, form, "Quiet hours", "desk/form.html")


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required(_MAY, raise_exception=True)
def mail_test(request: HttpRequest) -> HttpResponse:
    """Whether mail works, by sending one; what the server says is shown."""
    form = TestMailForm(typed(request), initial={"address": request.user.email})  # type: ignore[union-attr]
    if request.method == "POST" and form.is_valid():
        try:
            row = send_one(message=send_test_mail(**form.cleaned_data, at=timezone.now()))
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            if row.state == Message.State.SENT:
                messages.success(request, f"The mail server took the mail to {row.to_mail}.")
                return redirect("mail_test")
            form.add_error(None, row.last_error)
    return form_page(request, form, "Test the mail settings", "desk/form.html")


def _file_or_404(pk: int) -> TripFile:
    file = gather(pk, business=Business.objects.get())
    if file is None:
        raise Http404("There is no such trip.")
    return file


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_trip", raise_exception=True)
def trip_message(request: HttpRequest, pk: int, message_kind: str) -> HttpResponse:
    """Write to every party of a trip: words, a look at them filled in, then off they go."""
    kind = message_kind
    if kind not in BY_HAND:
        raise Http404("This message is not written by hand.")
    file = _file_or_404(pk)
    made = ThanksForm if kind == MessageKind.THANKS else HandForm
    form = made(typed(request), request.FILES or None, initial=_start(kind))
    preview = None
    if request.method == "POST" and form.is_valid():
        wish = form.cleaned_data
        try:
            if "send" in request.POST:
                wish["photos"] = [photo.read() for photo in wish.get("photos", ())]
                sent = send_by_hand(
                    trip_pk=pk, kind=kind, user=_user(request), at=timezone.now(), **wish
                )
                said = f"{len(sent)} on the way." if sent else "It has been sent already."
                messages.success(request, said)
                return redirect("trip", pk)
            own = {name: wish[name] for name in ("reason", "catch") if name in wish}
            values = trip_values(file, next(iter(file.bookings), None), **own)
            preview = written(kind, "en", values, wish["subject"], wish["body"])
        except ValueError as refusal:
            form.add_error(None, str(refusal))
        except ValidationError as refusal:
            form.refuse(refusal)
    context = {
        "title": f"{MessageKind(kind).label.capitalize()}: {file.trip.offer}",
        "form": form,
        "readers": _readers(kind, file),
        "fields": message_fields(kind),
        "preview": preview,
    }
    failed = request.method == "POST" and preview is None
    return render(request, "desk/trip_message.html", context, status=422 if failed else 200)


def _readers(kind: str, file: TripFile) -> list[Reader]:
    """To whom it goes, with or without a mail address."""
    if kind == MessageKind.OVERDUE:
        watches = Watch.objects.filter(trip=file.trip)
        return [Reader(f"{x.contact_name} (ashore)", x.contact_mail) for x in watches]
    clients = [booking.party.client for booking in file.bookings]
    return [Reader(str(client), client.email) for client in clients]


def _start(kind: str) -> dict[str, object]:
    words = words_of(kind, "en")
    return {"subject": words.subject, "body": words.body, "once": uuid.uuid4()}


def _user(request: HttpRequest) -> User | None:
    return request.user if isinstance(request.user, User) else None


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.add_moneyentry", raise_exception=True)
def statement_send(request: HttpRequest, pk: int) -> HttpResponse:
    """Send a client the statement of their account: words, a look at them, then off it goes."""
    client = get_object_or_404(Client, pk=pk)
    business, kind, now = Business.objects.get(), MessageKind.STATEMENT, timezone.now()
    form = StatementForm(typed(request), initial=_start(kind))
    preview = None
    if request.method == "POST" and form.is_valid():
        wish = form.cleaned_data
        try:
            if "send" in request.POST:
                send_statement(client=client, user=_user(request), at=now, **wish)
                messages.success(request, "The statement is on the way.")
                return redirect("party", client.parties.order_by("-asked_at", "-pk")[0].pk)
            statement = account_statement(client, business=business, printed_at=now)
            values = statement_values(statement, client, business)
            values["page"] = f"{settings.PUBLIC_URL}/my/…/"
            preview = written(kind, "en", values, wish["subject"], wish["body"])
        except ValueError as refusal:
            form.add_error(None, str(refusal))
        except ValidationError as refusal:
            form.refuse(refusal)
    context = {
        "title": f"Statement for {client}",
        "form": form,
        "readers": [Reader(str(client), client.email)],
        "fields": message_fields(kind),
        "preview": preview,
    }
    failed = request.method == "POST" and preview is None
    return render(request, "desk/trip_message.html", context, status=422 if failed else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_trip", raise_exception=True)
def trip_answers(request: HttpRequest, pk: int) -> HttpResponse:
    """Who has said yes in their calendar, and a place to read in a mail that came back."""
    file = _file_or_404(pk)
    if seen := request.POST.get("seen", ""):
        row = get_object_or_404(file.trip.attendees, pk=seen if seen.isdecimal() else 0)
        drop_refused(attendee=row)
        return redirect("trip_answers", pk)
    form = AnswerForm(typed(request))
    if request.method == "POST" and form.is_valid():
        try:
            row = take_answer(mail=form.cleaned_data["mail"].encode(), at=timezone.now())
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{row.name or row.mail} {row.get_answer_display()}.")
            return redirect("trip_answers", pk)
    return form_page(
        request,
        form,
        f"Answers: {file.trip.offer}",
        "desk/trip_answers.html",
        answers=answers_of(file.trip),
    )
