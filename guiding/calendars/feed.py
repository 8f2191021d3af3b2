"""A calendar to subscribe to: many events in one object, without a message."""

from collections import Counter
from dataclasses import dataclass
from functools import lru_cache

from guiding.calendars import _lines
from guiding.calendars.invite import PRODUCT, event_lines
from guiding.calendars.records import Invite
from guiding.calendars.zones import zone_rules


@dataclass(frozen=True, slots=True)
class Feed:
    """What a subscriber sees: a name, the events, and how often to look again."""

    name: str
    events: tuple[Invite, ...]
    description: str = ""
    refresh_min: int = 60

    def __post_init__(self) -> None:
        if self.refresh_min < 1:
            raise ValueError("A feed is read again after a minute at the earliest.")
        for uid, count in Counter(one.uid for one in self.events).most_common(1):
            if count > 1:
                raise ValueError(
                    f"Two events of the feed share the UID {uid!r}; each needs its own."
                )


def feed_ics(feed: Feed) -> bytes:
    """A feed as one iCalendar object, in order of time, each zone once.

    There is no METHOD, so nothing in it asks for an answer (RFC 5546, 1.4) and a calendar server
    may store it (RFC 4791, 4.1). The lines of an event that has not changed are kept from the
    last time; the same feed gives the same bytes.
    """
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{PRODUCT}",
        "CALSCALE:GREGORIAN",
        f"NAME:{_lines.text_value(feed.name)}",
        f"X-WR-CALNAME:{_lines.text_value(feed.name)}",
        f"REFRESH-INTERVAL;VALUE=DURATION:PT{feed.refresh_min}M",
        f"X-PUBLISHED-TTL:PT{feed.refresh_min}M",
    ]
    if feed.description:
        lines.append(f"DESCRIPTION:{_lines.text_value(feed.description)}")
    zones = _zones(feed)
    parts = [_lines.write(lines), *(rules for rules in zones.values() if rules)]
    for one in sorted(feed.events, key=lambda event: (event.start, event.uid)):
        parts.append(_kept_lines(one, zones.get(one.zone) is None))
    return b"".join([*parts, b"END:VCALENDAR\r\n"])


def _zones(feed: Feed) -> dict[str, bytes | None]:
    """The rules of every zone used; None where no one rule holds for all its events."""
    wanted = sorted({(one.zone, one.start.year) for one in feed.events if not one.all_day})
    found: dict[str, bytes | None] = {}
    for zone, year in wanted:
        rules = zone_rules(zone, year)
        found[zone] = rules if found.get(zone, rules) == rules else None
    return found


@lru_cache(maxsize=16_384)
def _kept_lines(invite: Invite, in_utc: bool) -> bytes:
    return event_lines(invite, in_utc)
