"""Texts in Setup: drafts with a preview, versions that stand."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bookings.actions.rules import save_signing_rules
from bookings.actions.texts import publish_text, save_draft, take_starting_texts
from bookings.forms.signing import SigningRulesForm
from bookings.forms.texts import PublishForm, TextForm
from bookings.models import Again, TextDraft, TextKind, TextVersion
from bookings.queries.signers import signing_rules
from bookings.queries.texts import LANGUAGES, signers_asked_again, text_states, versions
from bookings.views.form_page import form_page, typed


@require_safe
@permission_required("bookings.view_textversion", raise_exception=True)
def text_list(request: HttpRequest) -> HttpResponse:
    context = {"title": "Texts to sign", "states": text_states(), "languages": LANGUAGES}
    return render(request, "bookings/texts_list.html", context)


@require_POST
@permission_required("bookings.change_textdraft", raise_exception=True)
def texts_start(request: HttpRequest) -> HttpResponse:
    """The shipped texts as drafts, where there is none yet."""
    made = take_starting_texts()
    messages.success(request, f"{len(made)} drafts to be checked by a lawyer of your place.")
    return redirect("text_list")


def _named(kind: str, language: str) -> str:
    if kind not in TextKind.values:
        raise Http404("There is no text of this kind.")
    return f"{TextKind(kind).label} ({language})".capitalize()


@require_safe
@permission_required("bookings.view_textversion", raise_exception=True)
def text(request: HttpRequest, kind: str, language: str) -> HttpResponse:
    """One text: the draft as it would be read, what publishing it would ask, the versions."""
    title = _named(kind, language)
    draft = TextDraft.objects.filter(kind=kind, language=language).first()
    known = list(versions(kind, language))
    return _text_page(request, title, kind, language, draft, known, PublishForm(first=not known))


def _text_page(
    request: HttpRequest,
    title: str,
    kind: str,
    language: str,
    draft: TextDraft | None,
    known: list[TextVersion],
    form: PublishForm,
) -> HttpResponse:
    now = timezone.now()
    form.frame(kind, language)
    asked = [
        (Again(choice).label, *signers_asked_again(kind, language, choice, at=now))
        for choice in (Again.MINORS, Again.EVERYBODY)
    ]
    context = {
        "title": title,
        "kind": kind,
        "language": language,
        "draft": draft,
        "versions": known,
        "form": form,
        "asked": asked if known else [],
        "same": bool(draft and known and known[0].full_text == draft.full_text),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "bookings/texts_text.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_textdraft", raise_exception=True)
def text_edit(request: HttpRequest, kind: str, language: str) -> HttpResponse:
    """The draft in work: saved, then seen as it will be read."""
    title = _named(kind, language)
    draft = TextDraft.objects.filter(kind=kind, language=language).first()
    form = TextForm(typed(request), instance=draft)
    if request.method == "POST" and form.is_valid():
        try:
            save_draft(kind=kind, language=language, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, "Draft saved. This is how it will be read.")
            return redirect("text", kind, language)
    return form_page(request, form, f"Draft: {title}")


@require_POST
@permission_required("bookings.add_textversion", raise_exception=True)
def text_publish(request: HttpRequest, kind: str, language: str) -> HttpResponse:
    """The draft comes out as the next version; nothing of it changes ever after."""
    title = _named(kind, language)
    known = list(versions(kind, language))
    form = PublishForm(request.POST, first=not known)
    if form.is_valid():
        try:
            version = publish_text(kind=kind, language=language, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"Version {version.number} is out.")
            return redirect("text", kind, language)
    draft = TextDraft.objects.filter(kind=kind, language=language).first()
    return _text_page(request, title, kind, language, draft, known, form)


@require_safe
@permission_required("bookings.view_textversion", raise_exception=True)
def text_version(request: HttpRequest, kind: str, language: str, number: int) -> HttpResponse:
    """A version as it stands."""
    version = get_object_or_404(TextVersion, kind=kind, language=language, number=number)
    context = {"title": str(version), "version": version}
    return render(request, "bookings/texts_version.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_signingrules", raise_exception=True)
def signing_setup(request: HttpRequest) -> HttpResponse:
    """Ages, guardians and how long a link lasts."""
    form = SigningRulesForm(typed(request), instance=signing_rules())
    if request.method == "POST" and form.is_valid():
        try:
            save_signing_rules(**form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, "Saved.")
            return redirect("text_list")
    return form_page(request, form, "Rules of signing")
