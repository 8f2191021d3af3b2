"""Whoever signs and asks for it gets the forms by mail: once, whole, and kept as they went."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Iterator
from email import message_from_bytes, policy
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from bookings.actions.retention import erase_signatures
from bookings.actions.sending import send_due
from bookings.models import Message, MessageKind, OwedCopy, SchedulerRun, Signature
from bookings.queries.signatures import outstanding
from bookings.queries.signers import of_person
from bookings.rules.mail import enclosed_files
from guiding.desk.actions.messages import run_scheduler
from tests.bookings.mail_server import Server
from tests.factories import NOON
from tests.factories_signing import (
    ALLERGIC,
    CHILD,
    SECRET_WORDS,
    booked_trip,
    form_of,
    guardian_form,
    on_board,
    signed,
)
from tests.papers import reading

pytestmark = pytest.mark.django_db
MINUTE = datetime.timedelta(minutes=1)
TO = "maeve@example.org"


@pytest.fixture
def server(settings: Any) -> Iterator[Server]:
    with Server().open() as opened:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", opened.port
        settings.EMAIL_USE_TLS = False
        settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
        yield opened


def maeve_signs(language: str = "en", **changes: Any) -> list[Signature]:
    trip = booked_trip(heads=2)
    maeve = on_board(trip, "Maeve", family_name="Skerry", email=TO)
    form = form_of(maeve, **{"copy_to": TO} | changes)
    return signed(trip, maeve, form=form, language=language)


def copies() -> list[Message]:
    return list(Message.objects.filter(kind=MessageKind.COPY).order_by("pk"))


def a_round(minutes: int = 1) -> None:
    """One round of the worker, so many minutes after noon."""
    at = NOON + minutes * MINUTE
    run_scheduler(at=at)
    send_due(at=lambda: at)


def test_one_mail_with_a_form_for_each_text(server: Server) -> None:
    signatures = maeve_signs()
    a_round()
    (mail,) = server.mails
    assert mail["To"] == f"Maeve Skerry <{TO}>"
    files = enclosed_files(server.taken[0][1])
    assert [file.name for file in files] == [
        f"record-{each.pk}-{each.text.kind}.pdf" for each in signatures
    ]
    for file, signature in zip(files, signatures, strict=True):
        words = " ".join(reading.text(file.content).split())
        assert signature.text.title in words
        assert signature.record.own_hash[:8] in words
        assert f"- {signature.text.title}" in mail.get_body().get_content()  # type: ignore[union-attr]


def test_what_was_sent_is_kept_byte_for_byte_with_what_was_attached(server: Server) -> None:
    maeve_signs()
    a_round()
    (row,) = copies()
    ((to, raw),) = server.taken
    assert (row.state, row.to_mail, to) == (Message.State.SENT, TO, TO)
    assert bytes(row.mail) == raw
    assert [one["sha256"] for one in row.enclosed] == [
        hashlib.sha256(file.content).hexdigest() for file in enclosed_files(raw)
    ]
    assert row.trip is not None
    assert row.party is not None


def test_never_twice(server: Server) -> None:
    maeve_signs()
    for minutes in range(1, 6):
        a_round(minutes)
    assert len(server.taken) == 1
    assert not OwedCopy.objects.filter(sent_at=None).exists()


def test_a_list_that_forgot_what_it_sent_still_sends_nothing_again(server: Server) -> None:
    """The outbox itself knows: a copy restored as owed is not mailed a second time."""
    maeve_signs()
    a_round()
    OwedCopy.objects.update(sent_at=None)
    a_round(2)
    assert len(server.taken) == 1


def test_mail_server_down_then_up(settings: Any, server: Server) -> None:
    settings.EMAIL_PORT = 1  # nobody listens there
    maeve_signs()
    a_round()
    assert server.taken == []
    settings.EMAIL_PORT = server.port
    a_round(2)
    assert len(server.taken) == 1


@pytest.mark.django_db(transaction=True)  # the worker takes a connection of its own each round
def test_the_worker_does_it_into_a_folder(settings: Any, tmp_path: Path) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    settings.EMAIL_FILE_PATH = folder = tmp_path / "mail"
    maeve_signs()
    call_command("worker", "--once")
    (file,) = [each for each in folder.iterdir() if b"record-" in each.read_bytes()]
    assert file.read_bytes().count(b"application/pdf") == 4


def test_a_guardian_gets_the_forms_of_the_child_apart_from_her_own(server: Server) -> None:
    trip = booked_trip(heads=2)
    maeve = on_board(trip, "Maeve", family_name="Skerry", email=TO)
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
    signed(trip, maeve, form=form_of(maeve, copy_to=TO))
    form = guardian_form("Maeve Skerry", copy_to=TO, responsible=maeve)
    signed(trip, finn, signer=of_person(maeve), form=form)
    a_round()
    bodies = [mail.get_body().get_content() for mail in server.mails]  # type: ignore[union-attr]
    assert ["signing for Maeve Skerry" in bodies[0], "signing for Finn" in bodies[1]] == [True] * 2
    assert outstanding(trip, at=NOON).ready


def test_nobody_who_did_not_ask_is_written_to(server: Server) -> None:
    maeve_signs(copy_to="")
    a_round()
    assert copies() == []


def test_in_german_words_forms_and_fixed_labels_are_german(server: Server) -> None:
    maeve_signs("de", photos="no")
    a_round()
    (mail,) = server.mails
    assert str(mail["Subject"]).startswith("Ihre Kopie")
    assert "Guten Tag Maeve Skerry" in mail.get_body().get_content()  # type: ignore[union-attr]
    photos = " ".join(reading.text(enclosed_files(server.taken[0][1])[-1].content).split())
    assert "Was festgehalten wurde" in photos
    assert "Antwort nein" in photos
    assert f"privater Link, gesendet an {TO}" in photos
    for english in ("Answer", "private link", "Signed", "Fingerprint", "Record", "Seen by", " of "):
        assert english not in photos, english


def test_no_health_word_goes_out(server: Server) -> None:
    maeve_signs(health=ALLERGIC)
    a_round()
    ((_to, raw),) = server.taken
    assert SECRET_WORDS.encode() not in raw
    parsed = message_from_bytes(raw, policy=policy.default)
    assert SECRET_WORDS not in parsed.get_body().get_content()  # type: ignore[union-attr]
    for file in enclosed_files(raw):
        assert SECRET_WORDS not in reading.text(file.content)


def test_an_erased_record_is_owed_no_more(server: Server) -> None:
    signatures = maeve_signs()
    erase_signatures(signatures, why="kept 2190 days", at=NOON)
    a_round()
    assert copies() == []


def test_a_changed_record_holds_up_nobody_and_is_told(server: Server) -> None:
    broken = maeve_signs()
    Signature.objects.filter(pk=broken[0].pk).update(sealed="not a record")
    trip = booked_trip(heads=1)
    tomas = on_board(trip, "Tomas", email="tomas@example.org")
    signed(trip, tomas, form=form_of(tomas, copy_to="tomas@example.org"))
    a_round()
    assert [to for to, _raw in server.taken] == ["tomas@example.org"]
    (problem,) = SchedulerRun.objects.get().problems
    assert f"Record {broken[0].pk} can no longer be read" in problem
    assert OwedCopy.objects.filter(sent_at=None).count() == 4
