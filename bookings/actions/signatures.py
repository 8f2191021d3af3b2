"""Signing: one text, one person, one record of the chain; a form signs several in one go."""

from __future__ import annotations

import datetime
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.actions.chain import add_to_chain, lock_chain
from bookings.actions.handed_in import Circumstances, FormSigned, checked_mark
from bookings.actions.health import attach_note, declare_health
from bookings.models import (
    BrowserTrace,
    Guardian,
    HealthNote,
    OwedCopy,
    Participant,
    Signature,
    SigningLink,
    TextKind,
    TextVersion,
    Trip,
)
from bookings.queries.records import SIGNED, health_fingerprint, trace_fingerprint
from bookings.queries.signatures import PersonState, outstanding
from bookings.queries.signers import Signer, trip_day, zone_of_business
from bookings.queries.texts import texts_in
from bookings.rules.evidence import (
    Acknowledgement,
    FieldValue,
    canonical_record,
    missing_evidence,
    text_fingerprint,
)
from bookings.rules.signing import address_without_host, text_kinds_to_sign, typed_mark

CHANGEABLE = {TextKind.HEALTH.value, TextKind.PHOTOS.value}
"""Answers that may be given anew at any time, although the text was signed."""


@transaction.atomic
def sign(
    *,
    trip: Trip,
    person: Participant,
    signer: Signer,
    texts: Sequence[TextVersion],
    form: FormSigned,
    how: Circumstances,
    link: SigningLink | None = None,
    at: datetime.datetime | None = None,
) -> list[Signature]:
    """Sign these texts for a person, each as its own record; a second press signs nothing anew."""
    at = at or timezone.now()
    lock_chain()
    if link is not None and not SigningLink.objects.filter(pk=link.pk, revoked_at=None).exists():
        raise ValidationError("This link was taken back. Ask the guide for a new one.")
    pressed = list(Signature.objects.filter(once=form.once, participant=person))
    if pressed:
        return pressed
    state = _state(trip, person, signer, at)
    done = _signed_already(state, texts, signer)
    if done is not None:
        return done
    _check_current(texts, at)
    mark_kind, mark = checked_mark(form, how, state, {text.kind for text in texts})
    guardian = _guardian(state, signer, form) if state.minor else None
    note = _declare(state, trip, form, texts, at)
    trace = _trace(how, at)
    row = _Row(trip, person, guardian, how, form, trace, note)
    shared = _shared_facts(row, state, signer, mark_kind, mark, at)
    signatures = [_one_record(text, shared, row, at) for text in texts]
    _owe_copies(signatures, form.copy_to, at)
    if link is not None:
        SigningLink.objects.filter(pk=link.pk).update(signed_at=at)
    return signatures


@dataclass(frozen=True, slots=True)
class _Row:
    """What the records of one form have in common beside what is sealed."""

    trip: Trip
    person: Participant
    guardian: Guardian | None
    how: Circumstances
    form: FormSigned
    trace: BrowserTrace | None
    note: HealthNote | None


def _shared_facts(
    row: _Row,
    state: PersonState,
    signer: Signer,
    mark_kind: str,
    mark: str,
    at: datetime.datetime,
) -> dict[str, FieldValue]:
    """What every record of one form seals alike."""
    how, guardian, zone = row.how, row.guardian, zone_of_business()
    return {
        "signer_name": typed_mark(row.form.signer_name),
        "signer_contact": signer.email or signer.phone,
        "identified_by": how.identified_by,
        "own_means": how.own_means,
        "method": str(how.method),
        "witness": how.witness,
        "mark_kind": mark_kind,
        "mark": mark,
        "signed_at": at,
        "zone": zone.key,
        "agreed_to_electronic": row.form.agrees,
        "copy_offered": True,
        "intent": row.form.intent,
        "signed_for": str(row.person),
        "participant": row.person.pk,
        "by_guardian": bool(state.minor),
        "relationship": guardian.relation if guardian else "",
        "guardian_contact": guardian.phone or guardian.email if guardian else "",
        "responsible": guardian.responsible if guardian else "",
        "age": state.age,
        "trip": row.trip.pk,
        "trip_day": trip_day(row.trip, zone),
        "trace_sha256": _sealed_trace(row.trace),
        "sheet_sha256": how.sheet.sha256 if how.sheet else "",
    }


def _state(trip: Trip, person: Participant, signer: Signer, at: datetime.datetime) -> PersonState:
    """Where the person stands; refused unless this signer may sign for them today."""
    state = outstanding(trip, at=at).of(person.pk)
    if state is None:
        raise ValidationError(f"{person} is not on this trip. Nothing was signed.")
    if trip.ends_at <= at:
        raise ValidationError("This trip is over: nobody can sign for it any more.")
    if state.minor is None:
        raise ValidationError({"born_on": "Give the date of birth first: it says who must sign."})
    if all(signer.key != other.key for other in state.signers):
        who = "a guardian signs" if state.minor else "they sign themselves"
        raise ValidationError(f"{person} will be {state.age} on the day: {who}.")
    return state


def _signed_already(
    state: PersonState, texts: Sequence[TextVersion], signer: Signer
) -> list[Signature] | None:
    """The records that stand, when all of it was signed a moment ago in another window."""
    kinds = {text.kind for text in texts}
    if not kinds or not kinds <= set(text_kinds_to_sign(minor=bool(state.minor))):
        raise ValidationError("There is nothing of this kind to sign.")
    if kinds & set(state.kinds) or kinds <= CHANGEABLE:
        return None
    signed = Signature.objects.filter(participant=state.person, text__in=texts)
    if state.minor and signer.person:
        signed = signed.filter(guardian__person=signer.person)
    elif state.minor:
        signed = signed.filter(guardian=signer.guardian)
    found = list(signed.order_by("record"))
    return found or None


def _check_current(texts: Sequence[TextVersion], at: datetime.datetime) -> None:
    """What was read is what is out."""
    for text in texts:
        newest = texts_in(text.language, [text.kind], at=at).get(text.kind)
        if newest != text:
            raise ValidationError(
                f"The {text.get_kind_display()} has changed while you were reading. "
                "Please read the new version; nothing was signed."
            )


def _guardian(state: PersonState, signer: Signer, form: FormSigned) -> Guardian:
    """The guardian's row, made or brought up to date by what they signed."""
    guardian = (
        signer.guardian or Guardian.objects.filter(ward=state.person, person=signer.person).first()
    )
    guardian = guardian or Guardian(ward=state.person, person=signer.person)
    guardian.name = typed_mark(form.signer_name)
    guardian.relation = form.relation.strip()
    guardian.phone = form.contact_phone.strip()
    guardian.email = guardian.email or signer.email
    guardian.responsible_person = form.responsible
    guardian.responsible = str(form.responsible or form.responsible_name.strip())[:200]
    guardian.full_clean()
    guardian.save()
    return guardian


def _declare(
    state: PersonState,
    trip: Trip,
    form: FormSigned,
    texts: Sequence[TextVersion],
    at: datetime.datetime,
) -> HealthNote | None:
    if form.health is None or all(text.kind != TextKind.HEALTH for text in texts):
        return None
    return declare_health(participant=state.person, trip=trip, answers=form.health, at=at)


def _trace(how: Circumstances, at: datetime.datetime) -> BrowserTrace | None:
    if not how.address and not how.agent:
        return None
    return BrowserTrace.objects.create(
        address=address_without_host(how.address),
        agent=_printable(how.agent)[:200],
        salt=secrets.token_hex(16),
        taken_at=at,
    )


def _printable(text: str) -> str:
    return "".join(letter for letter in text if letter.isprintable())


def _sealed_trace(trace: BrowserTrace | None) -> str:
    return trace_fingerprint(trace.salt, trace.address, trace.agent) if trace else ""


def _one_record(
    text: TextVersion, shared: Mapping[str, FieldValue], row: _Row, at: datetime.datetime
) -> Signature:
    """One text signed: sealed, added to the chain, stored."""
    health = row.note if text.kind == TextKind.HEALTH else None
    answer = row.form.photos if text.kind == TextKind.PHOTOS else ""
    facts: dict[str, FieldValue] = {
        **shared,
        "kind": text.kind,
        "language": text.language,
        "version": text.number,
        "title": text.title,
        "text_sha256": text_fingerprint(text.full_text),
        "answer": answer,
        "answers_sha256": health_fingerprint(health.facts, health.answers) if health else "",
        "salt": secrets.token_hex(16),
    }
    gaps = missing_evidence(_acknowledgement(text, facts, row))
    if gaps:
        raise ValidationError(list(gaps))
    sealed = canonical_record(facts)
    record = add_to_chain(
        {
            "act": SIGNED,
            "kind": text.kind,
            "language": text.language,
            "version": text.number,
            "text_sha256": facts["text_sha256"],
            "signed_at": at,
            "seal": text_fingerprint(sealed),
        },
        at=at,
    )
    signature = Signature(
        record=record,
        text=text,
        trip=row.trip,
        participant=row.person,
        guardian=row.guardian,
        by_guardian=bool(facts["by_guardian"]),
        method=row.how.method,
        answer=answer,
        signed_at=at,
        once=row.form.once,
        sealed=sealed,
        trace=row.trace,
        sheet=row.how.sheet,
    )
    signature.full_clean()
    signature.save(force_insert=True)
    if health:
        attach_note(note=health, signature=signature)
    return signature


def _acknowledgement(
    text: TextVersion, facts: Mapping[str, FieldValue], row: _Row
) -> Acknowledgement:
    """The same facts as the rules of evidence know them."""
    age = facts["age"]
    return Acknowledgement(
        text=text.full_text,
        text_version=str(text.number),
        language=text.language,
        signer_name=str(facts["signer_name"]),
        identified_by=row.how.identified_by,
        own_means=row.how.own_means,
        mark_kind=str(facts["mark_kind"]),
        mark=str(facts["mark"]),
        signed_at=facts["signed_at"],  # type: ignore[arg-type]
        zone=str(facts["zone"]),
        agreed_to_electronic=row.form.agrees,
        copy_offered=True,
        intent=row.form.intent,
        signed_for=str(row.person),
        relationship=str(facts["relationship"]),
        minor_age=age if row.guardian and isinstance(age, int) else None,
    )


def _owe_copies(signatures: Sequence[Signature], to: str, at: datetime.datetime) -> None:
    """Write down what the signer wants mailed; whoever sends mail works it off."""
    if to:
        OwedCopy.objects.bulk_create(
            OwedCopy(signature=signature, to=to, language=signature.text.language, owed_since=at)
            for signature in signatures
        )
