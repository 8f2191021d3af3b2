"""How long each kind of record is kept before it is erased.

Every figure is a default of the house that the guide can change; what the law of the place asks for
goes before it. Check with your own authority.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

_LEAP_DAY = (2, 29)


class Kept(StrEnum):
    """The kinds that are erased when their time is up."""

    HEALTH = "health"
    TRACE = "trace"
    LINK = "link"
    LOOK = "look"
    ENQUIRY = "enquiry"
    PERSON = "person"
    SIGNATURE = "signature"


@dataclass(frozen=True, slots=True)
class KeepRule:
    """Keep a kind for so many days, counted from an event; then `goes` says what happens."""

    kind: Kept
    name: str
    days: int
    counted_from: str
    goes: str


KEEP_RULES = (
    KeepRule(Kept.HEALTH, "Health notes", 30, "the end of the trip", "deleted"),
    KeepRule(Kept.TRACE, "Address and browser of a signature", 90, "the signature", "emptied"),
    KeepRule(Kept.LINK, "Private links for signing", 30, "the day they ran out", "deleted"),
    KeepRule(Kept.LOOK, "Log of looks at health notes", 730, "the look", "deleted"),
    KeepRule(
        Kept.ENQUIRY, "Closed cases without a booking", 365, "the day they were closed", "deleted"
    ),
    KeepRule(
        Kept.PERSON,
        "Mail, telephone and birth date of people",
        1095,
        "their party's last trip",
        "emptied; the name stays with the booking",
    ),
    KeepRule(
        Kept.SIGNATURE,
        "Signed records",
        2190,
        "the trip; a minor's at least until 21",
        "emptied; number, time and fingerprint stay in the chain",
    ),
)


def kept_until(event: date, keep_days: int) -> date:
    """The last day on which a record is kept; it may be erased from the day after.

    Errors: days below 1. Source: house rule.
    """
    if keep_days < 1:
        raise ValueError(f"Keep for {keep_days} days: give 1 or more.")
    return event + timedelta(days=keep_days)


def signature_kept_until(
    trip_day: date, keep_days: int, minor_age: int | None = None, minor_until_age: int = 21
) -> date:
    """The last day on which a signed record is kept; a minor's at least until a given age.

    `minor_age` in whole years on the trip, None for an adult. The birthday is not kept with the
    record, so the last possible one counts: a year may be added. Errors: days below 1, an age below
    0. Source: house default; 21 after limitation law of the English type (an example), where a
    claim of a minor runs until then.
    """
    plain = kept_until(trip_day, keep_days)
    if minor_age is None:
        return plain
    if minor_age < 0:
        raise ValueError(f"An age of {minor_age} cannot be; check the birth date.")
    years = max(minor_until_age - minor_age, 0)
    if (trip_day.month, trip_day.day) == _LEAP_DAY:
        trip_day = trip_day.replace(day=28)
    return max(plain, trip_day.replace(year=trip_day.year + years) + timedelta(days=1))
