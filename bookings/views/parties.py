"""Parties: the inbox, one page a party, its people."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bookings.actions import parties as actions
from bookings.actions.party_links import answer_ask, make_party_link, revoke_party_links
from bookings.forms.people import ClientForm, CloseForm, EnquiryForm, PersonForm, WishesForm
from bookings.models import Ask, Business, Participant, Party
from bookings.queries import parties as queries
from bookings.queries.money import on_account
from bookings.queries.party_links import open_links
from bookings.queries.signers import day_of_party
from bookings.sheets.accounts import accounts_of
from bookings.sheets.inbox import inbox, rows_of
from bookings.views.form_page import form_page, typed

_PERSON = ("given_name", "family_name", "email", "phone", "language")


def _party_or_404(pk: int) -> Party:
    party = queries.party_page(pk)
    if party is None:
        raise Http404("There is no such party.")
    return party


def _business() -> Business:
    return Business.objects.get()


@require_safe
@permission_required("bookings.view_party", raise_exception=True)
def party_list(request: HttpRequest) -> HttpResponse:
    """The inbox; `?q=` searches every case, `?state=closed` lists the closed ones."""
    words = request.GET.get("q", "").strip()
    closed = request.GET.get("state") == "closed"
    context: dict[str, object] = {"title": "Parties", "words": words, "closed": closed}
    if words or closed:
        found = queries.find_parties(words) if words else queries.closed_parties()
        context["page"] = Paginator(found, 50).get_page(request.GET.get("page"))
    else:
        lines = inbox(business=_business(), at=timezone.now())
        page = Paginator(lines, 50).get_page(request.GET.get("page"))
        context |= {"page": page, "inbox": True, "rows": rows_of(page.object_list)}
    return render(request, "bookings/party_list.html", context)


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.add_party", raise_exception=True)
def party_new(request: HttpRequest) -> HttpResponse:
    """An enquiry, typed in; a client known by mail or telephone is used again."""
    form = EnquiryForm(typed(request))
    if request.method == "POST" and form.is_valid():
        country = _business().country
        wish = {name: form.cleaned_data[name] for name in EnquiryForm.Meta.fields}
        person = {name: form.cleaned_data[name] for name in _PERSON}
        try:
            party = actions.open_enquiry(country=country, person=person, **wish)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"Enquiry of {party.client} saved.")
            return redirect("party", party.pk)
    return form_page(request, form, "New enquiry")


@require_safe
@permission_required("bookings.view_party", raise_exception=True)
def party(request: HttpRequest, pk: int, template: str = "bookings/party.html") -> HttpResponse:
    found = _party_or_404(pk)
    people = list(found.participants.all())
    return render(
        request,
        template,
        {
            "title": str(found.client),
            "party": found,
            "people": people,
            "unnamed": max(found.heads - len(people), 0),
            "close_form": CloseForm(),
            "others": queries.other_cases(found),
            "accounts": accounts_of(
                list(found.bookings.all()), business=_business(), on=timezone.localdate()
            ),
            "on_account": on_account(found),
            "links": list(open_links(found, at=timezone.now())),
            "asks": list(found.asks.filter(answered_at=None)),
        },
    )


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_party", raise_exception=True)
def party_edit(request: HttpRequest, pk: int) -> HttpResponse:
    found = _party_or_404(pk)
    form = WishesForm(typed(request), instance=found)
    if request.method == "POST" and form.is_valid():
        try:
            actions.change_party(party=found, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, "Wishes saved.")
            return redirect("party", pk)
    return form_page(request, form, f"Wishes of {found.client}")


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_client", raise_exception=True)
def client_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The booker's particulars, reached from the party's page."""
    found = _party_or_404(pk)
    form = ClientForm(typed(request), instance=found.client)
    if request.method == "POST" and form.is_valid():
        try:
            actions.save_client(
                client=found.client, country=_business().country, **form.cleaned_data
            )
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, "Particulars saved.")
            return redirect("party", pk)
    return form_page(request, form, f"Particulars of {found.client}")


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_participant", raise_exception=True)
def person(request: HttpRequest, pk: int, person_pk: int | None = None) -> HttpResponse:
    """One person of the party, new or known."""
    found = _party_or_404(pk)
    known = get_object_or_404(Participant, pk=person_pk, party=found) if person_pk else None
    day = day_of_party(found, at=timezone.now())
    locale = _business().locale
    form = PersonForm(typed(request), instance=known, party=found, on=day, locale=locale)
    if request.method == "POST" and form.is_valid():
        try:
            saved = actions.save_participant(
                party=found,
                participant=known,
                country=_business().country,
                on=timezone.localdate(),
                **_chosen(form),
            )
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{saved} saved.")
            return redirect("party", pk)
    return form_page(request, form, str(known) if known else f"A person of {found.client}’s party")


def _chosen(form: PersonForm) -> dict[str, Any]:
    """What was typed; of somebody new who is not said to have booked, the name decides."""
    told = form.chosen()
    return told | {"is_client": told["is_client"] or (False if form.instance.pk else None)}


@require_POST
@permission_required("bookings.delete_participant", raise_exception=True)
def person_remove(request: HttpRequest, pk: int, person_pk: int) -> HttpResponse:
    gone = get_object_or_404(Participant, pk=person_pk, party_id=pk)
    name = str(gone)
    actions.remove_participant(participant=gone)
    messages.success(request, f"{name} is off the list.")
    return redirect("party", pk)


@require_POST
@permission_required("bookings.change_party", raise_exception=True)
def party_close(request: HttpRequest, pk: int) -> HttpResponse:
    found = _party_or_404(pk)
    try:
        actions.close_party(party=found, reason=request.POST.get("reason", ""))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, "Case closed. It can be opened again from this page.")
    return redirect("party", pk)


@require_POST
@permission_required("bookings.change_party", raise_exception=True)
def party_reopen(request: HttpRequest, pk: int) -> HttpResponse:
    found = _party_or_404(pk)
    try:
        actions.reopen_party(party=found)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    return redirect("party", pk)


@require_POST
@permission_required("bookings.change_party", raise_exception=True)
def party_link(request: HttpRequest, pk: int) -> HttpResponse:
    """A new link to the party's own page; it is shown this once, because only its hash is kept."""
    found = get_object_or_404(Party, pk=pk)
    address = settings.PUBLIC_URL + reverse("client", args=[make_party_link(party=found)])
    messages.success(request, f"Send them this address, it is shown only once: {address}")
    return redirect("party", pk)


@require_POST
@permission_required("bookings.change_party", raise_exception=True)
def party_link_end(request: HttpRequest, pk: int) -> HttpResponse:
    ended = revoke_party_links(party=get_object_or_404(Party, pk=pk))
    messages.success(request, f"{ended} taken back: they open nothing any more.")
    return redirect("party", pk)


@require_POST
@permission_required("bookings.change_party", raise_exception=True)
def party_answered(request: HttpRequest, pk: int, ask_pk: int) -> HttpResponse:
    """What the client asked for is answered."""
    answer_ask(ask=get_object_or_404(Ask, pk=ask_pk, party_id=pk))
    messages.success(request, "Ticked off.")
    return redirect("party", pk)
