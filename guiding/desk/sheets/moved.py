"""What has moved of a day, new and old, as its readers are told."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace

from pydantic import TypeAdapter

from bookings.models import Booking, Trip
from guiding.calendars.records import Invite
from guiding.desk.sheets.gather import TripFile
from guiding.desk.sheets.languages import language_of
from guiding.desk.sheets.messages import formats

_WORDS = {
    "en": {
        "day": "The day is now {new} instead of {old}.",
        "meet": "We now meet at {new} instead of {old}.",
        "place": "We now meet here: {new}, instead of {old}.",
        "point": "The point on the map where we meet has been corrected.",
        "back": "Back at the latest: {new} instead of {old}.",
        "nothing": "Something about the day has changed.",
    },
    "de": {
        "day": "Der Tag ist jetzt {new} statt {old}.",
        "meet": "Wir treffen uns jetzt um {new} Uhr statt um {old} Uhr.",
        "place": "Der Treffpunkt ist jetzt {new} statt {old}.",
        "point": "Der Treffpunkt auf der Karte ist berichtigt.",
        "back": "Spätestens zurück: {new} Uhr statt {old} Uhr.",
        "nothing": "An dem Tag hat sich etwas geändert.",
    },
}


@dataclass(frozen=True, slots=True)
class Meeting:
    """When and where a day begins and ends, as somebody was told it."""

    starts_at: datetime.datetime
    ends_at: datetime.datetime
    place: str
    latitude: float | None = None
    longitude: float | None = None

    @classmethod
    def of_trip(cls, trip: Trip) -> Meeting:
        return cls(
            trip.starts_at,
            trip.ends_at,
            trip.meeting_place,
            trip.meeting_latitude,
            trip.meeting_longitude,
        )

    @classmethod
    def of_invite(cls, event: Invite) -> Meeting:
        return cls(event.start, event.end, event.location, event.latitude_deg, event.longitude_deg)

    def later(self, by: datetime.timedelta) -> Meeting:
        return replace(self, starts_at=self.starts_at + by, ends_at=self.ends_at + by)


KEPT = TypeAdapter(Meeting)


def moved_words(file: TripFile, booking: Booking, old: Meeting | None) -> str:
    """A line for each thing that moved, in the language and the clock of a party.

    `old` is what the reader knew before; None where that is not known.
    """
    words = _WORDS[language_of(booking)]
    if old is None:
        return words["nothing"]
    shape, now = formats(file.business, language_of(booking)), Meeting.of_trip(file.trip)
    days = [shape.local(one.starts_at).date() for one in (now, old)]
    told = {
        "day": [shape.day(day) for day in days],
        "meet": [shape.time(one.starts_at) for one in (now, old)],
        "place": [now.place, old.place],
        "back": [
            shape.time_on(one.ends_at, day) for one, day in zip((now, old), days, strict=True)
        ],
    }
    lines = [
        words[name].format(new=new, old=was) for name, (new, was) in told.items() if new != was
    ]
    if (now.latitude, now.longitude) != (old.latitude, old.longitude) and now.place == old.place:
        lines.append(words["point"])
    return "\n".join(lines) or words["nothing"]
