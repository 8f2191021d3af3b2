"""An invitation, its update and its cancellation as an iCalendar object (RFC 5545, RFC 5546)."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from guiding.calendars import _lines
from guiding.calendars.records import Attendee, Invite, Method, Status
from guiding.calendars.zones import zone_rules

# What an attendee must look at again, beside the party and a CANCEL.
_WEIGHTY = (
    "start",
    "end",
    "zone",
    "all_day",
    "status",
    "location",
    "latitude_deg",
    "longitude_deg",
)
PRODUCT = "-//Sandspike//Shore guide desk//EN"


def invite_ics(invite: Invite) -> bytes:
    """One event as a whole iCalendar object, with the zone it is written in.

    The same record gives the same bytes. Lines end in CRLF and hold at most 75 octets.
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN"]
    if invite.method:
        lines.append(f"METHOD:{invite.method}")
    rules = None if invite.all_day else zone_rules(invite.zone, invite.start.year)
    event = event_lines(invite, in_utc=rules is None)
    return _lines.write(lines) + (rules or b"") + event + b"END:VCALENDAR\r\n"


def event_lines(invite: Invite, in_utc: bool = False) -> bytes:
    """The VEVENT alone, in the order a reader expects: what, when, where, who.

    With `in_utc` the times need no VTIMEZONE beside the event.
    """
    return _lines.write(
        [
            "BEGIN:VEVENT",
            f"UID:{_lines.text_value(invite.uid)}",
            f"SEQUENCE:{invite.sequence}",
            f"DTSTAMP:{_lines.utc_value(invite.dtstamp)}",
            *_when(invite, in_utc),
            *_what(invite),
            *_who(invite),
            *_alarms(invite),
            "END:VEVENT",
        ]
    )


def recipients(invite: Invite) -> tuple[str, ...]:
    """The mail addresses an invitation goes to, each once, in the order of the attendees."""
    return tuple(dict.fromkeys(one.mail for one in invite.attendees if one.mail))


def cancellation(
    invite: Invite, at: datetime, removed: tuple[Attendee, ...] = (), comment: str = ""
) -> Invite:
    """The CANCEL that follows an invite: of the whole event, or only for those `removed`.

    Raises ValueError when one of those removed was never invited.
    """
    strangers = [one.mail for one in removed if one.mail not in recipients(invite)]
    if strangers:
        raise ValueError(f"{strangers[0]} was never invited and cannot be taken off the event.")
    return replace(
        invite,
        method=Method.CANCEL,
        status=None if removed else Status.CANCELLED,
        attendees=removed or invite.attendees,
        sequence=invite.sequence + 1,
        dtstamp=at,
        last_modified=at,
        reminders=(),
        comment=comment,
    )


def sequence_after(before: Invite, after: Invite) -> int:
    """The SEQUENCE of a changed invite: one higher where the attendees must look again.

    That is after a change of time, state, place or party, and always for a CANCEL (RFC 5546,
    2.1.4); a corrected word in the description leaves it as it is.
    """
    moved = any(getattr(before, name) != getattr(after, name) for name in _WEIGHTY)
    party = recipients(before) != recipients(after)
    grows = moved or party or after.method is Method.CANCEL
    return before.sequence + 1 if grows else before.sequence


def _when(invite: Invite, in_utc: bool) -> Iterator[str]:
    place = ZoneInfo(invite.zone)
    start, end = invite.start.astimezone(place), invite.end.astimezone(place)
    if invite.all_day:
        yield f"DTSTART;VALUE=DATE:{start:%Y%m%d}"
        # The end day is exclusive; an end within a day means that whole day.
        last = end.date() if end.time() == time.min else end.date() + timedelta(days=1)
        yield f"DTEND;VALUE=DATE:{last:%Y%m%d}"
    elif in_utc or _shown_twice(start, end):
        yield f"DTSTART:{_lines.utc_value(start)}"
        yield f"DTEND:{_lines.utc_value(end)}"
    else:
        yield f"DTSTART;TZID={invite.zone}:{start:%Y%m%dT%H%M%S}"
        yield f"DTEND;TZID={invite.zone}:{end:%Y%m%dT%H%M%S}"


def _shown_twice(*times: datetime) -> bool:
    """Whether a time is the second of two that the clock shows alike: a zone cannot say it."""
    return any(one.fold == 1 for one in times)


def _what(invite: Invite) -> Iterator[str]:
    yield f"SUMMARY:{_lines.text_value(invite.summary)}"
    if invite.status:
        yield f"STATUS:{invite.status}"
    if invite.location:
        yield f"LOCATION:{_lines.text_value(invite.location)}"
    if invite.latitude_deg is not None and invite.longitude_deg is not None:
        yield f"GEO:{invite.latitude_deg:.6f};{invite.longitude_deg:.6f}"
    if invite.description:
        yield f"DESCRIPTION:{_lines.text_value(invite.description)}"
    if invite.categories:
        yield "CATEGORIES:" + ",".join(_lines.text_value(one) for one in invite.categories)
    if invite.comment:
        yield f"COMMENT:{_lines.text_value(invite.comment)}"
    if invite.url:
        yield f"URL:{invite.url}"
    yield f"TRANSP:{'OPAQUE' if invite.busy else 'TRANSPARENT'}"
    if invite.created:
        yield f"CREATED:{_lines.utc_value(invite.created)}"
    if invite.last_modified:
        yield f"LAST-MODIFIED:{_lines.utc_value(invite.last_modified)}"


def _who(invite: Invite) -> Iterator[str]:
    organizer = invite.organizer
    if organizer:
        name = _lines.parameter_value(organizer.name)
        yield f"ORGANIZER;CN={name}:mailto:{organizer.mail}"
    told = set()
    for one in invite.attendees:
        # Who has no address is not named: a child's name goes to nobody's calendar.
        if one.mail is None or one.mail in told:
            continue
        told.add(one.mail)
        rsvp = "TRUE" if invite.method is Method.REQUEST else "FALSE"
        yield (
            f"ATTENDEE;CUTYPE=INDIVIDUAL;ROLE=REQ-PARTICIPANT;PARTSTAT={one.answer};RSVP={rsvp}"
            f";CN={_lines.parameter_value(one.name)}:mailto:{one.mail}"
        )


def _alarms(invite: Invite) -> Iterator[str]:
    if invite.method is Method.CANCEL:
        return
    for one in invite.reminders:
        yield from (
            "BEGIN:VALARM",
            "ACTION:DISPLAY",
            f"TRIGGER:-PT{one.before_min}M",
            f"DESCRIPTION:{_lines.text_value(one.text or invite.summary)}",
            "END:VALARM",
        )
