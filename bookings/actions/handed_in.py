"""What a signer hands in, and the circumstances in which it was signed."""

from __future__ import annotations

from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from bookings.actions.health import HealthAnswers, health_gaps
from bookings.models import Business, PaperSheet, Participant, Signature, SigningLink, TextKind
from bookings.queries.signatures import PersonState
from bookings.queries.signers import of_guardian, of_person
from bookings.rules.signing import drawn_strokes, mark_of_strokes, typed_mark


@dataclass(frozen=True, slots=True)
class FormSigned:
    """What a signer typed and drew. `once` is the same word for a second press of one button."""

    signer_name: str
    once: str
    agrees: bool
    intent: str
    drawn: str = ""
    typed: str = ""
    photos: str = ""
    health: HealthAnswers | None = None
    relation: str = ""
    contact_phone: str = ""
    responsible: Participant | None = None
    responsible_name: str = ""
    copy_to: str = ""


@dataclass(frozen=True, slots=True)
class Circumstances:
    """How it was signed: by which way, known by what, from where, seen by whom."""

    method: str
    identified_by: str
    own_means: str
    address: str = ""
    agent: str = ""
    sheet: PaperSheet | None = None
    witness: str = ""


def by_link(link: SigningLink, *, address: str, agent: str) -> Circumstances:
    """Signed on a private link, at home or on the guide's phone."""
    if link.way == SigningLink.Way.PHONE:
        return Circumstances(
            method=Signature.Method.PHONE,
            identified_by="in person by the guide, at the meeting point",
            own_means=f"the guide's phone, handed over with link {link.pk}",
            address=address,
            agent=agent,
            witness=_guide_name(),
        )
    return Circumstances(
        method=Signature.Method.LINK,
        identified_by=f"private link {_came_by(link)}",
        own_means=f"link {link.pk} of {link.made_at.day} {link.made_at:%B %Y}",
        address=address,
        agent=agent,
    )


def _came_by(link: SigningLink) -> str:
    """How the link came to the signer; one that the booker handed on says so."""
    if not link.sent_to:
        return "handed over by the guide"
    signer = of_person(link.person) if link.person else None
    signer = signer or (of_guardian(link.guardian) if link.guardian else None)
    own = {signer.email.lower(), signer.phone.lower()} if signer else set()
    client = signer.client if signer else None
    if client and link.sent_to.lower() in {client.email.lower(), client.phone.lower()} - own:
        return f"sent to {link.sent_to}, who booked, to be handed on"
    return f"sent to {link.sent_to}"


def _guide_name() -> str:
    return Business.objects.values_list("guide_name", flat=True).first() or ""


def checked_mark(
    form: FormSigned, how: Circumstances, state: PersonState, kinds: set[str]
) -> tuple[str, str]:
    """The kind of mark and the mark itself; every gap of the form is told at once."""
    wrong = form_gaps(form, state, kinds)
    if how.sheet is None:
        wrong |= mark_gaps(form)
    if wrong:
        raise ValidationError(wrong)
    return _mark(form, how)


def form_gaps(form: FormSigned, state: PersonState, kinds: set[str]) -> dict[str, str]:
    """Everything but the mark that a form still lacks before it can be signed, by its field."""
    wrong = _gaps(form, state, kinds)
    return wrong | (health_gaps(form.health) if form.health is not None else {})


def mark_gaps(form: FormSigned) -> dict[str, str]:
    """What is wrong with a signature drawn or typed."""
    try:
        _drawn_or_typed(form)
    except ValueError as refusal:
        return {"drawn" if form.drawn else "typed": str(refusal)}
    return {}


def _mark(form: FormSigned, how: Circumstances) -> tuple[str, str]:
    return ("paper", how.sheet.sha256) if how.sheet is not None else _drawn_or_typed(form)


def _drawn_or_typed(form: FormSigned) -> tuple[str, str]:
    if form.drawn:
        return "drawn", mark_of_strokes(drawn_strokes(form.drawn))
    if not form.typed.strip():
        raise ValueError("Draw your signature or type your name.")
    return "typed", typed_mark(form.typed)


def _gaps(form: FormSigned, state: PersonState, kinds: set[str]) -> dict[str, str]:
    wrong: dict[str, str] = {}
    try:
        typed_mark(form.signer_name)
    except ValueError as refusal:
        wrong["signer_name"] = str(refusal)
    if not form.agrees:
        wrong["agrees"] = "Tick this to sign here, or ask the guide for paper."
    if TextKind.PHOTOS in kinds and form.photos not in Signature.Answer.values:
        wrong["photos"] = "Say yes or no; either answer is fine."
    if TextKind.HEALTH in kinds and form.health is None:
        wrong["allergy"] = "Answer the health questions."
    if state.minor:
        wrong |= _guardian_gaps(form, state)
    try:
        validate_email(form.copy_to or "nobody@example.org")
    except ValidationError:
        wrong["copy_to"] = "This is no mail address."
    return wrong


def _guardian_gaps(form: FormSigned, state: PersonState) -> dict[str, str]:
    wrong = {}
    if not form.relation.strip():
        wrong["relation"] = "Say what you are to the minor: mother, father, legal guardian."
    if not form.contact_phone.strip():
        wrong["contact_phone"] = "Give a number on which you can be reached on the day."
    if form.responsible is None and not form.responsible_name.strip():
        wrong["responsible"] = "Say which adult stays responsible for them minute by minute."
    elif form.responsible is not None and form.responsible.pk == state.person.pk:
        wrong["responsible"] = "Nobody is responsible for themselves under age."
    return wrong
