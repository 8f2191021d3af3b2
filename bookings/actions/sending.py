"""Sending what the outbox holds: one mail at a time, over a connection that is kept."""

from __future__ import annotations

import datetime
import re
import smtplib
from collections.abc import Callable
from dataclasses import dataclass

from django.conf import settings
from django.core.mail import get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.core.mail.backends.smtp import EmailBackend
from django.utils import timezone

from bookings.actions.outbox import (
    LEASE,
    claim_next,
    claim_this,
    hand_over,
    mark_failed,
    mark_sent,
    mark_untried,
    take_back_expired,
)
from bookings.models import Business, Message

# The server is not there, or does not let us in: that says nothing about the mail.
_UNREACHED = (OSError, smtplib.SMTPServerDisconnected, smtplib.SMTPConnectError)
_LEADING_DOT = re.compile(rb"(?m)^\.")


@dataclass(slots=True)
class Sent:
    """What one round of sending did."""

    sent: int = 0
    failed: int = 0
    unsure: int = 0
    unreached: str = ""

    def add(self, more: Sent) -> None:
        self.sent, self.failed = self.sent + more.sent, self.failed + more.failed
        self.unsure, self.unreached = self.unsure + more.unsure, more.unreached


class _LostClaimError(Exception):
    """Our lease ended before the mail was handed over; somebody else has it now."""


class _RefusedError(Exception):
    """The server said no to this mail."""

    def __init__(self, code: int, words: bytes | str) -> None:
        text = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
        super().__init__(f"The mail server said {code} {text}")
        self.for_good = 500 <= code < 600


class FrozenMail:
    """What Django's mail backends ask of a message, answered with bytes that are already there."""

    def __init__(self, row: Message) -> None:
        self.raw, self.to, self.from_email = bytes(row.mail), [row.to_mail], sender(row)
        self.encoding = "utf-8"

    def recipients(self) -> list[str]:
        return self.to

    def message(self, **_: object) -> FrozenMail:
        return self

    def as_bytes(self, **_: object) -> bytes:
        return self.raw

    def get_charset(self) -> str:
        return self.encoding


def sender(row: Message) -> str:
    """The envelope's sender: bounces go to the desk's own address."""
    return settings.DEFAULT_FROM_EMAIL


def mail_connection() -> BaseEmailBackend:
    """The way out. A demo season has invented people: its mails only ever reach a folder."""
    demo = Business.objects.values_list("is_demo", flat=True).first()
    if demo:
        return get_connection("django.core.mail.backends.filebased.EmailBackend")
    return get_connection()


def send_due(
    *,
    at: Callable[[], datetime.datetime] = timezone.now,
    lease: datetime.timedelta = LEASE,
    most: int | None = None,
) -> Sent:
    """Send everything that is due, `most` at the most; safe to run in several processes at once."""
    result = Sent()
    result.unsure = take_back_expired(at=at())[1]
    way_out = None
    try:
        while most is None or result.sent + result.failed < most:
            row = claim_next(at=at(), lease=lease)
            if row is None:
                break
            try:
                way_out = way_out or _opened()
            except (*_UNREACHED, smtplib.SMTPException) as problem:
                result.unreached = _words(problem)
                mark_untried(message=row, error=result.unreached, at=at())
                break
            way_out = _send(row, way_out, result, at)
    finally:
        if way_out is not None:
            _close(way_out)
    return result


def send_one(*, message: Message, at: datetime.datetime | None = None) -> Message:
    """Send one mail now; the row says what came of it. A refusal of a test is not tried again."""
    moment = at or timezone.now()
    row = claim_this(message=message, at=moment)
    try:
        way_out: BaseEmailBackend | None = _opened()
    except (*_UNREACHED, smtplib.SMTPException) as problem:
        mark_failed(message=row, error=_words(problem), for_good=True, at=moment)
    else:
        if way_out is not None:
            way_out = _send(row, way_out, Sent(), lambda: moment)
        if way_out is not None:
            _close(way_out)
    row.refresh_from_db()
    return row


def _send(
    row: Message, way_out: BaseEmailBackend, result: Sent, at: Callable[[], datetime.datetime]
) -> BaseEmailBackend | None:
    """Send one; the connection to go on with, or None when the next needs a new one."""
    try:
        if isinstance(way_out, EmailBackend) and way_out.connection:
            _hand_to_server(row, way_out.connection)
        elif hand_over(message=row):
            way_out.send_messages([FrozenMail(row)])  # type: ignore[list-item]
        else:
            raise _LostClaimError
    except _LostClaimError:
        _close(way_out)
        return None
    except _RefusedError as refusal:
        mark_failed(message=row, error=str(refusal), for_good=refusal.for_good, at=at())
        result.failed += 1
        return way_out if _ready_again(way_out) else None
    except (*_UNREACHED, smtplib.SMTPException) as problem:
        _lost_on_the_way(row, problem, result, at())
        _close(way_out)
        return None
    mark_sent(message=row, at=at())
    result.sent += 1
    return way_out


def _lost_on_the_way(row: Message, problem: Exception, result: Sent, at: datetime.datetime) -> None:
    """The connection broke. After the last dot nobody knows; before it the mail is still ours."""
    row.refresh_from_db(fields=["state"])
    if row.state == Message.State.HANDED:
        Message.objects.filter(pk=row.pk, claim=row.claim, state=Message.State.HANDED).update(
            state=Message.State.UNSURE,
            claimed_until=None,
            last_error="The connection broke while the server took it over. Ask if it arrived.",
        )
        result.unsure += 1
        return
    mark_failed(message=row, error=_words(problem), for_good=False, at=at)
    result.failed += 1


def _hand_to_server(row: Message, server: smtplib.SMTP) -> None:
    """One mail by SMTP, with a stop before the dot that makes the server answer for it."""
    server.ehlo_or_helo_if_needed()
    for code, words in (
        server.mail(sender(row)),
        server.rcpt(row.to_mail),
        server.docmd("DATA"),
    ):
        if code not in (250, 251, 354):
            raise _RefusedError(code, words)
    raw = _LEADING_DOT.sub(b"..", bytes(row.mail))
    server.send(raw if raw.endswith(b"\r\n") else raw + b"\r\n")
    if not hand_over(message=row):
        raise _LostClaimError
    server.send(b".\r\n")
    code, words = server.getreply()
    if code != 250:
        raise _RefusedError(code, words)


def _ready_again(way_out: BaseEmailBackend) -> bool:
    """Whether the server takes the next mail over the same connection."""
    try:
        return isinstance(way_out, EmailBackend) and way_out.connection.rset()[0] == 250  # type: ignore[union-attr]
    except (*_UNREACHED, smtplib.SMTPException):
        return False


def _opened() -> BaseEmailBackend:
    way_out = mail_connection()
    way_out.open()
    return way_out


def _close(way_out: BaseEmailBackend) -> None:
    try:
        way_out.close()
    except (*_UNREACHED, smtplib.SMTPException):
        return


def _words(problem: Exception) -> str:
    if isinstance(problem, smtplib.SMTPResponseException):
        error = problem.smtp_error
        text = error.decode("utf-8", "replace") if isinstance(error, bytes) else str(error)
        return f"The mail server said {problem.smtp_code} {text}"
    return f"The mail server was not reached ({problem})."
