"""A calendar as its owner keeps it: a real server on loopback, fed by the mails that came in."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes, policy
from pathlib import Path
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server

import caldav
import icalendar
import radicale
import radicale.config
import vobject


class _Quiet(WSGIRequestHandler):
    def log_message(self, *args: object) -> None:
        """Requests are not news."""


@contextmanager
def calendar_server(folder: Path) -> Iterator[caldav.Calendar]:
    """An empty calendar on a real server, through a client library."""
    settings = radicale.config.load()
    settings.update(
        {
            "storage": {"filesystem_folder": str(folder)},
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
        with caldav.DAVClient(address, username="anna", password="anna") as client:
            yield client.principal().make_calendar(name="Mine")
    finally:
        server.shutdown()
        server.server_close()
        thread.join(5)


def calendar_part(mail: bytes) -> bytes:
    """The calendar that a mail program finds in a mail; its METHOD is that of the part."""
    message = message_from_bytes(mail, policy=policy.default)
    (alternative,) = [
        part
        for part in message.walk()
        if part.get_content_type() == "text/calendar" and not part.is_attachment()  # type: ignore[attr-defined]
    ]
    content = alternative.get_payload(decode=True)
    assert isinstance(content, bytes)
    method = icalendar.Calendar.from_ical(content.decode())["METHOD"]
    assert alternative.get_param("method") == method
    assert vobject.readOne(content.decode()).method.value == method
    return content


def take_in(calendar: caldav.Calendar, mail: bytes) -> None:
    """What a calendar program does with an invitation that comes in (RFC 5546, 2.1.5)."""
    read = icalendar.Calendar.from_ical(calendar_part(mail).decode())
    (event,) = read.events
    mine = [one for one in calendar.events() if one.icalendar_component["UID"] == event["UID"]]
    if mine and int(event["SEQUENCE"]) < int(mine[0].icalendar_component["SEQUENCE"]):
        return
    if read.pop("METHOD") == "CANCEL":
        for one in mine:
            one.delete()
        return
    if mine:
        mine[0].data = read.to_ical().decode()
        mine[0].save(increase_seqno=False)
    else:
        calendar.save_event(read.to_ical().decode())
