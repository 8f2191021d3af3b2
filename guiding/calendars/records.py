"""What an invitation or a calendar entry is made from: frozen facts, no tables."""

import re
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from guiding.calendars._clock import zone_named

_MAIL = re.compile(r"[A-Za-z0-9!#$&'*+/=?^_`{|}~.-]+@[A-Za-z0-9](?:[A-Za-z0-9.-]*[A-Za-z0-9])?")
_CONTROL = re.compile(r"[\x00-\x1f\x7f]")


class Method(StrEnum):
    """What a scheduling message asks of its reader (RFC 5546, 1.4)."""

    REQUEST = "REQUEST"
    CANCEL = "CANCEL"
    PUBLISH = "PUBLISH"


class Status(StrEnum):
    """State of an event (RFC 5545, 3.8.1.11)."""

    TENTATIVE = "TENTATIVE"
    CONFIRMED = "CONFIRMED"
    CANCELLED = "CANCELLED"


class Answer(StrEnum):
    """What an attendee has said (RFC 5545, 3.2.12, the values of an event)."""

    NEEDS_ACTION = "NEEDS-ACTION"
    ACCEPTED = "ACCEPTED"
    DECLINED = "DECLINED"
    TENTATIVE = "TENTATIVE"
    DELEGATED = "DELEGATED"


@dataclass(frozen=True, slots=True)
class Person:
    """A name and a mail address."""

    name: str
    mail: str

    def __post_init__(self) -> None:
        _refuse_bad_mail(self.mail)


@dataclass(frozen=True, slots=True)
class Attendee:
    """One who is invited. Without a mail address nobody is asked and nothing is told of them."""

    name: str
    mail: str | None
    answer: Answer = Answer.NEEDS_ACTION

    def __post_init__(self) -> None:
        if self.mail is not None:
            _refuse_bad_mail(self.mail)


@dataclass(frozen=True, slots=True)
class Reminder:
    """An alarm so many minutes before the start."""

    before_min: int
    text: str

    def __post_init__(self) -> None:
        if self.before_min < 0:
            raise ValueError(
                f"A reminder {-self.before_min} minutes after the start is of no use; "
                "give the minutes before it."
            )


@dataclass(frozen=True, slots=True)
class Invite:
    """One event as one calendar sees it at one moment.

    `method` is None for an entry of a feed or of a calendar server, which carries no message.
    `status` is None only when some attendees are taken off an event that goes on. Instants are
    aware; `zone` is the one their clock times are written in. With `all_day` the local days of
    start and end count, the end day exclusive.
    """

    uid: str
    sequence: int
    dtstamp: datetime
    start: datetime
    end: datetime
    zone: str
    summary: str
    method: Method | None = Method.REQUEST
    status: Status | None = Status.CONFIRMED
    organizer: Person | None = None
    attendees: tuple[Attendee, ...] = ()
    description: str = ""
    location: str = ""
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    reminders: tuple[Reminder, ...] = ()
    url: str = ""
    categories: tuple[str, ...] = ()
    comment: str = ""
    created: datetime | None = None
    last_modified: datetime | None = None
    all_day: bool = False
    busy: bool = True

    def __post_init__(self) -> None:
        _refuse_bad_text(self)
        _refuse_bad_times(self)
        _refuse_bad_place(self)
        _refuse_bad_message(self)


def _refuse_bad_mail(mail: str) -> None:
    """Raise ValueError unless a text is one plain mail address.

    Only what may stand in a `mailto:` address without encoding is taken, so that no address can
    open a second line, a second parameter or a second recipient.
    """
    if not _MAIL.fullmatch(mail) or ".." in mail or len(mail) > 254:
        raise ValueError(f"{mail!r} is not a mail address; write it like anna@example.org.")


def _refuse_bad_text(invite: Invite) -> None:
    if not invite.uid or _CONTROL.search(invite.uid):
        raise ValueError("The event has no usable UID; give one line of text that never changes.")
    if invite.sequence < 0:
        raise ValueError(f"SEQUENCE is {invite.sequence}; it starts at 0 and only grows.")
    if _CONTROL.search(invite.url) or " " in invite.url:
        raise ValueError("The link of the event holds a blank or a line break; give one address.")


def _refuse_bad_times(invite: Invite) -> None:
    instants = {
        "start": invite.start,
        "end": invite.end,
        "dtstamp": invite.dtstamp,
        "created": invite.created,
        "last_modified": invite.last_modified,
    }
    for name, instant in instants.items():
        if instant is not None and instant.utcoffset() is None:
            raise ValueError(f"The event's {name} has no zone; give an aware instant.")
    if invite.end <= invite.start:
        raise ValueError("The event ends before it starts; check both times.")
    zone_named(invite.zone)


def _refuse_bad_place(invite: Invite) -> None:
    latitude_deg, longitude_deg = invite.latitude_deg, invite.longitude_deg
    if (latitude_deg is None) != (longitude_deg is None):
        raise ValueError("A place needs both latitude and longitude, or neither.")
    if latitude_deg is None or longitude_deg is None:
        return
    if not -90 <= latitude_deg <= 90 or not -180 <= longitude_deg <= 180:
        raise ValueError(
            f"The place {latitude_deg}, {longitude_deg} is not on the earth; "
            "latitude goes from -90 to 90, longitude from -180 to 180."
        )


def _refuse_bad_message(invite: Invite) -> None:
    """The rows of the RFC 5546 tables that a caller can get wrong."""
    if invite.method is Method.REQUEST:
        if not any(one.mail for one in invite.attendees):
            raise ValueError("Nobody with a mail address is invited; add one or send no invite.")
        if invite.status is Status.CANCELLED:
            raise ValueError("A cancelled event is not asked for again; send a CANCEL.")
    if invite.method is Method.CANCEL:
        if invite.status not in (None, Status.CANCELLED):
            raise ValueError("A CANCEL carries the status CANCELLED, or none for some attendees.")
        if not any(one.mail for one in invite.attendees):
            raise ValueError("A CANCEL names those it takes off; add an attendee with an address.")
        if invite.sequence == 0:
            raise ValueError("A CANCEL needs a SEQUENCE higher than that of the invite.")
    if invite.method is not None and invite.organizer is None:
        raise ValueError(f"A {invite.method} names who organises the event; add the organizer.")
