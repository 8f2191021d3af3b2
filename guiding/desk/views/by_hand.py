"""Mails to one client about money, sent by hand: words, a look at them, then off they go."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Callable

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from bookings.forms.messages import HandForm, PriceNoteForm, ReminderForm
from bookings.models import Booking, Business, Client, Message, MessageKind, Quote
from bookings.queries.bookings import booking_page
from bookings.queries.late import told_about
from bookings.queries.messages import mails_of_quote, rules, words_of
from bookings.rules.messages import message_fields
from bookings.sheets.late import LateMoney, late_money, perhaps_here
from bookings.views.form_page import typed
from guiding.desk.actions.price_notes import send_price_note
from guiding.desk.actions.reminding import send_reminder
from guiding.desk.queries.due_messages import next_of
from guiding.desk.sheets.languages import language_of_client
from guiding.desk.sheets.messages import Written, quote_values, written
from guiding.desk.sheets.reminding import reminder_values
from guiding.papers.formats import clock


def _by_hand(
    request: HttpRequest,
    form: HandForm,
    *,
    kind: MessageKind,
    client: Client,
    title: str,
    back: tuple[str, ...],
    values: dict[str, str],
    send: Callable[..., Message | None],
    notes: list[str],
) -> HttpResponse:
    """A look at the words filled in, or the mail; in the language of the client."""
    preview: Written | None = None
    if request.method == "POST" and form.is_valid():
        wish = form.cleaned_data
        try:
            if "send" in request.POST:
                user = request.user if isinstance(request.user, User) else None
                send(user=user, at=timezone.now(), **wish)
                messages.success(request, f"The mail to {client} is on the way.")
                return redirect(*back)
            filled = values | {"page": f"{settings.PUBLIC_URL}/my/…/"}
            language = language_of_client(client)
            preview = written(kind, language, filled, wish["subject"], wish["body"])
        except ValueError as refusal:
            form.add_error(None, str(refusal))
        except ValidationError as refusal:
            form.refuse(refusal)
    context = {
        "title": title,
        "form": form,
        "readers": [{"name": str(client), "email": client.email}],
        "fields": message_fields(kind),
        "preview": preview,
        "notes": notes,
    }
    failed = request.method == "POST" and preview is None
    return render(request, "desk/trip_message.html", context, status=422 if failed else 200)


def _start(kind: str, client: Client) -> dict[str, object]:
    words = words_of(kind, language_of_client(client))
    return {"subject": words.subject, "body": words.body, "once": uuid.uuid4()}


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.add_moneyentry", raise_exception=True)
def reminder_send(request: HttpRequest, pk: int, booking_pk: int) -> HttpResponse:
    """Ask for what is late of a booking."""
    booking = booking_page(booking_pk, pk)
    if booking is None:
        raise Http404("There is no such booking.")
    business = Business.objects.get()
    today = timezone.now().astimezone(business.tz).date()
    late = late_money([booking], on=today).get(booking.pk)
    if late is None:
        messages.warning(request, "Nothing that was billed is late here. Bill it first.")
        return redirect("booking", pk, booking_pk)
    client = booking.party.client
    return _by_hand(
        request,
        ReminderForm(typed(request), initial=_start(MessageKind.REMINDER, client)),
        kind=MessageKind.REMINDER,
        client=client,
        title=f"Ask {client} for what is late",
        back=("booking", str(pk), str(booking_pk)),
        values=reminder_values(late, business),
        send=lambda **wish: send_reminder(booking=booking, **wish),
        notes=_notes(booking, late, business),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_quote", raise_exception=True)
def quote_send(request: HttpRequest, pk: int) -> HttpResponse:
    """Mail a price note: its paper goes with it, and a fresh link where the words say {page}."""
    quote = get_object_or_404(Quote.objects.select_related("party__client"), pk=pk)
    if quote.status not in {Quote.Status.DRAFT, Quote.Status.SENT}:
        messages.warning(request, f"This price note is {quote.get_status_display()}.")
        return redirect("quote", pk)
    client, business = quote.party.client, Business.objects.get()
    notes = [] if client.email else [f"{client} has no mail address: enter one under Particulars."]
    if quote.status == Quote.Status.DRAFT:
        notes.append("Sending it makes the price stand: its lines never change again.")
    for mail in mails_of_quote(pk):
        made = _moment(mail.made_at, business)
        notes.append(f"Mailed before, {made}: {mail.get_state_display()}.")
    return _by_hand(
        request,
        PriceNoteForm(typed(request), initial=_start(MessageKind.PRICE_NOTE, client)),
        kind=MessageKind.PRICE_NOTE,
        client=client,
        title=f"Send price note {pk}",
        back=("quote", str(pk)),
        values=quote_values(quote, business),
        send=lambda **wish: send_price_note(quote=quote, **wish),
        notes=notes,
    )


def _moment(at: datetime.datetime, business: Business) -> str:
    day = at.astimezone(business.tz)
    return f"{day:%-d %B %Y}, {clock(at, business.tz, business.locale)}"


def _notes(booking: Booking, late: LateMoney, business: Business) -> list[str]:
    """What to know before asking: money that may be here, and what was asked before."""
    now = timezone.now()
    today = now.astimezone(business.tz).date()
    notes = list(perhaps_here([booking], business=business, on=today).values())
    told = told_about([booking])[booking.pk]
    if told:
        last = _moment(told[0].at, business)
        notes.append(f"Asked before: {len(told)}, last on {last}.")
    rule = rules()[MessageKind.REMINDER]
    _number, _event, wanted = next_of(late, told, rule, business)
    if rule.automatic and wanted and wanted > now:
        notes.append(f"By itself it goes on {wanted.astimezone(business.tz):%-d %B %Y}.")
    return notes
