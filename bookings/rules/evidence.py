"""Evidence that a record is what it was: fingerprints, one way to write a record down, a chain.

Each record of the chain carries the hash of the one before it, so a later change of any field, or a
record taken out or put in, shows. A chain proves order and wholeness, not who signed; a signed
acknowledgement is a record, not a shield.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from hashlib import sha256

Scalar = str | int | bool | Decimal | date | datetime | None
FieldValue = Scalar | Sequence[Scalar]

CHAIN_START = "0" * 64
"""What the first record of a chain carries in place of a hash before it."""


@dataclass(frozen=True, slots=True)
class ChainedRecord:
    """A record in its chain: `content` as `canonical_record` wrote it, hashes as 64 hex digits."""

    number: int
    content: str
    previous_hash: str
    own_hash: str


@dataclass(frozen=True, slots=True)
class BrokenRecord:
    """A record that is not what it was: its place in the walk, from 1, and the number it bears."""

    place: int
    number: int
    reason: str


@dataclass(frozen=True, slots=True)
class ChainReport:
    """The outcome of a walk along the chain: how many records, which are broken."""

    records: int
    broken: tuple[BrokenRecord, ...]

    @property
    def whole(self) -> bool:
        return not self.broken


@dataclass(frozen=True, slots=True)
class Acknowledgement:
    """What is recorded of one signature; empty where the fact is missing.

    `signed_at` aware, `zone` its name; `own_means` is the link or code that the signer alone had;
    `mark` the typed name or the strokes as drawn; the minor's fields only when signed for one.
    """

    text: str
    text_version: str
    language: str
    signer_name: str
    identified_by: str
    own_means: str
    mark_kind: str
    mark: str
    signed_at: datetime
    zone: str
    agreed_to_electronic: bool
    copy_offered: bool
    intent: str
    signed_for: str
    relationship: str = ""
    minor_age: int | None = None


def text_fingerprint(text: str) -> str:
    """The SHA-256 of a text exactly as it was shown, as 64 hex digits.

    Of its UTF-8 bytes: no space trimmed, no line end or accent changed. Errors: a text that has no
    UTF-8 form (half a surrogate pair). Source: FIPS 180-4.
    """
    try:
        return sha256(text.encode("utf-8")).hexdigest()
    except UnicodeEncodeError as problem:
        raise ValueError("The text holds half a character; enter that place again.") from problem


def canonical_record(fields: Mapping[str, FieldValue]) -> str:
    """A record written down in the one way that can be hashed: JSON, names sorted, values typed.

    Values: text, whole numbers, true or false, Decimal (its digits kept: 1.0 is not 1.00), days,
    aware instants (in UTC), nothing, or a list of these. Each value stands with its type, so that
    the number 1 and the text '1' never look alike. Errors: a float, a naive instant,
    another type. Source: house rule, after the idea of RFC 8785.
    """
    typed = {name: _typed(value, name) for name, value in fields.items()}
    return _json(typed)


def acknowledgement_record(signed: Acknowledgement) -> str:
    """A signature as the canonical record that goes into the chain, its text's fingerprint added.

    Errors: a naive instant. Source: items of eIDAS Art. 3(10) and 26, 15 USC 7001.
    """
    fields: dict[str, FieldValue] = {
        name: getattr(signed, name) for name in Acknowledgement.__dataclass_fields__
    }
    return canonical_record({**fields, "text_sha256": text_fingerprint(signed.text)})


def missing_evidence(signed: Acknowledgement) -> tuple[str, ...]:
    """What a signature still lacks to be good evidence, in sentences; empty when nothing.

    A typed name, ticked box or drawing all count as a mark. A minor's signature needs the
    guardian's relationship and the minor's age. Source: eIDAS Art. 3(10) and 26, 15 USC 7001(c) and
    (d), intent from memory of 15 USC 7006(5); not legal advice, check with your own authority.
    """
    needed = {
        "The exact text is missing.": signed.text,
        "The version of the text is missing.": signed.text_version,
        "The language of the text is missing.": signed.language,
        "The signer's name is missing.": signed.signer_name,
        "How the signer was identified is missing.": signed.identified_by,
        "The signer's own link or code is missing.": signed.own_means,
        "The kind of mark is missing.": signed.mark_kind,
        "The mark itself is missing.": signed.mark,
        "The zone of the time is missing.": signed.zone,
        "The signer has not agreed to sign electronically.": signed.agreed_to_electronic,
        "No copy was offered to the signer.": signed.copy_offered,
        "The sentence that shows the intent to sign is missing.": signed.intent,
        "For whom it is signed is missing.": signed.signed_for,
    }
    gaps = [sentence for sentence, fact in needed.items() if not fact]
    if signed.minor_age is not None and not signed.relationship:
        gaps.append("A minor is signed for and the guardian's relationship is missing.")
    if signed.relationship and signed.minor_age is None:
        gaps.append("A guardian signs and the minor's age is missing.")
    return tuple(gaps)


def chained_record(content: str, previous: ChainedRecord | None = None) -> ChainedRecord:
    """The next record of a chain, hashed together with its number and the hash before it.

    `content` from `canonical_record`; `previous` the last record, None for the first.
    Source: hash chain, common practice.
    """
    number = 1 if previous is None else previous.number + 1
    before = CHAIN_START if previous is None else previous.own_hash
    return ChainedRecord(number, content, before, _hash_of(number, content, before))


def chain_link_text(number: int, content: str, previous_hash: str) -> str:
    """The text whose SHA-256 is a record's own hash: number, hash before, content, as JSON.

    Written to a file without a line end, any SHA-256 tool gives the hash. Source: house rule.
    """
    return _json([number, previous_hash, content])


def chain_report(records: Sequence[ChainedRecord], head_hash: str = "") -> ChainReport:
    """Which records of a chain are broken, each named by its place and number with the reason.

    `records` in order, the first of number 1. A record whose own hash does not fit was changed; one
    whose own hash fits but not the hash kept by its follower was rewritten; numbers that jump mean
    records taken out or put in. The end cannot vouch for itself: give `head_hash`, kept elsewhere,
    to see a chain cut short or its last record rewritten. Source: hash chain, common practice.
    """
    sound = [x.own_hash == _hash_of(x.number, x.content, x.previous_hash) for x in records]
    broken = []
    expected, before = 1, CHAIN_START
    for at, record in enumerate(records):
        if not sound[at]:
            why = "it was changed after it was written"
            broken.append(BrokenRecord(at + 1, record.number, why))
        elif record.number != expected:
            why = f"it stands where record {expected} belongs"
            broken.append(BrokenRecord(at + 1, record.number, why))
        elif record.previous_hash != before and at == 0:
            broken.append(BrokenRecord(1, record.number, "it does not begin a chain"))
        elif record.previous_hash != before and sound[at - 1]:
            why = "it was rewritten: the record after it knows another that stood here"
            broken.append(BrokenRecord(at, records[at - 1].number, why))
        expected = (record.number if sound[at] else expected) + 1
        before = record.own_hash
    if head_hash and before != head_hash and all(sound[-1:]):
        why = "the chain does not end in the hash kept elsewhere: cut off here, or rewritten"
        broken.append(BrokenRecord(len(records), expected - 1, why))
    return ChainReport(len(records), tuple(broken))


def _typed(value: FieldValue, name: str) -> object:
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, Decimal):
        return {"decimal": str(value)}
    if isinstance(value, datetime):
        if value.utcoffset() is None:
            raise ValueError(f"{name}: {value} has no zone; give an instant with its offset.")
        return {"instant": value.astimezone(UTC).isoformat(timespec="microseconds")}
    if isinstance(value, date):
        return {"day": value.isoformat()}
    if isinstance(value, list | tuple):
        return [_typed(each, name) for each in value]
    raise ValueError(f"{name}: {value!r} cannot be written down exactly; give text or a Decimal.")


def _hash_of(number: int, content: str, previous_hash: str) -> str:
    return text_fingerprint(chain_link_text(number, content, previous_hash))


def _json(value: object) -> str:
    return json.dumps(
        value, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False
    )
