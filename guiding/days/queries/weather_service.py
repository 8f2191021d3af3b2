"""Asks an open weather or sea service over the network: short, bounded, and never twice the same.

Off unless an address is set. Nothing here decides or keeps anything.
"""

from __future__ import annotations

import email.utils
import time
import urllib.error
import urllib.request
import zlib
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from email.message import Message
from http.client import HTTPException, HTTPMessage
from importlib.metadata import PackageNotFoundError, version
from typing import IO, Any

from django.conf import settings

MOST_BYTES = 3 * 1024 * 1024
WAIT_S = 10.0  # for one piece of the answer
WHOLE_S = 30.0  # for all of it
_PIECE = 64 * 1024
_AGAIN = timedelta(minutes=30)  # where the service does not say [house]
_AFTER_TROUBLE = timedelta(minutes=15)  # [house]
_LONGEST = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class Service:
    """One address to ask; it holds {latitude} and {longitude}, four decimals are filled in."""

    part: str
    address: str
    credit: str
    contact: str
    wait_s: float = WAIT_S
    whole_s: float = WHOLE_S

    def url(self, latitude: float, longitude: float) -> str:
        place = {"{latitude}": f"{latitude:.4f}", "{longitude}": f"{longitude:.4f}"}
        found = self.address
        for mark, figure in place.items():
            found = found.replace(mark, figure)
        return found


@dataclass(frozen=True, slots=True)
class Answer:
    """What came back. `text` is None where nothing is new; `not_before`: when to ask again."""

    text: str | None
    not_before: datetime
    etag: str = ""
    last_modified: str = ""
    note: str = ""


class ServiceError(Exception):
    """The service gave nothing that can be used; one sentence, and when it may be asked again."""

    def __init__(self, sentence: str, not_before: datetime) -> None:
        super().__init__(sentence)
        self.not_before = not_before


def services() -> tuple[Service, ...]:
    """The services that the settings name: weather, sea, both or none."""
    named = (("weather", settings.FORECAST_WEATHER_URL), ("sea", settings.FORECAST_SEA_URL))
    return tuple(
        Service(part, address, settings.FORECAST_CREDIT, settings.FORECAST_CONTACT)
        for part, address in named
        if address
    )


def ask(
    service: Service,
    *,
    latitude: float,
    longitude: float,
    at: datetime,
    etag: str = "",
    last_modified: str = "",
) -> Answer:
    """Ask once. ServiceError with one sentence for whatever is no good answer in good time."""
    headers = {
        "User-Agent": f"Sandspike/{_version()} ({service.contact})",
        "Accept": "application/json",
        "Accept-Encoding": "gzip",
    }
    if etag:
        headers["If-None-Match"] = etag
    if last_modified:
        headers["If-Modified-Since"] = last_modified
    request = urllib.request.Request(  # noqa: S310  the settings let https in and loopback
        service.url(latitude, longitude), headers=headers
    )
    later = at + _AFTER_TROUBLE
    try:
        with _OPENER.open(request, timeout=service.wait_s) as reply:
            text = _text(reply, service, later)
            return _answer(text, reply.headers, reply.status, at)
    except urllib.error.HTTPError as error:
        return _refused(error, at, etag, last_modified)
    except TimeoutError:
        raise ServiceError(f"No answer within {service.wait_s:g} s.", later) from None
    except urllib.error.URLError as error:
        if isinstance(error.reason, TimeoutError):
            raise ServiceError(f"No answer within {service.wait_s:g} s.", later) from None
        raise ServiceError("The service cannot be reached.", later) from None
    except (OSError, HTTPException):
        raise ServiceError("The answer broke off.", later) from None


class _NoRedirect(urllib.request.HTTPRedirectHandler):
    """An address that moved is for the guide to look at, not to follow."""

    def redirect_request(
        self, req: Any, fp: IO[bytes], code: int, msg: str, headers: HTTPMessage, newurl: str
    ) -> None:
        return None


# No proxy from the environment, no file or ftp address: http and https only.
_OPENER = urllib.request.OpenerDirector()
for _handler in (
    urllib.request.HTTPHandler(),
    urllib.request.HTTPSHandler(),
    urllib.request.HTTPDefaultErrorHandler(),
    urllib.request.HTTPErrorProcessor(),
    _NoRedirect(),
    urllib.request.UnknownHandler(),
):
    _OPENER.add_handler(_handler)


def _version() -> str:
    try:
        return version("sandspike")
    except PackageNotFoundError:
        return "0"


def _text(reply: Any, service: Service, later: datetime) -> str:
    """The body, unpacked, never more than fits and never longer than all may take."""
    unpack = zlib.decompressobj(31) if reply.headers.get("Content-Encoding") == "gzip" else None
    until = time.monotonic() + service.whole_s
    found = bytearray()
    while piece := reply.read1(_PIECE):
        try:
            found += unpack.decompress(piece, MOST_BYTES + 1 - len(found)) if unpack else piece
        except zlib.error:
            raise ServiceError("The answer cannot be unpacked.", later) from None
        if len(found) > MOST_BYTES:
            size = MOST_BYTES // 1024 // 1024
            raise ServiceError(f"The answer is larger than {size} MB: it was not read.", later)
        if time.monotonic() > until:
            raise ServiceError(f"The answer took longer than {service.whole_s:g} s.", later)
    if reply.length:  # bytes that were promised and never came
        raise ServiceError("The answer broke off.", later)
    try:
        return found.decode("utf-8")
    except UnicodeDecodeError:
        raise ServiceError("The answer is no text.", later) from None


def _answer(text: str, headers: HTTPMessage, status: int, at: datetime) -> Answer:
    note = "The service says that this address will be given up." if status == 203 else ""
    return Answer(
        text,
        _expires(headers, at),
        etag=(headers.get("ETag") or "")[:200],
        last_modified=(headers.get("Last-Modified") or "")[:60],
        note=note,
    )


def _expires(headers: Message, at: datetime) -> datetime:
    """When the answer runs out, as the service says; between half an hour and half a day."""
    stated = _moment(headers.get("Expires"))
    return min(max(stated or at, at + _AGAIN), at + _LONGEST)


def _refused(error: urllib.error.HTTPError, at: datetime, etag: str, last_modified: str) -> Answer:
    with error:
        headers = error.headers
        if error.code == 304:
            return Answer(None, _expires(headers, at), etag, last_modified)
        later = at + _AFTER_TROUBLE
        wait = headers.get("Retry-After") if headers else None
        if wait:
            stated = at + timedelta(seconds=int(wait)) if wait.isdigit() else _moment(wait)
            later = min(max(stated or later, later), at + _LONGEST)
    words = {
        403: "The service refuses us (403): look at its terms and at FORECAST_CONTACT.",
        404: "There is nothing at this address (404): look at the settings.",
        429: "The service was asked too often (429).",
    }
    if error.code in range(300, 400):
        sentence = f"The address has moved ({error.code}): look at the settings."
    else:
        sentence = words.get(error.code, f"The service answered {error.code}.")
    raise ServiceError(sentence, later)


def _moment(text: str | None) -> datetime | None:
    try:
        found = email.utils.parsedate_to_datetime(text or "")
    except ValueError:
        return None
    return found.replace(tzinfo=UTC) if found.tzinfo is None else found.astimezone(UTC)
