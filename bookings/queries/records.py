"""Signed records, read back from what was sealed."""

from __future__ import annotations

import datetime
import json
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db.models import Q, QuerySet

from bookings.models import OwedCopy, Signature, Trip
from bookings.queries.signers import Signer
from bookings.rules.evidence import canonical_record, text_fingerprint
from bookings.rules.signing import Stroke, drawn_strokes

ERASED, PUBLISHED, SIGNED = "erased", "published", "signed"
"""What a record of the chain is about."""


def read_content(content: str) -> dict[str, Any]:
    """A canonical record as plain values; ValueError when it is none."""
    read = json.loads(content)
    if not isinstance(read, dict):
        raise ValueError("This is no record.")
    return {name: _value(value) for name, value in read.items()}


def _value(value: Any) -> Any:
    if isinstance(value, dict) and len(value) == 1:
        ((kind, told),) = value.items()
        if kind == "instant":
            return datetime.datetime.fromisoformat(told)
        if kind == "day":
            return datetime.date.fromisoformat(told)
        if kind == "decimal":
            return Decimal(told)
    return [_value(each) for each in value] if isinstance(value, list) else value


def trace_fingerprint(salt: str, address: str, agent: str) -> str:
    """What stays of address and browser when they are emptied."""
    return text_fingerprint(canonical_record({"salt": salt, "address": address, "agent": agent}))


def health_fingerprint(facts: dict[str, Any], answers: dict[str, Any]) -> str:
    """What stays of a health note when it is deleted; the salt is among the answers."""
    written = json.dumps([facts, answers], ensure_ascii=False, sort_keys=True)
    return text_fingerprint(written)


@dataclass(frozen=True, slots=True)
class SignedRecord:
    """One signature with everything that was recorded of it."""

    signature: Signature
    facts: dict[str, Any]

    @property
    def number(self) -> int:
        return self.signature.record_id

    @property
    def strokes(self) -> tuple[Stroke, ...]:
        """The drawn lines; none where the mark was typed or is on paper."""
        if self.facts["mark_kind"] != "drawn":
            return ()
        return drawn_strokes(self.facts["mark"])


def signed_records() -> QuerySet[Signature]:
    """Signatures with all that a record is read from."""
    return Signature.objects.select_related(
        "record", "text", "trip__offer", "participant", "sheet", "trace"
    )


def signed_record(number: int) -> SignedRecord | None:
    """A record by its number; None when there is none. ValueError when its time was up."""
    signature = signed_records().filter(pk=number).first()
    if signature is None:
        return None
    return record_of(signature)


def record_of(signature: Signature) -> SignedRecord:
    """What was recorded of a signature. ValueError when it was erased or is not readable."""
    if not signature.sealed:
        raise ValueError(
            f"What record {signature.record_id} held was erased when its time was up; its number, "
            "time and fingerprint stand in the chain."
        )
    try:
        return SignedRecord(signature, read_content(signature.sealed))
    except ValueError:
        raise ValueError(
            f"Record {signature.record_id} can no longer be read: it was changed after it was "
            f"written. {settings.PROGRAM} verify_waivers names what is broken."
        ) from None


def owed_copies() -> list[list[OwedCopy]]:
    """Copies that signers asked for and that no mail was written for, oldest first.

    Those of one form, which go to one address, stand together.
    """
    rows = OwedCopy.objects.filter(sent_at=None).select_related(
        "signature__record",
        "signature__text",
        "signature__trip__offer",
        "signature__participant__party__client",
        "signature__sheet",
        "signature__trace",
    )
    forms: dict[tuple[object, ...], list[OwedCopy]] = {}
    for row in rows.order_by("owed_since", "signature"):
        signature = row.signature
        form = (row.owed_since, row.to.lower(), signature.trip_id, signature.participant_id)
        forms.setdefault(form, []).append(row)
    return list(forms.values())


def own_signatures(signer: Signer, trip: Trip) -> list[Signature]:
    """What this signer signed for this trip, newest first; nobody else's."""
    if signer.person is not None:
        mine = Q(participant=signer.person, by_guardian=False) | Q(guardian__person=signer.person)
    else:
        mine = Q(guardian=signer.guardian)
    return list(
        Signature.objects.filter(mine, trip=trip, erased_at=None)
        .select_related("text", "participant", "record")
        .order_by("-record")
    )


def newer_number(signature: Signature) -> int | None:
    """The record that took this one's place: the same text kind, person and trip, signed later."""
    if signature.participant_id is None:
        return None
    return (
        Signature.objects.filter(
            participant=signature.participant_id,
            trip=signature.trip_id,
            text__kind=signature.text.kind,
            by_guardian=signature.by_guardian,
            guardian=signature.guardian_id,
            record__gt=signature.record_id,
        )
        .order_by("record")
        .values_list("record", flat=True)
        .first()
    )
