"""What a day strip is drawn from: neutral facts, no tables and no look-ups.

Whoever gathers the facts (desk, papers, phone page) fills these records; the drawing and its
text twin are made from the same ones, so they can never tell different stories.
"""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from guiding.drawings.strip.words import StripWords
from guiding.drawings.units import HeightUnit, SpeedUnit


class Tone(StrEnum):
    """Light of the sky: the ground the strip is drawn on."""

    NIGHT = "night"
    TWILIGHT = "twilight"
    DAY = "day"


class TurnKind(StrEnum):
    """A turn of the tide."""

    HIGH = "high"
    LOW = "low"


class BlockKind(StrEnum):
    """What the guide does in a block of the plan."""

    DRIVE = "drive"
    SET_UP = "set-up"
    SESSION = "session"
    PACK_DOWN = "pack-down"


@dataclass(frozen=True, slots=True)
class Span:
    """A half-open stretch of time, [start, end), in UTC."""

    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class ToneSpan:
    """A stretch of one light."""

    start: datetime
    end: datetime
    tone: Tone


@dataclass(frozen=True, slots=True)
class TidePoint:
    """Predicted height of the water at one instant."""

    at: datetime
    height_m: float


@dataclass(frozen=True, slots=True)
class TideTurn:
    """A high or a low water."""

    at: datetime
    height_m: float
    kind: TurnKind


@dataclass(frozen=True, slots=True)
class MoonDay:
    """The moon of the day; rise or set is None where it does not happen on this day.

    `from_south` turns the disc as it is seen from the southern half of the world.
    """

    lit_share: float
    waxing: bool
    rise: datetime | None = None
    set: datetime | None = None
    from_south: bool = False


@dataclass(frozen=True, slots=True)
class WindSample:
    """Wind at one instant; `from_deg` is where it blows from, clockwise from true north."""

    at: datetime
    wind_ms: float
    from_deg: float
    gust_ms: float | None = None


@dataclass(frozen=True, slots=True)
class WaveSample:
    """Wave height (significant) at one instant."""

    at: datetime
    height_m: float


@dataclass(frozen=True, slots=True)
class PlanBlock:
    """A block of the plan; an empty label shows the word for its kind."""

    start: datetime
    end: datetime
    kind: BlockKind
    label: str = ""


@dataclass(frozen=True, slots=True)
class StripFacts:
    """One day at one spot, as the strip shows it.

    All instants are aware; `day_start` and `day_end` are the two midnights of `zone`, so a day
    has 23, 24 or 25 hours. Every list may be empty: what is not known is not drawn. `cast_only`
    holds the reason why nothing may be flown, and is None where flying is open.
    """

    day: date
    zone: str
    day_start: datetime
    day_end: datetime
    title: str = ""
    tones: tuple[ToneSpan, ...] = ()
    tide: tuple[TidePoint, ...] = ()
    turns: tuple[TideTurn, ...] = ()
    tide_note: str = ""
    cut_off_m: float | None = None
    unsafe: tuple[Span, ...] = ()
    moon: MoonDay | None = None
    winds: tuple[WindSample, ...] = ()
    wind_limit_ms: float | None = None
    over_limit: tuple[Span, ...] = ()
    waves: tuple[WaveSample, ...] = ()
    plan: tuple[PlanBlock, ...] = ()
    may_fly: tuple[Span, ...] = ()
    cast_only: str | None = None
    now: datetime | None = None
    notes: tuple[str, ...] = ()
    words: StripWords = field(default_factory=StripWords)
    height_unit: HeightUnit = HeightUnit.METRE
    speed_unit: SpeedUnit = SpeedUnit.METRE_PER_SECOND
    halves: tuple[str, str] | None = None

    def __post_init__(self) -> None:
        try:
            zone = ZoneInfo(self.zone)
        except (ZoneInfoNotFoundError, ValueError) as wrong:
            raise ValueError(
                f"The zone {self.zone!r} is not known; give a name like 'Europe/Dublin'."
            ) from wrong
        _refuse_other_than_midnight("day_start", self.day_start, self.day, zone)
        _refuse_other_than_midnight("day_end", self.day_end, self.day + timedelta(days=1), zone)


def _refuse_other_than_midnight(name: str, instant: datetime, day: date, zone: ZoneInfo) -> None:
    if instant.tzinfo is None:
        raise ValueError(f"{name} of the strip has no zone; give an aware UTC instant.")
    # The first instant of a day is not 00:00 everywhere: some zones skip that hour in spring.
    local = instant.astimezone(zone)
    before = (instant.astimezone(UTC) - timedelta(microseconds=1)).astimezone(zone)
    if local.date() != day or before.date() == day:
        raise ValueError(
            f"{name} of the strip is {local:%Y-%m-%d %H:%M} in {zone.key}; "
            f"it must be the first instant of {day.isoformat()}."
        )
