"""A party's own page, opened by its link alone: no login, nothing stored, nothing told onward.

The link in the address is the only key there is; no cookie is read. So a form that another site
makes a browser send would need the secret to find its way here, and carries no more right than its
sender has: the usual token against forged requests would guard nothing, and a browser that tells
nobody where it comes from would have it refused.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

import segno
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bookings.actions.money.settlements import choose
from bookings.actions.parties import save_participant
from bookings.actions.party_links import ask_for_change
from bookings.actions.quotes import accept_quote
from bookings.forms.client import AskForm, NameForm, YesForm
from bookings.models import Booking, Business, Participant, Party, Quote, Settlement, Trip
from bookings.queries.party_links import ShutPartyLinkError, party_of_link
from bookings.queries.signers import day_of_party
from bookings.queries.texts import texts_in
from bookings.sheets.client_page import ClientPage, client_page
from bookings.views.client_tongue import frame, reader, said
from bookings.views.form_page import typed
from bookings.views.private import closed_off
from bookings.views.throttle import count_try

_MISSES, _SENDS = 30, 120
PartyView = Callable[..., HttpResponse]


def own_page(view: PartyView) -> PartyView:
    """Opens the link and gives the view its party; else says why it does not."""

    @csrf_exempt
    @login_not_required
    @wraps(view)
    def opened(request: HttpRequest, token: str, *args: object, **kwargs: object) -> HttpResponse:
        try:
            party = party_of_link(token, at=timezone.now())
        except ShutPartyLinkError as shut:
            if shut.reason == "unknown" and count_try(request, "party-link") > _MISSES:
                return _shut(request, "too_many", 429)
            return _shut(request, shut.reason, 404)
        if request.method == "POST" and count_try(request, "party-page") > _SENDS:
            return _shut(request, "too_many", 429)
        with translation.override(reader(request, party).language):
            try:
                return closed_off(view(request, party, token, *args, **kwargs))
            except Http404:
                return _shut(request, "else", 404, party=party, token=token)

    return opened


def _shut(
    request: HttpRequest, reason: str, status: int, party: Party | None = None, token: str = ""
) -> HttpResponse:
    tongue = reader(request, party)
    context = frame(request, tongue) | {
        "title": tongue.words["shut_title"],
        "why": tongue.words[f"shut_{reason}"],
        "token": token,
    }
    return closed_off(render(request, "bookings/client_shut.html", context, status=status))


@require_safe
@own_page
def client(
    request: HttpRequest, party: Party, token: str, template: str = "bookings/client.html"
) -> HttpResponse:
    """What is booked, what is missing, what is owed."""
    return _page(request, party, token, template)


def _page(
    request: HttpRequest,
    party: Party,
    token: str,
    template: str = "bookings/client.html",
    status: int = 200,
    **forms: object,
) -> HttpResponse:
    tongue = reader(request, party)
    page = client_page(
        party, business=Business.objects.get(), at=timezone.now(), language=tongue.language
    )
    context: dict[str, object] = frame(request, tongue) | {
        "title": tongue.words["title"].format(name=party.client.given_name),
        "page": page,
        "token": token,
        "codes": _codes(page),
        "ask_form": AskForm(words=tongue.words),
        "yes_form": YesForm(words=tongue.words),
    }
    # Answered from a page that was open for long: the price itself is no longer shown.
    answering = forms.get("answering")
    context["gone"] = answering is not None and all(
        each.quote.pk != answering for each in page.to_answer
    )
    return render(request, template, context | forms, status=status)


def _codes(page: ClientPage) -> dict[int, SafeString]:
    """The payment code of each booking that has one, drawn."""
    found = {}
    for day in page.days:
        if day.to_pay and day.to_pay.ways.qr_text:
            code = segno.make(day.to_pay.ways.qr_text, error="m", micro=False, boost_error=False)
            drawn = code.svg_inline(scale=4, border=4, dark="#000", light="#fff", omitsize=True)
            found[day.booking.pk] = mark_safe(drawn)  # noqa: S308  squares, no text
    return found


def _back(request: HttpRequest, party: Party, token: str, told: str = "") -> HttpResponse:
    """To the page again, with what was done in a word of it."""
    tongue = reader(request, party)
    if told:
        messages.success(request, tongue.words[told])
    query = frame(request, tongue)["lang_query"]
    return redirect(f"{reverse('client', args=[token])}{query}")


@require_POST
@own_page
def client_accept(request: HttpRequest, party: Party, token: str, quote_pk: int) -> HttpResponse:
    """Yes to a price. Only by POST: whoever opens links to look at them says yes to nothing."""
    quote = get_object_or_404(Quote, pk=quote_pk, party=party)
    if quote.status == Quote.Status.ACCEPTED:
        return _back(request, party, token, "agreed_already")  # pressed twice, or a second window
    tongue = reader(request, party)
    form = YesForm(request.POST, words=tongue.words)
    if not form.is_valid():
        return _page(request, party, token, status=422, yes_form=form, answering=quote.pk)
    text = texts_in(tongue.language, ["terms"], at=timezone.now()).get("terms")
    try:
        accept_quote(quote=quote, read_text=text.sha256 if text else "")
    except ValidationError as refusal:
        quote.refresh_from_db()
        if quote.status == Quote.Status.ACCEPTED:
            return _back(request, party, token, "agreed_already")
        form.refuse(said(refusal, tongue.language))
        return _page(request, party, token, status=422, yes_form=form, answering=quote.pk)
    return _back(request, party, token, _agreed_word(quote))


def _agreed_word(quote: Quote) -> str:
    """What a yes came to: a day, one that waits for its first part, or one that is stopped."""
    booking = Booking.objects.filter(quotes=quote).select_related("trip").first()
    if booking is not None and booking.awaits_deposit:
        return "agreed_part"
    waits = booking is not None and booking.trip.status == Trip.Status.TENTATIVE
    return "agreed_waits" if waits else "agreed"


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
@own_page
def client_person(
    request: HttpRequest, party: Party, token: str, person_pk: int | None = None
) -> HttpResponse:
    """One of the party, named or corrected by the client."""
    known = get_object_or_404(Participant, pk=person_pk, party=party) if person_pk else None
    tongue = reader(request, party)
    day = day_of_party(party, at=timezone.now())
    form = NameForm(
        typed(request),
        instance=known,
        party=party,
        on=day,
        words=tongue.words,
        locale=tongue.locale,
    )
    if request.method == "POST" and form.is_valid():
        try:
            save_participant(
                party=party,
                participant=known,
                country=Business.objects.get().country,
                on=timezone.localdate(),
                **_person(form, known),
            )
        except ValidationError as refusal:
            form.refuse(said(refusal, tongue.language))
        else:
            return _back(request, party, token, "saved")
    status = 422 if request.method == "POST" else 200
    title = tongue.words["person_title"]
    context = frame(request, tongue) | {"title": title, "form": form, "token": token}
    return render(request, "bookings/client_person.html", context, status=status)


def _person(form: NameForm, known: Participant | None) -> dict[str, Any]:
    """What was typed; what the page does not show stays as we know it."""
    told = form.chosen()
    if known is None:
        return told | {"is_client": told.get("is_client") or None}
    return told | {"email": told["email"] or known.email, "phone": known.phone}


@sensitive_post_parameters()
@require_POST
@own_page
def client_ask(request: HttpRequest, party: Party, token: str) -> HttpResponse:
    """Ask for a change; nothing changes by itself."""
    tongue = reader(request, party)
    form = AskForm(request.POST, words=tongue.words)
    if form.is_valid():
        try:
            ask_for_change(party=party, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(said(refusal, tongue.language))
        else:
            return _back(request, party, token, "asked")
    return _page(request, party, token, status=422, ask_form=form)


@require_POST
@own_page
def client_choose(
    request: HttpRequest, party: Party, token: str, settlement_pk: int
) -> HttpResponse:
    """Money back or another date, after a day was cancelled."""
    settlement = get_object_or_404(Settlement, pk=settlement_pk, booking__party=party)
    choice = request.POST.get("choice", "")
    if choice not in {Settlement.Choice.REFUND, Settlement.Choice.MOVE}:
        raise Http404("There is no such choice.")
    try:
        choose(settlement=settlement, choice=choice)
    except ValidationError as refusal:
        language = reader(request, party).language
        messages.error(request, " ".join(said(refusal, language).messages))
        return _back(request, party, token)
    return _back(request, party, token, "noted")
