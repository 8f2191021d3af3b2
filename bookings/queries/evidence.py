"""Is every signed record what it was? The chain walked, and all that hangs on it compared."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from bookings.models import (
    ChainHead,
    ChainRecord,
    HealthLog,
    HealthNote,
    Participant,
    Signature,
    TextVersion,
)
from bookings.queries.heads import remembered_heads
from bookings.queries.records import (
    ERASED,
    PUBLISHED,
    SIGNED,
    health_fingerprint,
    read_content,
    trace_fingerprint,
)
from bookings.rules.evidence import (
    CHAIN_START,
    ChainedRecord,
    chain_link_text,
    chain_report,
    text_fingerprint,
)


@dataclass(frozen=True, slots=True)
class Broken:
    """Something that is not what it was: the record by its number, or what else it is."""

    number: int | None
    reason: str

    @property
    def sentence(self) -> str:
        return f"Record {self.number}: {self.reason}." if self.number else f"{self.reason}."


@dataclass(frozen=True, slots=True)
class ChainCheck:
    """The outcome: how many records, the last hash, what is broken, what could not be looked at."""

    records: int
    last_hash: str
    broken: tuple[Broken, ...]
    notes: tuple[str, ...]

    @property
    def whole(self) -> bool:
        return not self.broken


def check_chain(known: Iterable[tuple[int, str]] = ()) -> ChainCheck:
    """Walk the whole chain. `known` are numbers and hashes kept elsewhere, from a paper say."""
    chain = {record.number: record for record in ChainRecord.objects.order_by("number")}
    head = ChainHead.objects.first()
    outside = [*known, *(remembered_heads(head.chain) if head else ())]
    notes: list[str] = []
    contents = {number: _content(record) for number, record in chain.items()}
    found = [
        *_links(chain, head, outside),
        *_signatures(contents, notes),
        *_texts(contents),
        *_strays(chain),
    ]
    unique = tuple(dict.fromkeys(sorted(found, key=lambda each: each.number or 0)))
    last = chain[max(chain)].own_hash if chain else ""
    return ChainCheck(len(chain), last, unique, tuple(dict.fromkeys(notes)))


def _links(
    chain: dict[int, ChainRecord], head: ChainHead | None, outside: list[tuple[int, str]]
) -> Iterator[Broken]:
    """The chain itself: no record changed, rewritten, taken out, put in or cut off."""
    last = max([*chain, head.number if head else 0, *(number for number, _ in outside)], default=0)
    missing = {number for number in range(1, last + 1) if number not in chain}
    for number in sorted(missing):
        yield Broken(number, "it is missing")
    if head is None and chain:
        yield Broken(None, "The end of the chain, which is kept beside it, is missing")
    links = [
        ChainedRecord(each.number, each.content, each.previous_hash, each.own_hash)
        for each in chain.values()
    ]
    ends_there = bool(head and links and links[-1].number == head.number)
    report = chain_report(links, head.own_hash if head and ends_there else "")
    for broken in report.broken:
        # After a gap the next record is not at fault: the missing one is named already.
        if broken.number - 1 in missing and broken.reason.startswith("it stands where"):
            continue
        yield Broken(broken.number, broken.reason)
    for number in chain:
        if head and number > head.number:
            yield Broken(number, "it stands after the end of the chain")
    for number, own_hash in outside:
        if number in chain and chain[number].own_hash != own_hash:
            yield Broken(
                number, "it was rewritten: its fingerprint differs from the one kept elsewhere"
            )


def _signatures(contents: dict[int, dict[str, Any]], notes: list[str]) -> Iterator[Broken]:
    """What hangs on the chain: each signature against its seal, and all else against that."""
    erased = {
        number: by
        for by, content in contents.items()
        if content.get("act") == ERASED
        for number in content.get("records") or []
    }
    ground = _Ground(notes)
    seen = set()
    signatures = Signature.objects.select_related("text", "trace", "sheet").order_by("record")
    for signature in signatures.iterator(chunk_size=200):
        number = signature.record_id
        seen.add(number)
        content = contents.get(number, {})
        if content.get("act") != SIGNED:
            yield Broken(number, "it is no signature in the chain")
            continue
        for reason in _signature(signature, content, erased.get(number), ground):
            yield Broken(number, reason)
    for number, content in contents.items():
        if content.get("act") == SIGNED and number not in seen:
            yield Broken(number, "what was signed is missing")


def _content(record: ChainRecord) -> dict[str, Any]:
    try:
        return read_content(record.content)
    except ValueError:
        return {}


class _Ground:
    """What the signatures are compared with, read once."""

    def __init__(self, notes: list[str]) -> None:
        self.notes = notes
        self.people = set(Participant.objects.order_by().values_list("pk", flat=True))
        self.health = {note.signature_id: note for note in HealthNote.objects.all()}
        gone = HealthLog.objects.filter(
            act__in=[HealthLog.Act.ERASED, HealthLog.Act.REPLACED], record_number__isnull=False
        )
        self.health_gone = set(gone.order_by().values_list("record_number", flat=True))


def _signature(
    signature: Signature, content: Mapping[str, Any], erased_by: int | None, ground: _Ground
) -> Iterator[str]:
    yield from _text_of(signature, content)
    if not signature.sealed:
        if erased_by is None:
            yield "what was recorded is gone, and no record of the chain erased it"
        return
    if erased_by is not None:
        yield f"it holds again what record {erased_by} erased"
        return
    if text_fingerprint(signature.sealed) != content.get("seal"):
        yield "what was recorded was changed"
        return
    facts = read_content(signature.sealed)
    yield from _columns(signature, facts, ground)
    yield from _trace(signature, facts)
    yield from _sheet(signature, facts)
    yield from _health(signature, facts, ground)


def _text_of(signature: Signature, content: Mapping[str, Any]) -> Iterator[str]:
    text = signature.text
    named = (content.get("kind"), content.get("language"), content.get("version"))
    if named != (text.kind, text.language, text.number):
        yield "it was hung on another text"
    elif not content.get("text_sha256") == text.sha256 == text_fingerprint(text.full_text):
        yield f"the text that was signed, {text}, was changed"


def _columns(signature: Signature, facts: dict[str, Any], ground: _Ground) -> Iterator[str]:
    """What is stored for finding says the same as what was sealed."""
    stored = {
        "trip": signature.trip_id,
        "by_guardian": signature.by_guardian,
        "method": signature.method,
        "answer": signature.answer,
        "signed_at": signature.signed_at,
    }
    for name, value in stored.items():
        if facts.get(name) != value:
            yield f"its {name.replace('_', ' ')} was changed"
    person = facts.get("participant")
    if signature.participant_id != person and (
        signature.participant_id is not None or person in ground.people
    ):
        yield "it was hung on another person"


def _trace(signature: Signature, facts: dict[str, Any]) -> Iterator[str]:
    trace, sealed = signature.trace, facts.get("trace_sha256")
    if trace is None:
        if sealed:
            yield "address and browser are gone"
    elif trace.erased_at is not None:
        if trace.address or trace.agent or trace.salt:
            yield "address and browser were changed"
    elif trace_fingerprint(trace.salt, trace.address, trace.agent) != sealed:
        yield "address and browser were changed"


def _sheet(signature: Signature, facts: dict[str, Any]) -> Iterator[str]:
    sheet, sealed = signature.sheet, facts.get("sheet_sha256")
    if sheet is None:
        if sealed:
            yield "the photograph of its sheet is gone"
        return
    if sheet.sha256 != sealed:
        yield "the photograph of its sheet was changed"
        return
    try:
        with sheet.file.open("rb") as stream:
            same = sha256(stream.read()).hexdigest() == sealed
    except OSError:
        yield "the file with the photograph of its sheet is missing"
        return
    if not same:
        yield "the photograph of its sheet was changed"


def _health(signature: Signature, facts: dict[str, Any], ground: _Ground) -> Iterator[str]:
    sealed = facts.get("answers_sha256")
    if not sealed:
        return
    note = ground.health.get(signature.record_id)
    if note is None:
        if signature.participant_id and signature.record_id not in ground.health_gone:
            yield "its health answers are gone, and nothing on the log erased them"
        return
    if not isinstance(note.facts, dict) or not isinstance(note.answers, dict):
        ground.notes.append("Health notes could not be compared: no key opens them.")
    elif health_fingerprint(note.facts, note.answers) != sealed:
        yield "its health answers were changed"
    elif note.participant_id != signature.participant_id or note.trip_id != signature.trip_id:
        yield "its health answers were hung on another person or trip"


def _texts(contents: dict[int, dict[str, Any]]) -> Iterator[Broken]:
    """Each published version says what it said on the day that it came out."""
    versions = {
        (version.kind, version.language, version.number): version
        for version in TextVersion.objects.all()
    }
    for number, content in contents.items():
        if content.get("act") != PUBLISHED:
            continue
        named = (content["kind"], content["language"], content["version"])
        version = versions.pop(named, None)
        if version is None:
            yield Broken(number, f"the text that came out, {'/'.join(map(str, named))}, is gone")
        elif not content["text_sha256"] == version.sha256 == text_fingerprint(version.full_text):
            yield Broken(number, f"the text that came out, {version}, was changed")
        elif (content["published_at"], content["again"]) != (version.published_at, version.again):
            yield Broken(number, f"when {version} came out, or for whom, was changed")
    for version in versions.values():
        yield Broken(None, f"The {version} was put in: no record says that it came out")


def _strays(chain: dict[int, ChainRecord]) -> Iterator[Broken]:
    """Health notes that hang on no record, and signing that left no record at all."""
    for note in HealthNote.objects.filter(signature=None).select_related("participant"):
        yield Broken(None, f"The health note of {note.participant} hangs on no record")
    if not chain and HealthLog.objects.filter(record_number__isnull=False).exists():
        yield Broken(None, "The whole chain is missing: the log of health notes knows records")


@dataclass(frozen=True, slots=True)
class Proof:
    """What anybody who holds a signed form may ask: is the record there, and is it whole?"""

    number: int
    text: TextVersion
    signed_at: datetime.datetime
    whole: bool
    erased: bool


def proof_of(own_hash: str) -> Proof | None:
    """The record with this fingerprint, without a word about who signed it."""
    signature = (
        Signature.objects.select_related("record", "text")
        .filter(record__own_hash=own_hash.lower())
        .first()
    )
    if signature is None:
        return None
    record = signature.record
    link = chain_link_text(record.number, record.content, record.previous_hash)
    before = ChainRecord.objects.filter(pk=record.number - 1).values_list("own_hash", flat=True)
    content = _content(record)
    whole = (
        text_fingerprint(link) == record.own_hash
        and record.previous_hash == (before.first() or CHAIN_START)
        and not list(_text_of(signature, content))
        and (not signature.sealed or text_fingerprint(signature.sealed) == content.get("seal"))
    )
    return Proof(
        record.number, signature.text, signature.signed_at, whole, signature.erased_at is not None
    )
