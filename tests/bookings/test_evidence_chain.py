"""Records changed straight in the database, one way after the other: each is found and named."""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from bookings.actions.paper import photo_of_sheet, sign_on_paper
from bookings.actions.retention import erase_signatures
from bookings.actions.texts import publish_text, save_draft
from bookings.models import ChainHead, ChainRecord, HealthNote, PaperSheet, Signature, TextVersion
from bookings.queries.evidence import check_chain
from bookings.queries.heads import heads_file
from bookings.queries.signatures import outstanding
from bookings.queries.signers import of_person
from bookings.queries.texts import texts_in
from bookings.rules.evidence import chain_link_text, text_fingerprint
from tests.factories import NOON, UserFactory
from tests.factories_signing import (
    ALLERGIC,
    CHILD,
    booked_trip,
    form_of,
    guardian_form,
    on_board,
    signed,
)
from tests.photographs import photograph

pytestmark = pytest.mark.django_db
LATER = NOON + datetime.timedelta(hours=1)

Named = set[int | None]

# Ten texts come out first (records 1 to 10). Then Maeve signs four, the last with the photographs
# of herself; then four for Finn; then Tomas four on paper; then a text comes out that nobody has
# signed; then Maeve's first record but one is erased.
RISKS_OUT = 8
MAEVE_RISKS, MAEVE_TERMS, MAEVE_HEALTH, MAEVE_PHOTOS = 11, 12, 13, 14
FINN_RISKS, FINN_GUARDIAN, FINN_HEALTH, FINN_PHOTOS = 15, 16, 17, 18
TOMAS = (19, 20, 21, 22)
UNSIGNED, ERASER = 23, 24
EVERYBODYS_RISKS: Named = {RISKS_OUT, MAEVE_RISKS, FINN_RISKS, TOMAS[0]}


def run(sql: str, *values: object) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)


def value(sql: str, *values: object) -> Any:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        return cursor.fetchone()[0]


@pytest.fixture
def chain(django_capture_on_commit_callbacks: Any) -> None:
    """Twenty-four records, their ends written down outside the database as each was added."""
    with django_capture_on_commit_callbacks(execute=True):
        trip = booked_trip(heads=3)
        maeve = on_board(trip, "Maeve")
        finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
        tomas = on_board(trip, "Tomas")
        signed(trip, maeve)
        signed(
            trip,
            finn,
            signer=of_person(maeve),
            form=guardian_form("Maeve", responsible=maeve, health=ALLERGIC),
        )
        state = outstanding(trip, at=NOON).of(tomas.pk)
        assert state is not None
        file = photograph()
        sign_on_paper(
            trip=trip,
            person=tomas,
            signer=of_person(tomas),
            texts=list(texts_in("en", state.kinds, at=NOON).values()),
            form=form_of(tomas, drawn=""),
            photo=photo_of_sheet(file, len(file.getvalue())),
            user=UserFactory(first_name="Orla", last_name="Tern"),
            at=NOON,
        )
        save_draft(kind="photos", language="en", title="New", body="Not signed.", at=LATER)
        publish_text(kind="photos", language="en", again="nobody", at=LATER)
        erase_signatures([Signature.objects.get(pk=MAEVE_TERMS)], why="a test", at=LATER)


def test_the_untouched_chain_is_whole(chain: None) -> None:
    check = check_chain()
    assert check.whole, check.broken
    assert check.records == 24
    assert not check.notes
    assert len(heads_file(ChainHead.objects.get().chain).read_text().splitlines()) == 24


# ------------------------------------------------------------------ ways of tampering


def _text_body() -> Named:
    run(
        "UPDATE bookings_textversion SET body = replace(body, 'ask about', 'ask  about')"
        " WHERE kind = 'risks' AND language = 'en'"
    )
    return EVERYBODYS_RISKS


def _text_title() -> Named:
    run("UPDATE bookings_textversion SET title = title || '.' WHERE kind='risks' AND language='en'")
    return EVERYBODYS_RISKS


def _text_with_a_fresh_fingerprint() -> Named:
    text = TextVersion.objects.get(kind="risks", language="en")
    body = text.body.replace("not a shield", "a shield")
    run(
        "UPDATE bookings_textversion SET body = %s, sha256 = %s WHERE id = %s",
        body,
        text_fingerprint(f"{text.title}\n\n{body}"),
        text.pk,
    )
    return EVERYBODYS_RISKS


def _text_time() -> Named:
    run(
        "UPDATE bookings_textversion SET published_at = %s WHERE kind='risks' AND language='en'",
        NOON - datetime.timedelta(days=400),
    )
    return {RISKS_OUT}


def _text_asks_again() -> Named:
    run("UPDATE bookings_textversion SET again = 'everybody' WHERE kind='photos' AND number = 2")
    return {UNSIGNED}


def _text_gone() -> Named:
    run("DELETE FROM bookings_textversion WHERE kind = 'photos' AND number = 2")
    return {UNSIGNED}


def _text_put_in() -> Named:
    run(
        "INSERT INTO bookings_textversion (kind, language, title, body, number, sha256,"
        " published_at, again, change_note, checked_by)"
        " VALUES ('risks', 'fr', 'T', 'B', 1, %s, %s, 'nobody', '', '')",
        text_fingerprint("T\n\nB"),
        NOON,
    )
    return {None}


def _one_stroke() -> Named:
    sealed = Signature.objects.get(pk=MAEVE_RISKS).sealed
    start = sealed.index('"mark":"[[[') + len('"mark":"[[[')
    digit = sealed[start]
    changed = sealed[:start] + ("1" if digit != "1" else "2") + sealed[start + 1 :]
    run("UPDATE bookings_signature SET sealed = %s WHERE record_id = %s", changed, MAEVE_RISKS)
    return {MAEVE_RISKS}


def _sealed_time() -> Named:
    run(
        "UPDATE bookings_signature SET sealed = replace(sealed, '2026-06-01T12:00:00',"
        " '2026-06-01T12:00:01') WHERE record_id = %s",
        FINN_RISKS,
    )
    return {FINN_RISKS}


def _stored_time() -> Named:
    run(
        "UPDATE bookings_signature SET signed_at = %s WHERE record_id = %s",
        NOON + datetime.timedelta(seconds=1),
        FINN_PHOTOS,
    )
    return {FINN_PHOTOS}


def _resealed(number: int, old: str, new: str, *, hashes: bool) -> None:
    """Change what was recorded and put a fitting seal into the chain, with or without its hash."""
    signature = Signature.objects.select_related("record").get(pk=number)
    sealed = signature.sealed.replace(old, new)
    assert sealed != signature.sealed
    record = signature.record
    content = record.content.replace(text_fingerprint(signature.sealed), text_fingerprint(sealed))
    run("UPDATE bookings_signature SET sealed = %s WHERE record_id = %s", sealed, number)
    own = text_fingerprint(chain_link_text(number, content, record.previous_hash))
    run(
        "UPDATE bookings_chainrecord SET content = %s, own_hash = %s WHERE number = %s",
        content,
        own if hashes else record.own_hash,
        number,
    )


def _seal_without_hash() -> Named:
    _resealed(MAEVE_PHOTOS, "Maeve", "Maud", hashes=False)
    return {MAEVE_PHOTOS}


def _seal_with_hash() -> Named:
    _resealed(MAEVE_PHOTOS, "Maeve", "Maud", hashes=True)
    return {MAEVE_PHOTOS}


def _content_of_an_erasure() -> Named:
    run(
        "UPDATE bookings_chainrecord SET content = replace(content, 'a test', 'a rule')"
        " WHERE number = %s",
        ERASER,
    )
    return {ERASER}


def _last_rewritten() -> Named:
    """The last record rewritten with fitting hashes: only the kept end knows better."""
    record = ChainRecord.objects.get(pk=ERASER)
    content = record.content.replace("a test", "a rule")
    own = text_fingerprint(chain_link_text(ERASER, content, record.previous_hash))
    run(
        "UPDATE bookings_chainrecord SET content=%s, own_hash=%s WHERE number=%s",
        content,
        own,
        ERASER,
    )
    return {ERASER}


def _last_rewritten_and_the_end_too() -> Named:
    named = _last_rewritten()
    run("UPDATE bookings_chainhead SET own_hash = %s", ChainRecord.objects.get(pk=ERASER).own_hash)
    return named


def _everything_rewritten() -> Named:
    """From record 11 on, with every hash and the end recomputed."""
    _resealed(MAEVE_RISKS, "Maeve", "Maud", hashes=True)
    before = ChainRecord.objects.get(pk=MAEVE_RISKS)
    for record in ChainRecord.objects.filter(number__gt=MAEVE_RISKS).order_by("number"):
        own = text_fingerprint(chain_link_text(record.number, record.content, before.own_hash))
        run(
            "UPDATE bookings_chainrecord SET previous_hash = %s, own_hash = %s WHERE number = %s",
            before.own_hash,
            own,
            record.number,
        )
        record.own_hash = own
        before = record
    run("UPDATE bookings_chainhead SET own_hash = %s", before.own_hash)
    return set(range(MAEVE_RISKS, 25))


def _drop(number: int) -> None:
    run("UPDATE bookings_healthnote SET signature_id = NULL WHERE signature_id = %s", number)
    run("DELETE FROM bookings_signature WHERE record_id = %s", number)
    run("DELETE FROM bookings_chainrecord WHERE number = %s", number)


def _record_deleted() -> Named:
    _drop(FINN_PHOTOS)
    return {FINN_PHOTOS}


def _two_deleted() -> Named:
    _drop(FINN_GUARDIAN)
    _drop(FINN_RISKS)
    return {FINN_GUARDIAN, FINN_RISKS}


def _first_deleted() -> Named:
    run("DELETE FROM bookings_chainrecord WHERE number = 1")
    return {1, None}  # its text has no record any more


def _last_deleted() -> Named:
    _drop(ERASER)
    return {ERASER, MAEVE_TERMS}  # what it erased is gone without a reason now


def _cut_short_and_the_end_too() -> Named:
    """The last two cut off and the end rolled back: the heads outside know them."""
    _drop(ERASER)
    _drop(UNSIGNED)
    run("DELETE FROM bookings_textversion WHERE kind = 'photos' AND number = 2")
    last = ChainRecord.objects.get(pk=UNSIGNED - 1)
    run("UPDATE bookings_chainhead SET number = %s, own_hash = %s", last.number, last.own_hash)
    return {UNSIGNED, ERASER, MAEVE_TERMS}


def _signature_deleted() -> Named:
    run("DELETE FROM bookings_signature WHERE record_id = %s", MAEVE_PHOTOS)
    return {MAEVE_PHOTOS}


def _swap(column: str, table: str, key: str, one: int, other: int) -> None:
    read = f"SELECT {column} FROM {table} WHERE {key} = %s"  # noqa: S608  names of our own
    write = f"UPDATE {table} SET {column} = %s WHERE {key} = %s"  # noqa: S608
    first, second = value(read, one), value(read, other)
    run(write, second, one)
    run(write, first, other)


def _seals_swapped() -> Named:
    _swap("sealed", "bookings_signature", "record_id", MAEVE_RISKS, FINN_RISKS)
    return {MAEVE_RISKS, FINN_RISKS}


def _contents_swapped() -> Named:
    _swap("content", "bookings_chainrecord", "number", MAEVE_RISKS, FINN_RISKS)
    return {MAEVE_RISKS, FINN_RISKS}


def _put_in_at_the_end() -> Named:
    last = ChainRecord.objects.get(pk=ERASER)
    content = '{"act":"signed"}'
    own = text_fingerprint(chain_link_text(25, content, last.own_hash))
    run(
        "INSERT INTO bookings_chainrecord (number, content, previous_hash, own_hash)"
        " VALUES (25, %s, %s, %s)",
        content,
        last.own_hash,
        own,
    )
    return {25}


def _previous_hash() -> Named:
    run("UPDATE bookings_chainrecord SET previous_hash=%s WHERE number=%s", "a" * 64, FINN_RISKS)
    return {FINN_RISKS}


def _own_hash() -> Named:
    run("UPDATE bookings_chainrecord SET own_hash = %s WHERE number = %s", "b" * 64, FINN_RISKS)
    return {FINN_RISKS}


def _end_deleted() -> Named:
    run("DELETE FROM bookings_chainhead")
    return {None}


def _another_person() -> Named:
    _swap("participant_id", "bookings_signature", "record_id", MAEVE_RISKS, FINN_RISKS)
    return {MAEVE_RISKS, FINN_RISKS}


def _nobody() -> Named:
    run("UPDATE bookings_signature SET participant_id = NULL WHERE record_id = %s", MAEVE_RISKS)
    return {MAEVE_RISKS}


def _another_trip() -> Named:
    other = booked_trip(heads=1).pk
    run("UPDATE bookings_signature SET trip_id = %s WHERE record_id = %s", other, MAEVE_RISKS)
    return {MAEVE_RISKS}


def _another_text() -> Named:
    german = TextVersion.objects.get(kind="risks", language="de").pk
    run("UPDATE bookings_signature SET text_id = %s WHERE record_id = %s", german, MAEVE_RISKS)
    return {MAEVE_RISKS}


def _answer() -> Named:
    run("UPDATE bookings_signature SET answer = 'no' WHERE record_id = %s", MAEVE_PHOTOS)
    return {MAEVE_PHOTOS}


def _by_guardian() -> Named:
    run("UPDATE bookings_signature SET by_guardian = %s WHERE record_id = %s", True, MAEVE_RISKS)
    return {MAEVE_RISKS}


def _method() -> Named:
    run("UPDATE bookings_signature SET method = 'phone' WHERE record_id = %s", MAEVE_RISKS)
    return {MAEVE_RISKS}


def _trace() -> Named:
    trace = Signature.objects.get(pk=FINN_RISKS).trace_id
    run("UPDATE bookings_browsertrace SET agent = 'Another/2.0' WHERE id = %s", trace)
    return {FINN_RISKS, FINN_GUARDIAN, FINN_HEALTH, FINN_PHOTOS}


def _trace_gone() -> Named:
    run("UPDATE bookings_signature SET trace_id = NULL WHERE record_id = %s", FINN_RISKS)
    return {FINN_RISKS}


def _sheet_file() -> Named:
    path = Path(PaperSheet.objects.get().file.path)
    path.write_bytes(path.read_bytes() + b"x")
    return set(TOMAS)


def _sheet_file_gone() -> Named:
    Path(PaperSheet.objects.get().file.path).unlink()
    return set(TOMAS)


def _sheet_fingerprint() -> Named:
    run("UPDATE bookings_papersheet SET sha256 = %s", "c" * 64)
    return set(TOMAS)


def _sheet_gone() -> Named:
    run("UPDATE bookings_signature SET sheet_id = NULL WHERE record_id = %s", TOMAS[1])
    return {TOMAS[1]}


def _health_answers_swapped() -> Named:
    mine = HealthNote.objects.get(signature=MAEVE_HEALTH).pk
    other = HealthNote.objects.get(signature=FINN_HEALTH).pk
    _swap("answers", "bookings_healthnote", "id", mine, other)
    return {MAEVE_HEALTH, FINN_HEALTH}


def _health_note_deleted() -> Named:
    run("DELETE FROM bookings_healthnote WHERE signature_id = %s", FINN_HEALTH)
    return {FINN_HEALTH}


def _emptied() -> Named:
    run(
        "UPDATE bookings_signature SET sealed = '', erased_at = %s WHERE record_id = %s",
        LATER,
        MAEVE_RISKS,
    )
    return {MAEVE_RISKS}


def _erased_one_filled_again() -> Named:
    sealed = Signature.objects.get(pk=MAEVE_RISKS).sealed
    run("UPDATE bookings_signature SET sealed=%s WHERE record_id=%s", sealed, MAEVE_TERMS)
    return {MAEVE_TERMS}


def _numbers_pushed_up() -> Named:
    """A record moved to another number: its place is empty, and where it stands it fits nowhere."""
    run("UPDATE bookings_signature SET record_id = %s WHERE record_id = %s", 30, MAEVE_PHOTOS)
    run("UPDATE bookings_chainrecord SET number = %s WHERE number = %s", 30, MAEVE_PHOTOS)
    return {MAEVE_PHOTOS, *range(25, 31)}


WAYS: list[Callable[[], Named]] = [
    _text_body,
    _text_title,
    _text_with_a_fresh_fingerprint,
    _text_time,
    _text_asks_again,
    _text_gone,
    _text_put_in,
    _one_stroke,
    _sealed_time,
    _stored_time,
    _seal_without_hash,
    _seal_with_hash,
    _content_of_an_erasure,
    _last_rewritten,
    _last_rewritten_and_the_end_too,
    _everything_rewritten,
    _record_deleted,
    _two_deleted,
    _first_deleted,
    _last_deleted,
    _cut_short_and_the_end_too,
    _signature_deleted,
    _seals_swapped,
    _contents_swapped,
    _put_in_at_the_end,
    _previous_hash,
    _own_hash,
    _end_deleted,
    _another_person,
    _nobody,
    _another_trip,
    _another_text,
    _answer,
    _by_guardian,
    _method,
    _trace,
    _trace_gone,
    _sheet_file,
    _sheet_file_gone,
    _sheet_fingerprint,
    _sheet_gone,
    _health_answers_swapped,
    _health_note_deleted,
    _emptied,
    _erased_one_filled_again,
    _numbers_pushed_up,
]


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.__name__.strip("_"))
def test_tampering_is_found_and_the_record_named(chain: None, way: Callable[[], Named]) -> None:
    wanted = way()
    broken = check_chain().broken
    assert {each.number for each in broken} == wanted, [each.sentence for each in broken]


def test_there_are_more_than_twenty_ways() -> None:
    assert len(WAYS) >= 20


def test_cut_short_without_anything_kept_outside_is_found_from_a_paper(chain: None) -> None:
    """Nothing in the database can show it then; the form in the signer's hand can."""
    head = ChainHead.objects.get()
    printed = (UNSIGNED, ChainRecord.objects.get(pk=UNSIGNED).own_hash)
    heads_file(head.chain).unlink()
    _cut_short_and_the_end_too()
    assert UNSIGNED not in {each.number for each in check_chain().broken}
    assert UNSIGNED in {each.number for each in check_chain([printed]).broken}


def test_everything_thrown_away_is_found(chain: None) -> None:
    run("UPDATE bookings_healthnote SET signature_id = NULL")
    for table in ("signature", "chainrecord", "chainhead"):
        run(f"DELETE FROM bookings_{table}")  # noqa: S608
    reasons = [each.sentence for each in check_chain().broken]
    assert any("hangs on no record" in reason for reason in reasons)
    assert any("was put in: no record says" in reason for reason in reasons)


def test_after_tampering_nobody_can_sign_over_it(chain: None) -> None:
    """The next record would follow one that stands twice: refused, nothing written."""
    _put_in_at_the_end()
    trip = booked_trip(heads=1)
    person = on_board(trip, "Ulla")
    with pytest.raises(Exception, match="another end than expected"):
        signed(trip, person)
    assert not Signature.objects.filter(participant=person).exists()


# ------------------------------------------------------------------ the command


def _command(*args: str) -> str:
    out = StringIO()
    call_command("verify_waivers", *args, stdout=out)
    return out.getvalue()


def test_the_command_says_that_all_is_whole(chain: None) -> None:
    last = ChainRecord.objects.get(pk=24).own_hash
    assert _command() == f"24 records, all whole. Last: {last}\n"
    facts = json.loads(_command("--json"))
    assert facts == {"records": 24, "last_hash": last, "whole": True, "broken": [], "notes": []}


def test_the_command_names_the_record_and_fails(chain: None) -> None:
    _stored_time()
    with pytest.raises(CommandError) as failed:
        _command()
    assert str(failed.value) == "1 broken: Record 18: its signed at was changed."
    assert failed.value.returncode == 1
    out = StringIO()
    with pytest.raises(CommandError):
        call_command("verify_waivers", "--json", stdout=out)
    assert json.loads(out.getvalue())["broken"] == [
        {"record": 18, "reason": "its signed at was changed"}
    ]


def test_the_command_compares_with_a_paper(chain: None) -> None:
    own = ChainRecord.objects.get(pk=11).own_hash
    assert "all whole" in _command("--known", f"11:{own.upper()}")
    with pytest.raises(CommandError, match="Record 11: it was rewritten"):
        _command("--known", f"11:{'0' * 64}")
    with pytest.raises(CommandError, match="is not NUMBER:FINGERPRINT"):
        _command("--known", "eleven")


def test_an_empty_desk_is_whole() -> None:
    assert _command() == "0 records, all whole. Last: -\n"
