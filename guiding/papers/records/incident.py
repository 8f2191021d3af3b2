"""The report of an incident or a near miss."""

from dataclasses import dataclass
from datetime import date, datetime

from guiding.papers.records.letterhead import Letterhead
from guiding.papers.records.safety import Fact


@dataclass(frozen=True, slots=True)
class WitnessWords:
    """What one person saw, in their own words."""

    name: str
    contact: str = ""
    words: str = ""
    taken_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class FollowUpRow:
    """Something that was to be done by a day, and how it was done."""

    what: str
    due_on: date
    done_on: date | None = None
    done_how: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class RecordEntry:
    """One line of the record: when, by whom, about what, and the words."""

    written_at: datetime
    by: str
    about: str
    words: str


@dataclass(frozen=True, slots=True)
class IncidentReport:
    """What happened, as it was written down; `title` says whether it is an incident or near miss.

    `facts` are short answers (harm, who, hazard), `story` the longer texts, `conditions` those
    frozen when it was entered. `kept_until` is the last day on which the record is kept.
    """

    letterhead: Letterhead
    title: str
    happened_at: datetime
    kept_until: date
    what: str
    place: str = ""
    closed_at: datetime | None = None
    facts: tuple[Fact, ...] = ()
    story: tuple[Fact, ...] = ()
    conditions: tuple[Fact, ...] = ()
    witnesses: tuple[WitnessWords, ...] = ()
    follow_ups: tuple[FollowUpRow, ...] = ()
    entries: tuple[RecordEntry, ...] = ()
