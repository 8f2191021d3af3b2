"""Where things stand on a strip: hours across, lanes down, and how numbers are shown."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import ceil
from zoneinfo import ZoneInfo

from guiding.drawings._canvas import Box, Canvas
from guiding.drawings.strip.facts import StripFacts
from guiding.drawings.units import METRES_PER_FOOT, HeightUnit, shown_length, shown_speed


@dataclass(frozen=True, slots=True)
class Lanes:
    """Bottom and height of each lane, from the top of the sheet down."""

    sky_y: float
    sky_h: float
    wind_y: float
    wind_h: float
    tide_y: float
    tide_h: float
    tide_head: float
    scale_y: float
    scale_h: float
    hours_y: float
    fly_y: float
    fly_h: float
    plan_y: float
    plan_h: float
    notes_y: float
    top_y: float


@dataclass(frozen=True, slots=True)
class Frame:
    """What every lane needs to draw itself."""

    facts: StripFacts
    canvas: Canvas
    lanes: Lanes
    left: float
    right: float
    size: float
    zone: ZoneInfo

    @property
    def plot(self) -> Box:
        """The part of the sheet between the two midnights."""
        return self.left, 0.0, self.right, self.canvas.height

    def x_of(self, instant: datetime) -> float:
        """Elapsed time since midnight across the width: right on days of 23 and 25 hours."""
        whole = (self.facts.day_end - self.facts.day_start).total_seconds()
        part = (instant - self.facts.day_start).total_seconds()
        return self.left + (self.right - self.left) * min(max(part / whole, 0.0), 1.0)

    def holds(self, instant: datetime) -> bool:
        """Whether an instant lies on this day."""
        return self.facts.day_start <= instant <= self.facts.day_end

    def spread(self, start: datetime, end: datetime) -> tuple[float, float] | None:
        """Left and right of a stretch of time, None when it misses the day."""
        if end <= self.facts.day_start or start >= self.facts.day_end or end <= start:
            return None
        return self.x_of(start), self.x_of(end)

    def whole_hours(self) -> Iterator[tuple[datetime, int]]:
        """Every whole hour of the local clock on this day, with what the clock shows."""
        # In steps of half an hour, for the zones whose clocks change by half an hour.
        instant = self.facts.day_start.astimezone(UTC)
        while instant < self.facts.day_end:
            local = instant.astimezone(self.zone)
            if local.minute == 0:
                yield instant, local.hour
            instant += timedelta(minutes=30)


def clock_text(facts: StripFacts, instant: datetime) -> str:
    """Local time as the strip shows it; an hour that comes twice carries its zone's name."""
    zone = ZoneInfo(facts.zone)
    if instant == facts.day_end and not facts.halves:
        return "24:00"
    rounded = instant.astimezone(UTC) + timedelta(seconds=30)
    local = rounded.replace(second=0, microsecond=0).astimezone(zone)
    text = _hour_12(local, facts.halves) if facts.halves else f"{local:%H:%M}"
    if local.replace(fold=0).utcoffset() != local.replace(fold=1).utcoffset():
        text += f" {local.tzname()}"
    return text


def _hour_12(local: datetime, halves: tuple[str, str]) -> str:
    return f"{local.hour % 12 or 12}:{local:%M} {halves[local.hour >= 12]}"


def clock_change(facts: StripFacts) -> tuple[datetime, timedelta] | None:
    """The instant at which the clocks change on this day, and by how much; to the minute."""
    zone = ZoneInfo(facts.zone)

    def offset(instant: datetime) -> timedelta:
        return instant.astimezone(zone).utcoffset() or timedelta()

    low, high = facts.day_start.astimezone(UTC), facts.day_end.astimezone(UTC)
    change = offset(high) - offset(low)
    if not change:
        return None
    while high - low > timedelta(minutes=1):
        middle = low + (high - low) // timedelta(minutes=2) * timedelta(minutes=1)
        low, high = (middle, high) if offset(middle) == offset(low) else (low, middle)
    return high, change


def hour_text(facts: StripFacts, hour: int) -> str:
    """A whole hour on the scale."""
    if facts.halves:
        return f"{hour % 12 or 12} {facts.halves[hour % 24 >= 12]}"
    return f"{hour:02d}"


def number_text(facts: StripFacts, value: float, decimals: int) -> str:
    """A number with the language's decimal mark and a true minus sign."""
    text = f"{value:.{decimals}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return text.replace(".", facts.words.decimal_mark).replace("-", "\u2212")


def height_text(facts: StripFacts, height_m: float) -> str:
    """A height in the unit shown, with the unit."""
    shown = shown_height(facts, height_m)
    return f"{number_text(facts, shown, 1)}\u00a0{facts.height_unit.value}"


def shown_height(facts: StripFacts, height_m: float) -> float:
    """A height in the unit shown."""
    return shown_length(height_m, facts.height_unit)


def speed_text(facts: StripFacts, wind_ms: float) -> str:
    """A wind speed in the unit shown, without the unit."""
    return number_text(facts, shown_speed(wind_ms, facts.speed_unit), 0)


def height_step_m(facts: StripFacts, reach_m: float) -> float:
    """The step of the height scale, in metres, that leaves three to six cells."""
    unit_m = METRES_PER_FOOT if facts.height_unit is HeightUnit.FOOT else 1.0
    for step in (0.1, 0.2, 0.5, 1, 2, 5, 10, 20):
        if ceil(reach_m / (step * unit_m)) <= 6:
            return step * unit_m
    return reach_m / 5
