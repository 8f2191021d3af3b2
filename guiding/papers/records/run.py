"""The guide's run sheet: one day as it is run, with the boxes to fill in on the beach."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum

from guiding.drawings.drop_plan import DropPlanFacts
from guiding.drawings.strip import StripFacts
from guiding.papers.records.letterhead import Letterhead
from guiding.papers.records.trip import EmergencyFacts, Place


class Verdict(StrEnum):
    """What a limit, or the whole day, came to."""

    GO = "go"
    HOLD = "hold"
    CALL_OFF = "call off"


@dataclass(frozen=True, slots=True)
class RunPerson:
    """A person of the party as the guide needs them; `alerts` are for the guide's eyes alone.

    `age` in years where it matters; `form_signed` None means that no form is asked for.
    """

    name: str
    age: int | None = None
    minor: bool = False
    guardian: str = ""
    phone: str = ""
    kin_phone: str = ""
    swim_level: str = ""
    alerts: tuple[str, ...] = ()
    form_signed: bool | None = None
    due: Decimal | None = None


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One limit of the day against its forecast, both as they are shown ('8 m/s', '0.9 m')."""

    name: str
    limit: str
    forecast: str
    verdict: Verdict
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Decision:
    """The decision on the conditions, or, where `verdict` is None, the box to fill in."""

    verdict: Verdict | None = None
    taken_at: datetime | None = None
    taken_by: str = ""
    reason: str = ""
    limits: tuple[LimitRow, ...] = ()
    forecast_source: str = ""
    forecast_issued_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class PackRow:
    """A flight pack in the order of use. `health_share` and `charge_share` are 0 to 1."""

    label: str
    state: str
    health_share: float | None = None
    charge_share: float | None = None
    drops: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class RodRow:
    """A rod in the order it is set: reel, line, rig, and the distance planned for it in metres."""

    label: str
    reel: str = ""
    line: str = ""
    line_left_m: float | None = None
    rig: str = ""
    weak_link: str = ""
    distance_m: float | None = None


@dataclass(frozen=True, slots=True)
class PermitRow:
    """A paper that must be carried; `valid_until` is the last day it holds."""

    kind: str
    number: str
    authority: str = ""
    valid_until: date | None = None
    conditions: str = ""


@dataclass(frozen=True, slots=True)
class Fallback:
    """Where to go when the spot does not work, and when that is."""

    spot: str
    when: str = ""
    drive_min: int | None = None
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class LoadItem:
    """A thing to load; items with the same `group` stand together, in the order given."""

    group: str
    text: str
    count: int = 1


@dataclass(frozen=True, slots=True)
class RunSheet:
    """The guide's run sheet.

    `leave_by_at` and `last_drive_out_at` are aware instants. `checks` are the findings of the
    consistency checks that the guide must know. `drop_rows` is the number of empty rows of the
    drop table, `drop_plan` the drawing of who stands where. `headcounts` are the moments to count
    at. `stop_money` is the line on what is owed when the day stops early.
    """

    letterhead: Letterhead
    title: str
    starts_at: datetime
    back_latest_at: datetime
    spot: Place
    meet: Place
    guide_name: str
    people: tuple[RunPerson, ...]
    strip: StripFacts
    decision: Decision
    emergency: EmergencyFacts
    method: str = ""
    leave_by_at: datetime | None = None
    leave_by_reason: str = ""
    last_drive_out_at: datetime | None = None
    last_drive_out_reason: str = ""
    overdue_at: datetime | None = None
    limits: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    craft: str = ""
    packs: tuple[PackRow, ...] = ()
    rods: tuple[RodRow, ...] = ()
    drop_rows: int = 24
    drop_plan: DropPlanFacts | None = None
    permits: tuple[PermitRow, ...] = ()
    places: tuple[Place, ...] = ()
    fallbacks: tuple[Fallback, ...] = ()
    headcounts: tuple[str, ...] = ()
    stop_money: str = ""
    load: tuple[LoadItem, ...] = ()
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not 0 <= self.drop_rows <= 200:
            raise ValueError("drop_rows must lie between 0 and 200; 24 fill a day with four rods.")
