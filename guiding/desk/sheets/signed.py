"""A signed record as the paper that the signer keeps."""

from __future__ import annotations

import datetime
from typing import Any

from django.conf import settings
from django.urls import reverse

from bookings.models import Business, Signature
from bookings.queries.records import SignedRecord, newer_number, record_of
from bookings.rules.phones import phone_text
from bookings.sheets.recorded_words import recorded_in
from guiding.desk.sheets.gather import letterhead
from guiding.desk.sheets.languages import LOCALES, in_language, language_of_house
from guiding.papers import records
from guiding.papers.signed_form import in_eights, signed_form_pdf
from guiding.papers.words import Words

_SCALE = 10_000  # a point of a drawn signature counts 0 to 10000 along each side


def signed_form(
    signature: Signature,
    *,
    business: Business,
    printed_at: datetime.datetime,
    proof: str,
    page_size: str = "",
) -> records.SignedForm:
    """The paper of a record; `proof` is the address its square code opens.

    ValueError when what the record held was erased or is no longer readable.
    """
    record = record_of(signature)
    facts, text = record.facts, signature.text
    minor = bool(facts["by_guardian"])
    head = letterhead(
        business, number=f"S{record.number:05d}", printed_at=printed_at, page_size=page_size
    )
    language = text.language if text.language in LOCALES else language_of_house(business)
    newer = newer_number(signature)
    return records.SignedForm(
        letterhead=in_language(head, language),
        title=text.title,
        text=text.body,
        text_version=str(text.number),
        text_language=text.language,
        text_sha256=text.sha256,
        signer_name=facts["signer_name"],
        identified_by=recorded_in(language, facts["identified_by"]),
        means=recorded_in(language, facts["own_means"]),
        signed_at=facts["signed_at"],
        signed_zone=facts["zone"],
        intent=facts["intent"],
        typed_name=str(facts["mark"]) if facts["mark_kind"] == "typed" else "",
        strokes=_strokes(record),
        signed_for="" if minor else _other_than_self(facts),
        relationship=facts["relationship"],
        minor_name=facts["signed_for"] if minor else "",
        minor_age=facts["age"] if minor else None,
        agreed_to_electronic=facts["agreed_to_electronic"],
        copy_given=facts["copy_offered"],
        record_number=record.number,
        record_sha256=signature.record.own_hash,
        previous_sha256=signature.record.previous_hash,
        facts=_more(facts, language),
        verify=proof,
        superseded_by=str(newer or ""),
        on_paper=facts["mark_kind"] == "paper",
    )


def signed_form_file(
    signature: Signature,
    *,
    business: Business,
    printed_at: datetime.datetime,
    proof: str,
    page_size: str = "",
) -> bytes:
    """The paper of a record as a PDF."""
    return signed_form_pdf(
        signed_form(
            signature,
            business=business,
            printed_at=printed_at,
            proof=proof,
            page_size=page_size,
        )
    )


def proof_address(signature: Signature) -> str:
    """The address that the square code opens."""
    return f"{settings.PUBLIC_URL}{reverse('sign_proof', args=[signature.record.own_hash])}"


def _strokes(record: SignedRecord) -> tuple[tuple[tuple[float, float], ...], ...]:
    return tuple(tuple((x / _SCALE, y / _SCALE) for x, y in stroke) for stroke in record.strokes)


def _other_than_self(facts: dict[str, object]) -> str:
    signed_for = str(facts["signed_for"])
    return "" if signed_for == facts["signer_name"] else signed_for


def _more(facts: dict[str, Any], language: str) -> tuple[records.Fact, ...]:
    """What was recorded beside: only what is there."""
    words = Words.of(language)
    told = {
        "form.answer": recorded_in(language, facts["answer"]),
        "form.responsible": facts["responsible"],
        "form.contact": phone_text(facts["guardian_contact"]),
        "form.witness": facts["witness"],
        "form.sheet": in_eights(facts["sheet_sha256"]),
        "form.health": in_eights(facts["answers_sha256"]),
    }
    return tuple(records.Fact(words.text(key), str(value)) for key, value in told.items() if value)
