"""Real servers on loopback: a calendar server takes what we write, a mail server carries it."""

import email
import smtplib
import socket
import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, timedelta
from email import policy
from pathlib import Path
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server

import caldav
import pytest
import radicale
import radicale.config
from aiosmtpd.controller import Controller

from guiding.calendars.invite import cancellation, invite_ics
from guiding.calendars.message import invite_message
from guiding.calendars.records import Invite, Status
from tests.calendars.made_invites import ANNA, STAMP, trip


class _Quiet(WSGIRequestHandler):
    def log_message(self, *args: object) -> None:
        """Requests are not news."""


@pytest.fixture
def calendar(tmp_path: Path) -> Iterator[caldav.Calendar]:
    """An empty calendar on a real server."""
    settings = radicale.config.load()
    settings.update(
        {
            "storage": {"filesystem_folder": str(tmp_path)},
            "auth": {"type": "none"},
            "logging": {"level": "critical"},
        },
        "test",
    )
    server: WSGIServer = make_server(
        "127.0.0.1", 0, radicale.Application(settings), handler_class=_Quiet
    )
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        address = f"http://127.0.0.1:{server.server_port}/"
        with caldav.DAVClient(address, username="guide", password="guide") as client:
            yield client.principal().make_calendar(name="Trips")
    finally:
        server.shutdown()
        server.server_close()
        thread.join(5)


def _put(calendar: caldav.Calendar, invite: Invite) -> None:
    """Replace the stored event with ours as it is; the client would count SEQUENCE up itself."""
    (event,) = calendar.events()
    event.data = invite_ics(invite).decode()
    event.save(increase_seqno=False)


def test_a_calendar_server_keeps_a_trip_through_move_and_cancellation(
    calendar: caldav.Calendar,
) -> None:
    first = replace(trip("2026-10-24T20:00", "2026-10-25T06:00"), method=None)
    moved = replace(
        first,
        start=first.start + timedelta(days=1),
        end=first.end + timedelta(days=1),
        sequence=1,
    )
    calendar.save_event(invite_ics(first).decode())
    _put(calendar, moved)
    (event,) = calendar.events()
    read = event.icalendar_component
    assert read.decoded("dtstart").astimezone(UTC) == moved.start
    # The clocks went back in between: a day of elapsed time later is an hour earlier by them.
    assert f"{read.decoded('dtstart'):%d %H:%M}" == "25 19:00"
    off = replace(cancellation(moved, STAMP), method=None)
    _put(calendar, off)
    (event,) = calendar.events()
    assert event.icalendar_component["STATUS"] == Status.CANCELLED
    assert event.icalendar_component["SEQUENCE"] == 2
    event.delete()
    assert calendar.events() == []


def test_a_calendar_server_finds_trips_by_their_local_day(calendar: caldav.Calendar) -> None:
    base = replace(trip(), method=None)
    for n in range(5):
        day = timedelta(days=n)
        one = replace(
            base, uid=f"t{n}@marramhead.example", start=base.start + day, end=base.end + day
        )
        calendar.save_event(invite_ics(one).decode())
    found = calendar.search(
        start=base.start + timedelta(days=2), end=base.start + timedelta(days=3), event=True
    )
    assert {str(one.icalendar_component["UID"]) for one in found} == {"t2@marramhead.example"}


class _Box:
    """Keeps what arrives."""

    def __init__(self) -> None:
        self.mails: list[tuple[list[str], bytes]] = []

    async def handle_DATA(self, server: object, session: object, envelope) -> str:
        self.mails.append((list(envelope.rcpt_tos), bytes(envelope.original_content)))
        return "250 kept"


def test_a_mail_server_without_extensions_carries_the_invite_unchanged() -> None:
    box = _Box()
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = Controller(box, hostname="127.0.0.1", port=port, enable_SMTPUTF8=False)
    server.start()
    invite = trip(summary="Pêche au bar – 📞", location="Düne; 7")
    message = invite_message(invite, ANNA.mail, "Tag am Strand – Zoë", ".\nTreffen: Grüße\n..\n")
    try:
        with smtplib.SMTP("127.0.0.1", port, timeout=10) as client:
            client.send_message(message)
    finally:
        server.stop()
    ((people, data),) = box.mails
    assert people == [ANNA.mail]
    read = email.message_from_bytes(data, policy=policy.default)
    parts = [one for one in read.walk() if one.get_content_type() == "text/calendar"]
    assert [one.get_payload(decode=True) for one in parts] == [invite_ics(invite)] * 2
    body = read.get_body(("plain",))
    assert body is not None
    assert body.get_content().splitlines() == [".", "Treffen: Grüße", ".."]
