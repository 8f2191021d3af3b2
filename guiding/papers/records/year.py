"""The season statement and the almanac page."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from guiding.papers.records.cost import Figure
from guiding.papers.records.letterhead import Letterhead


@dataclass(frozen=True, slots=True)
class StatementRow:
    """A row: its name and an amount of money a column; None is an empty cell."""

    label: str
    amounts: tuple[Decimal | None, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class StatementTable:
    """A table of money with its columns' names and its totals.

    Raises ValueError for a row that has not one amount a column.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[StatementRow, ...]
    totals: tuple[Decimal | None, ...] = ()
    total_label: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        for row in self.rows:
            if len(row.amounts) != len(self.columns):
                raise ValueError(
                    f"The row {row.label!r} of {self.title!r} has {len(row.amounts)} amounts; "
                    f"it needs {len(self.columns)}."
                )
        if self.totals and len(self.totals) != len(self.columns):
            raise ValueError(f"The totals of {self.title!r} do not fit its columns.")


@dataclass(frozen=True, slots=True)
class TallyTable:
    """A table of counts and words (fish by species, days by spot), cells as they are shown."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class SeasonStatement:
    """A season in figures: results first, then money by what it is, then the days and the fish."""

    letterhead: Letterhead
    title: str
    first_day: date
    last_day: date
    results: tuple[Figure, ...]
    money: tuple[StatementTable, ...] = ()
    tallies: tuple[TallyTable, ...] = ()
    currency: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AlmanacTurn:
    """A high or low water; `high` False is a low."""

    at: datetime
    height_m: float
    high: bool


@dataclass(frozen=True, slots=True)
class AlmanacRow:
    """One day of the almanac; an event that does not happen is None and `note` may say why.

    `moon_share` is the lit share of the disc, 0 to 1; `springs` True at springs, False at neaps,
    None between.
    """

    day: date
    civil_dawn: datetime | None
    sunrise: datetime | None
    sunset: datetime | None
    civil_dusk: datetime | None
    moonrise: datetime | None
    moonset: datetime | None
    moon_share: float
    moon_waxing: bool
    turns: tuple[AlmanacTurn, ...] = ()
    springs: bool | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class AlmanacPage:
    """A month or any run of days at one place: light, moon and tide of each day."""

    letterhead: Letterhead
    title: str
    place: str
    rows: tuple[AlmanacRow, ...]
    lat: float | None = None
    lon: float | None = None
    tide_source: str = ""
    tide_datum: str = ""
    light_source: str = ""
    notes: tuple[str, ...] = ()
