"""The guide's side of signing: what is missing, who is asked, what is collected on the sand."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.models import User
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bookings.actions.handed_in import FormSigned, form_gaps
from bookings.actions.paper import photo_of_sheet, sign_on_paper
from bookings.actions.people import choose_guardian, name_guardian, remove_guardian
from bookings.actions.signing_links import Asked, ask_to_sign, make_link, take_back_links
from bookings.forms.signing import GuardianForm, PaperForm
from bookings.models import Business, Guardian, Signature, SigningLink, TextVersion, Trip
from bookings.queries.health import collects_signatures
from bookings.queries.signatures import Outstanding, PersonState, outstanding
from bookings.queries.signers import Signer
from bookings.queries.signing_links import open_links
from bookings.queries.texts import texts_in
from bookings.sheets.asking import AskingText, asking_text, languages_of
from bookings.sheets.sign_words import EN
from bookings.views.form_page import form_page, typed
from bookings.views.private import not_stored, own_language, tongue_of
from bookings.views.sign import handed_in


def _stand_or_404(request: HttpRequest, pk: int) -> Outstanding:
    """The trip with what it lacks, for its guides alone."""
    trip = get_object_or_404(Trip.objects.select_related("offer"), pk=pk)
    if not collects_signatures(request.user, trip):
        raise PermissionDenied("Only the guides of this trip collect its signatures.")
    return outstanding(trip, at=timezone.now())


def _state_or_404(stand: Outstanding, person_pk: int) -> PersonState:
    state = stand.of(person_pk)
    if state is None:
        raise Http404("There is nobody of this number on this trip.")
    return state


def _signer_or_404(state: PersonState, told: str) -> Signer:
    """Who of those that may sign for a person; named as 'person-7' or 'guardian-3'."""
    for signer in state.signers:
        if told in {"", "-".join(map(str, signer.key))}:
            return signer
    raise Http404("Nobody of this number signs for them.")


@require_safe
def trip_signing(request: HttpRequest, pk: int) -> HttpResponse:
    """Who has signed, who has not, which guardian is missing, which version is old."""
    stand = _stand_or_404(request, pk)
    records = (
        Signature.objects.filter(trip=stand.trip)
        .select_related("text", "participant")
        .defer("sealed", "text__body")
        .order_by("-record")
    )
    context = {
        "title": "Signatures",
        "stand": stand,
        "trip": stand.trip,
        "records": records[:200],
        "links": open_links(stand.trip, at=timezone.now()),
        "over": stand.trip.ends_at <= timezone.now(),
    }
    return render(request, "bookings/signing_trip.html", context)


@require_POST
def signing_ask(request: HttpRequest, pk: int) -> HttpResponse:
    """Fresh links for everybody who is missing, or for one; each is shown here and never again."""
    stand = _stand_or_404(request, pk)
    told = request.POST.get("signer", "")
    kind, _, number = told.partition("-")
    only = {(kind, int(number))} if number.isdecimal() else set()
    try:
        asked = ask_to_sign(trip=stand.trip, only=only)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("trip_signing", pk)
    context = {
        "title": "Ask them to sign",
        "trip": stand.trip,
        "texts": [_words(each, stand.trip) for each in asked],
    }
    return not_stored(render(request, "bookings/signing_asked.html", context))


def _words(asked: Asked, trip: Trip) -> AskingText:
    person = asked.signer.person or (asked.signer.guardian.ward if asked.signer.guardian else None)
    address = reverse("sign_start", args=[asked.token])
    return asking_text(
        signer=asked.signer,
        names=asked.names,
        link=f"{settings.PUBLIC_URL}{address}",
        until=asked.link.expires_at,
        trip=trip,
        business=Business.objects.get(),
        language=languages_of(trip).get(person.party_id if person else 0, "en"),
    )


@require_POST
def signing_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Shut every link of a trip: what was signed stays signed."""
    stand = _stand_or_404(request, pk)
    count = take_back_links(trip=stand.trip)
    messages.success(
        request, f"{count} link{'s' * (count != 1)} taken back. Ask again to send new ones."
    )
    return redirect("trip_signing", pk)


@require_safe
def meeting(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything that is still missing, on one page for the phone."""
    stand = _stand_or_404(request, pk)
    context = {"title": "Meeting point", "stand": stand, "trip": stand.trip}
    return render(request, "bookings/signing_meeting.html", context)


@require_POST
def meeting_hand_over(request: HttpRequest, pk: int, person_pk: int) -> HttpResponse:
    """Opens the signer's page on this phone, for a quarter of an hour."""
    stand = _stand_or_404(request, pk)
    state = _state_or_404(stand, person_pk)
    signer = _signer_or_404(state, request.POST.get("signer", ""))
    try:
        _, token = make_link(signer=signer, trip=stand.trip, way=SigningLink.Way.PHONE)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("meeting", pk)
    return not_stored(redirect("sign_start", token))


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def signing_paper(request: HttpRequest, pk: int, person_pk: int) -> HttpResponse:
    """A sheet signed with a pen: photographed, and written down as what it is."""
    stand = _stand_or_404(request, pk)
    state = _state_or_404(stand, person_pk)
    named = request.POST.get("signer") or request.GET.get("signer", "")
    signer = _signer_or_404(state, named)
    texts = texts_in(own_language(), state.kinds, at=timezone.now())
    if not texts or state.minor is None:
        messages.info(request, f"{state.person}: nothing to sign on paper now.")
        return redirect("trip_signing", pk)
    adults = [
        other
        for other in stand.people
        if other.booking.pk == state.booking.pk and other.minor is False
    ]
    form = PaperForm(
        typed(request),
        request.FILES or None,
        state=state,
        signer=signer,
        kinds=texts,
        words=EN,
        adults=adults,
        initial={"texts": ",".join(str(text.pk) for text in texts.values())},
    )
    form.full_clean()
    told = handed_in(form, adults, EN["intent"]) if request.method == "POST" else None
    if told and _keep_sheet(request, form, told, stand.trip, state, signer, list(texts.values())):
        messages.success(request, f"The sheet of {signer.name} is kept.")
        return redirect("trip_signing", pk)
    context = {"trip": stand.trip, "state": state, "signer": signer, "texts": list(texts.values())}
    title = f"Paper signed by {signer.name}"
    return form_page(request, form, title, "bookings/signing_paper.html", **context)


def _keep_sheet(
    request: HttpRequest,
    form: PaperForm,
    told: FormSigned,
    trip: Trip,
    state: PersonState,
    signer: Signer,
    texts: list[TextVersion],
) -> bool:
    """Keep a sheet; else all that it lacks, the photograph too, stands in the form at once."""
    photo = form.cleaned_data.get("photo")
    try:
        picture = photo_of_sheet(photo.file, photo.size) if photo else b""
    except ValidationError as refusal:
        form.refuse(refusal)
    if form.errors:
        gaps = form_gaps(told, state, {text.kind for text in texts})
        form.refuse(ValidationError(form.not_told_yet(gaps)))
        return False
    try:
        assert isinstance(request.user, User)  # noqa: S101  the login is required
        sign_on_paper(
            trip=trip,
            person=state.person,
            signer=signer,
            texts=texts,
            form=told,
            photo=picture,
            user=request.user,
        )
    except ValidationError as refusal:
        form.refuse(refusal)
        return False
    return True


@require_safe
def signing_sheets(request: HttpRequest, pk: int) -> HttpResponse:
    """The texts with lines to sign on, one sheet for each person who is missing, to print."""
    stand = _stand_or_404(request, pk)
    now, tongue = timezone.now(), tongue_of(own_language())
    words = tongue.words
    sheets = [
        (
            state,
            words["sheet_as"].format(name=state.person, age=state.age),
            [
                (text, words["version"].format(number=text.number))
                for text in texts_in(tongue.language, state.kinds, at=now).values()
            ],
        )
        for state in stand.missing
        if state.kinds and state.signers
    ]
    context = {
        "title": "Sheets to sign",
        "trip": stand.trip,
        "sheets": sheets,
        "w": words,
        "manner": tongue.manner,
        "sheet_language": tongue.language,
    }
    return render(request, "bookings/signing_sheets.html", context)


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def guardian_new(request: HttpRequest, pk: int, person_pk: int) -> HttpResponse:
    """Who answers for a minor: of the party, or from outside with a link of their own."""
    stand = _stand_or_404(request, pk)
    ward = _state_or_404(stand, person_pk).person
    form = GuardianForm(typed(request), ward=ward, on=stand.day)
    if request.method == "POST" and form.is_valid():
        told = form.chosen()
        guardian = told["guardian"] or told["outside"]["name"]
        try:
            if told["guardian"]:
                choose_guardian(ward=ward, person=told["guardian"])
            else:
                name_guardian(ward=ward, **told["outside"])
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{guardian} is named as guardian of {ward}.")
            return redirect("trip_signing", pk)
    return form_page(request, form, f"Guardian of {ward}")


@require_POST
def guardian_remove(request: HttpRequest, pk: int, guardian_pk: int) -> HttpResponse:
    stand = _stand_or_404(request, pk)
    people = [state.person.pk for state in stand.people]
    guardian = get_object_or_404(Guardian, pk=guardian_pk, ward__in=people)
    name = str(guardian)
    remove_guardian(guardian=guardian)
    messages.success(request, f"{name} is off the list. What they signed stays as it is.")
    return redirect("trip_signing", pk)
