"""Labels to cut, the gear report, and the lists of what to prepare."""

from dataclasses import dataclass
from datetime import date, datetime

from guiding.papers.records.letterhead import Letterhead
from guiding.papers.records.run import LoadItem
from guiding.papers.records.safety import Fact


@dataclass(frozen=True, slots=True)
class GearLabel:
    """A label: the text of its square code, its name in large type, and lines below."""

    code: str
    name: str
    lines: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.code:
            raise ValueError(f"The label {self.name!r} has no code; give it one to be read.")


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """Labels in a grid with lines to cut along; `start` leaves cells of a used sheet empty.

    All lengths in millimetres. The grid stands in the middle of the sheet unless `left_mm` and
    `top_mm` say where it begins. Raises ValueError for a grid with no cells.
    """

    letterhead: Letterhead
    labels: tuple[GearLabel, ...]
    title: str = ""
    columns: int = 3
    rows: int = 8
    width_mm: float = 63.0
    height_mm: float = 33.0
    gap_mm: float = 0.0
    left_mm: float | None = None
    top_mm: float | None = None
    start: int = 0

    def __post_init__(self) -> None:
        if self.columns < 1 or self.rows < 1 or not 0 <= self.start < self.columns * self.rows:
            raise ValueError(
                "The label sheet needs at least one row and column, and a start within the sheet."
            )
        if self.width_mm < 25 or self.height_mm < 12:
            raise ValueError(
                "A label must be at least 25 mm wide and 12 mm high for its code to be read."
            )


@dataclass(frozen=True, slots=True)
class GearRow:
    """A thing: its state in words, what stands next and when, and why.

    `health` is as it is shown ('82 % ± 4', '430 m left'). `urgent` rows are marked with a word.
    """

    label: str
    state: str
    health: str = ""
    next_step: str = ""
    due: str = ""
    reason: str = ""
    urgent: bool = False


@dataclass(frozen=True, slots=True)
class GearSection:
    """Things of one kind."""

    title: str
    rows: tuple[GearRow, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class GearReport:
    """All gear on one day: what is fit, what is due, what is grounded."""

    letterhead: Letterhead
    title: str
    on: date
    sections: tuple[GearSection, ...]
    summary: tuple[Fact, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PrepList:
    """Things to do or to take, with the instant by which they must be done."""

    title: str
    items: tuple[LoadItem, ...]
    by: datetime | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class PrepLists:
    """Every list of a day, in the order of their deadlines.

    `count_back` adds a second box a line, for what has to come home again.
    """

    letterhead: Letterhead
    title: str
    starts_at: datetime
    lists: tuple[PrepList, ...]
    spot_name: str = ""
    count_back: bool = False
    notes: tuple[str, ...] = ()
