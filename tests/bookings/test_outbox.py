"""The outbox by itself: not twice, in order, back-off, dead letters, what a claim is worth."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Any

import pytest
from django.core import mail as django_mail
from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.actions import outbox
from bookings.actions.sending import send_due
from bookings.models import Message
from bookings.queries.outbox import mail_state
from bookings.rules.mail import Enclosed, enclosed_files
from tests.bookings.mail_server import Server, free_port
from tests.factories import NOON, BusinessFactory, PartyFactory
from tests.factories_messages import queued

pytestmark = pytest.mark.django_db
MINUTE = datetime.timedelta(minutes=1)


@pytest.fixture
def server(settings: Any) -> Iterator[Server]:
    with Server().open() as one:
        _use(settings, one.port)
        yield one


def _use(settings: Any, port: int) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port
    settings.EMAIL_HOST_USER, settings.EMAIL_USE_TLS = "", False
    settings.EMAIL_TIMEOUT = 5


def _send(at: datetime.datetime = NOON) -> Any:
    return send_due(at=lambda: at)


def test_what_arrives_is_what_was_kept_byte_for_byte(server: Server) -> None:
    sheet = Enclosed("trip-sheet.pdf", "application/pdf", b"%PDF-1.7\r\n.\r\nend")
    row = queued(subject="Go!\r\nBcc: thief@example.org", to_name="Ó <b>", enclosed=[sheet])
    assert _send().sent == 1
    ((to, raw),) = server.taken
    assert to == "person0@example.org"
    assert raw == bytes(Message.objects.get().mail)
    assert enclosed_files(raw) == (sheet,)
    (mail,) = server.mails
    assert mail["Bcc"] is None
    assert mail["Subject"] == "Go! Bcc: thief@example.org"
    assert mail["Message-ID"] == row.message_id
    body = mail.get_body(("plain",))
    assert body is not None
    assert "\n.\n" in body.get_content().replace("\r\n", "\n")
    assert Message.objects.get().enclosed[0]["name"] == "trip-sheet.pdf"


def test_a_mail_that_nobody_pressed_for_says_so(server: Server) -> None:
    queued(1, by_rule=True)
    queued(2)
    assert _send().sent == 2
    # RFC 3834, section 5: "auto-generated" for the one, nothing for what a person sent.
    assert [mail["Auto-Submitted"] for mail in server.mails] == ["auto-generated", None]
    assert server.mails[0]["Subject"] == "Number 1"


def test_nobody_is_told_the_same_thing_twice(server: Server) -> None:
    row = queued()
    again = outbox.put_in_outbox(
        kind="go", cause=row.cause, to_mail="PERSON0@example.org", subject="s", body="b", at=NOON
    )
    assert again is None
    _send()
    _send()
    assert len(server.taken) == 1


def test_a_message_goes_with_what_it_tells() -> None:
    BusinessFactory()

    @transaction.atomic
    def told_and_taken_back() -> None:
        queued()
        raise RuntimeError

    with pytest.raises(RuntimeError):
        told_and_taken_back()
    assert not Message.objects.exists()


@pytest.mark.parametrize("address", ["", "nobody", "a@b\nBcc: x@y.org", "a" * 250 + "@example.org"])
def test_an_address_that_is_none_is_refused(address: str) -> None:
    BusinessFactory()
    with pytest.raises(ValidationError):
        queued(to_mail=address)
    assert not Message.objects.exists()


def test_within_a_party_nothing_overtakes(server: Server) -> None:
    one, other = PartyFactory(), PartyFactory()
    for n in range(3):
        queued(n, party=one, at=NOON + n * MINUTE)
    queued(9, party=other)
    server.refuse_rcpt = lambda to: "451 later" if to == "person0@example.org" else None
    assert _send(NOON + 5 * MINUTE).sent == 1
    assert [to for to, _raw in server.taken] == ["person9@example.org"]
    server.refuse_rcpt = lambda _to: None
    _send(NOON + 5 * MINUTE + 30 * MINUTE / 60)  # half a minute on: still waiting
    assert len(server.taken) == 1
    _send(NOON + 7 * MINUTE)
    assert [to[6] for to, _raw in server.taken] == ["9", "0", "1", "2"]


def test_what_is_due_later_waits_for_its_hour(server: Server) -> None:
    queued(due_at=NOON + 60 * MINUTE)
    assert _send().sent == 0
    assert _send(NOON + 60 * MINUTE).sent == 1


def test_the_wait_grows_and_ends_in_a_dead_letter_on_view(server: Server) -> None:
    queued()
    server.refuse_rcpt = lambda _to: "450 the mailbox is busy"
    at, waits = NOON, []
    for _ in range(12):
        assert _send(at).failed == 1
        row = Message.objects.get()
        waits.append(row.next_try_at - at)
        at = row.next_try_at
    assert waits[:4] == [MINUTE, 2 * MINUTE, 4 * MINUTE, 8 * MINUTE]
    assert max(waits) == 240 * MINUTE
    assert _send(at).failed == 0
    (dead,) = mail_state(at=at).dead
    assert "450 the mailbox is busy" in dead.last_error
    outbox.send_again(message=dead, at=at)
    server.refuse_rcpt = lambda _to: None
    assert _send(at).sent == 1


def test_a_no_for_good_is_not_asked_again(server: Server) -> None:
    queued()
    server.refuse_rcpt = lambda _to: "550 no such person"
    _send()
    assert Message.objects.get().state == "dead"
    _send(NOON + 600 * MINUTE)
    assert Message.objects.get().attempts == 1


def test_one_refusal_holds_up_nobody_else(server: Server) -> None:
    for n in range(5):
        queued(n)
    server.refuse_rcpt = lambda to: "550 no" if to[6] == "2" else None
    result = _send()
    assert (result.sent, result.failed) == (4, 1)


def test_no_server_costs_no_attempt(settings: Any) -> None:
    _use(settings, free_port())
    queued()
    result = _send()
    assert result.unreached
    row = Message.objects.get()
    assert (row.state, row.attempts) == ("queued", 0)
    assert "not reached" in row.last_error


def test_a_worker_that_lost_its_claim_sends_nothing(server: Server) -> None:
    """One worker sleeps through its lease; another takes the mail; the first wakes up."""
    queued()
    asleep = outbox.claim_next(at=NOON)
    assert asleep is not None
    later = NOON + 6 * MINUTE
    assert _send(later).sent == 1
    assert outbox.hand_over(message=asleep) is False
    outbox.mark_failed(message=asleep, error="no", for_good=True, at=later)
    assert Message.objects.get().state == "sent"
    assert len(server.taken) == 1


def test_a_broken_connection_after_the_last_dot_is_put_to_a_person(server: Server) -> None:
    queued(0)
    server.at_data = lambda _envelope: "421 closing"
    assert _send().failed == 1  # an answer was heard: it was not taken over
    assert Message.objects.get().state == "queued"

    row = outbox.claim_next(at=NOON + 2 * MINUTE)
    assert row is not None
    assert outbox.hand_over(message=row)
    later = NOON + 60 * MINUTE
    assert _send(later).unsure == 1  # the worker died there
    state = mail_state(at=later)
    assert [one.pk for one in state.unsure] == [row.pk]
    assert _send(later + 60 * MINUTE).sent == 0, "a mail that perhaps went is never sent by itself"
    outbox.mark_sent(message=row, at=later)  # it only slept, and the server had said yes
    assert Message.objects.get().state == "sent"


def test_doubt_is_settled_either_way() -> None:
    for n in range(2):
        queued(n)
        row = outbox.claim_next(at=NOON)
        assert row is not None
        outbox.hand_over(message=row)
    outbox.take_back_expired(at=NOON + 60 * MINUTE)
    first, second = Message.objects.order_by("pk")
    assert outbox.it_arrived(message=first).state == "sent"
    assert outbox.send_again(message=second).state == "queued"
    with pytest.raises(ValidationError):
        outbox.it_arrived(message=second)


def test_a_bounce_is_noted_with_what_it_says(server: Server) -> None:
    row = queued()
    with pytest.raises(ValidationError):
        outbox.note_bounce(message=row, note="mailbox full")
    _send()
    assert outbox.note_bounce(message=row, note="mailbox\nfull").bounce_note == "mailbox full"
    with pytest.raises(ValidationError):
        outbox.note_bounce(message=row, note="  ")
    with pytest.raises(ValidationError):
        outbox.withdraw(message=row)


def test_a_demo_season_reaches_nobody(server: Server, settings: Any, tmp_path: Any) -> None:
    row = queued()
    type(BusinessFactory()).objects.update(is_demo=True)
    assert _send().sent == 1
    assert not server.taken
    assert not django_mail.outbox
    (file,) = (tmp_path / "mail").iterdir()
    assert row.message_id.encode() in file.read_bytes()
