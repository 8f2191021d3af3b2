"""The signer's own pages behind a private link: no login, and a GET changes nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from bookings.actions.handed_in import FormSigned, by_link, form_gaps, mark_gaps
from bookings.actions.health import HealthAnswers
from bookings.actions.people import tell_birthday
from bookings.actions.signatures import CHANGEABLE, sign
from bookings.forms.layout import PlainForm
from bookings.forms.signing import OTHER, YES, BirthdayForm, SignForm
from bookings.models import SigningLink, TextKind, TextVersion
from bookings.queries.evidence import proof_of
from bookings.queries.records import own_signatures
from bookings.queries.retention import rules_in_force
from bookings.queries.signatures import PersonState
from bookings.queries.signing_links import OpenLink
from bookings.queries.texts import LANGUAGES, languages_published, texts_in
from bookings.rules.retention import Kept
from bookings.sheets.sign_words import refusal_in
from bookings.views.private import Tongue, closed_off, private_page, with_form


@require_safe
@private_page
def sign_start(
    request: HttpRequest, opened: OpenLink, tongue: Tongue, token: str, copy_view: str = ""
) -> HttpResponse:
    """Who signs for whom, what is signed already. `copy_view` names the page of a PDF copy."""
    states = opened.people
    waits = any(state.unpublished for state in states) and not any(state.kinds for state in states)
    return _page(
        request,
        "bookings/sign_start.html",
        opened,
        tongue,
        token=token,
        title=tongue.words["title"],
        rows=[(state, _minor_line(tongue, state)) for state in opened.people],
        done=all(state.signed for state in states),
        no_text=waits,
        over=opened.trip.ends_at <= timezone.now(),
        records=own_signatures(opened.signer, opened.trip),
        copy_view=copy_view,
        on_phone=opened.link.way == SigningLink.Way.PHONE,
    )


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
@private_page
def sign_birthday(
    request: HttpRequest, opened: OpenLink, tongue: Tongue, token: str, person_pk: int
) -> HttpResponse:
    """The date of birth, where it is not known: it says who must sign."""
    state = _state_or_404(opened, person_pk)
    if state.minor is not None:
        return redirect(_address("sign_start", token, tongue))
    words = tongue.words
    itself = opened.signer.person == state.person
    label = words["your_birthday"] if itself else words["birthday_of"].format(name=state.person)
    form = BirthdayForm(_sent(request), words=words, label=label, locale=tongue.locale)
    if request.method == "POST" and form.is_valid():
        try:
            tell_birthday(
                person=state.person, born_on=form.cleaned_data["born_on"], on=timezone.localdate()
            )
        except ValidationError as refusal:
            _refuse(form, refusal, tongue)
        else:
            return redirect(_address("sign_start", token, tongue))
    return _page(
        request,
        "bookings/sign_birthday.html",
        opened,
        tongue,
        status=422 if request.method == "POST" else 200,
        title=label,
        form=form,
    )


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
@private_page
def sign_form(
    request: HttpRequest, opened: OpenLink, tongue: Tongue, token: str, person_pk: int
) -> HttpResponse:
    """One person's texts, questions and signature on one page."""
    state = _state_or_404(opened, person_pk)
    if state.minor is None:
        return redirect(_address("sign_birthday", token, tongue, person_pk))
    shown = _shown(request, state, tongue)
    if not shown:
        return redirect(_address("sign_start", token, tongue))
    form = SignForm(
        _sent(request),
        state=state,
        signer=opened.signer,
        kinds={text.kind for text in shown},
        words=tongue.words,
        adults=opened.adults_beside(state),
    )
    intent = _intent(tongue, state)
    if request.method == "POST" and _signs(request, opened, state, form, shown, tongue):
        messages.success(request, _signed(tongue, form.cleaned_data.get("copy_to", "")))
        return redirect(_address("sign_start", token, tongue))
    shown = list(
        texts_in(tongue.language, [text.kind for text in shown], at=timezone.now()).values()
    )
    return _page(
        request,
        "bookings/sign_form.html",
        opened,
        tongue,
        status=422 if request.method == "POST" else 200,
        title=tongue.words["title"],
        token=token,
        state=state,
        form=form,
        text_numbers=",".join(str(text.pk) for text in shown),
        text_lines=[(text, tongue.words["version"].format(number=text.number)) for text in shown],
        intent=intent,
        minor_line=_minor_line(tongue, state),
        guardian_heading=tongue.words["guardian_heading"].format(name=state.person),
        guardian_text=any(text.kind == TextKind.GUARDIAN for text in shown),
        kept_line=tongue.words["kept"].format(days=rules_in_force()[Kept.TRACE].days),
        again=request.GET.get("again", ""),
    )


def _signs(
    request: HttpRequest,
    opened: OpenLink,
    state: PersonState,
    form: SignForm,
    shown: Sequence[TextVersion],
    tongue: Tongue,
) -> bool:
    """Sign what was handed in; else everything that it lacks stands in the form, told at once."""
    how = by_link(
        opened.link,
        address=request.META.get("REMOTE_ADDR", ""),
        agent=request.headers.get("User-Agent", ""),
    )
    whole = form.is_valid()
    told = handed_in(form, opened.adults_beside(state), _intent(tongue, state))
    texts = [text for text in shown if text.pk in form.text_numbers()]
    if not whole:
        gaps = form_gaps(told, state, {text.kind for text in texts}) | mark_gaps(told)
        _refuse(form, ValidationError(form.not_told_yet(gaps)), tongue)
        return False
    try:
        sign(
            trip=opened.trip,
            person=state.person,
            signer=opened.signer,
            texts=texts,
            form=told,
            how=how,
            link=opened.link,
        )
    except ValidationError as refusal:
        _refuse(form, refusal, tongue)
        return False
    return True


@login_not_required
@require_safe
def sign_proof(request: HttpRequest, own_hash: str) -> HttpResponse:
    """What the square code of a signed form opens: the record is there, and whole, or it is not."""
    proof = proof_of(own_hash)
    context = {"title": "A signed record", "proof": proof, "own_hash": own_hash}
    status = 200 if proof else 404
    return closed_off(render(request, "bookings/sign_proof.html", context, status=status))


def handed_in(form: SignForm, adults: Sequence[PersonState], intent: str) -> FormSigned:
    """What was typed, as the action takes it; what was not, or wrongly, is left empty."""
    told = form.cleaned_data
    chosen = told.get("responsible", "")
    responsible = next((each.person for each in adults if str(each.person.pk) == chosen), None)
    return FormSigned(
        signer_name=told.get("signer_name", ""),
        once=told.get("once", ""),
        agrees=told.get("agrees", False),
        intent=intent,
        drawn=told.get("drawn", ""),
        typed=told.get("typed", ""),
        photos=told.get("photos", ""),
        health=_answers(told) if form.has_health else None,
        relation=told.get("relation", ""),
        contact_phone=told.get("contact_phone", ""),
        responsible=responsible,
        responsible_name=told.get("responsible_name", "") if chosen == OTHER else "",
        copy_to=told.get("copy_to", ""),
    )


def _answers(told: Mapping[str, Any]) -> HealthAnswers:
    return HealthAnswers(
        allergy=told.get("allergy") == YES,
        medicine=told.get("medicine") == YES,
        swims=told.get("swims") == YES,
        injector=told.get("injector", False),
        allergy_note=told.get("allergy_note", ""),
        medicine_note=told.get("medicine_note", ""),
        more=told.get("more", ""),
        kin_name=told.get("kin_name", ""),
        kin_phone=told.get("kin_phone", ""),
    )


def _shown(request: HttpRequest, state: PersonState, tongue: Tongue) -> list[TextVersion]:
    """The texts of this page: what was on it when it was sent, else what is still to be signed."""
    if request.method == "POST":
        told = request.POST.get("texts", "").split(",")
        numbers = [int(number) for number in told[:10] if number.isdecimal() and len(number) < 10]
        found = {text.pk: text for text in TextVersion.objects.filter(pk__in=numbers)}
        return [found[number] for number in numbers if number in found]
    again = request.GET.get("again", "")
    kinds = state.kinds or ((again,) if again in CHANGEABLE else ())
    return list(texts_in(tongue.language, kinds, at=timezone.now()).values())


def _signed(tongue: Tongue, copy_to: str) -> str:
    """What is said after signing; of a copy by mail only to who gave an address for it."""
    said = tongue.words["one_done"]
    return f"{said} {tongue.words['copy_comes'].format(mail=copy_to)}" if copy_to else said


def _minor_line(tongue: Tongue, state: PersonState) -> str:
    if not state.minor:
        return tongue.words["yourself"]
    return tongue.words["for_minor"].format(name=state.person, age=state.age)


def _intent(tongue: Tongue, state: PersonState) -> str:
    if state.minor:
        return tongue.words["intent_minor"].format(name=state.person)
    return tongue.words["intent"]


def _state_or_404(opened: OpenLink, person_pk: int) -> PersonState:
    state = opened.of(person_pk)
    if state is None:
        raise Http404("There is nobody of this number behind this link.")
    return state


def _sent(request: HttpRequest) -> Any:
    return request.POST if request.method == "POST" else None


def _refuse(form: PlainForm, refusal: ValidationError, tongue: Tongue) -> None:
    """The refusal in the language of the page, each sentence at its field."""
    told = getattr(refusal, "message_dict", {NON_FIELD_ERRORS: refusal.messages})
    form.refuse(
        ValidationError(
            {
                name: [refusal_in(tongue.language, sentence) for sentence in sentences]
                for name, sentences in told.items()
            }
        )
    )


def _address(name: str, token: str, tongue: Tongue, *more: int) -> str:
    return f"{reverse(name, args=[token, *more])}?lang={tongue.language}"


def _page(
    request: HttpRequest,
    template: str,
    opened: OpenLink,
    tongue: Tongue,
    status: int = 200,
    **context: object,
) -> HttpResponse:
    out = languages_published(at=timezone.now())
    guide = getattr(getattr(request, "business", None), "guide_name", "")
    response = render(
        request,
        template,
        {
            "opened": opened,
            "trip": opened.trip,
            "w": tongue.words,
            "manner": tongue.manner,
            "ring": tongue.words["ring"].format(guide=guide),
            "page_language": tongue.language,
            "languages": [
                (code, LANGUAGES.get(code, code)) for code in out if code != tongue.language
            ],
            **context,
        },
        status=status,
    )
    return with_form(response) if "form" in context else response
