"""How a pack fades: its measured health, and the cycles it is likely to have left."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from equipment.models import FlightPack, PackCheck
from equipment.queries.packs import limits
from equipment.queries.service import expected_trips
from equipment.queries.use import NO_USE, Counts, counts, end_of
from equipment.rules.fade import Forecast, ForecastDates, forecast_cycles_left, forecast_dates

_PAST = 0.03  # of health below the retirement share: enough to see a way cross it


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One measured capacity as a share of the rated one."""

    cycles: int
    at: datetime.datetime
    health_share: float


@dataclass(frozen=True, slots=True)
class TrendBand:
    """The health expected at a count of cycles, and the band it should stay in."""

    cycles: float
    low_share: float
    middle_share: float
    high_share: float


@dataclass(frozen=True, slots=True)
class Trend:
    """Health over cycles, measured and expected, for a table or a drawing."""

    label: str
    points: tuple[TrendPoint, ...]
    band: tuple[TrendBand, ...]
    retire_at_share: float
    forecast: Forecast
    dates: ForecastDates

    @property
    def left_words(self) -> str:
        """Cycles left in words: with the band, or the reason for none."""
        left = self.forecast.cycles_left
        if left is None:
            return f"no number: {self.forecast.why.removeprefix('No number: ')}"
        return f"about {left}, eight times in ten {self.forecast.low} to {self.forecast.high}"

    @property
    def words(self) -> str:
        """What the forecast rests on, and the booked trip it falls on."""
        dates = self.dates.why if self.dates.cycles_booked else ""
        return f"{self.forecast.why} {dates}".strip()


def trend(*, pack: FlightPack, on: datetime.date, booked: Sequence[datetime.date] = ()) -> Trend:
    """Measured fade of a pack up to a day, and its forecast turned into dates by booked trips."""
    return trends(packs=[pack], on=on, booked=booked)[pack.pk]


def trends(
    *, packs: Sequence[FlightPack], on: datetime.date, booked: Sequence[datetime.date] = ()
) -> dict[int, Trend]:
    """The same for many packs, by id; three queries."""
    ids = [pack.pk for pack in packs]
    checks: dict[int, list[PackCheck]] = {}
    for row in (
        PackCheck.objects.filter(pack__in=ids, struck_out_reason="", at__lt=end_of(on))
        .exclude(capacity_ah=None)
        .order_by("cycles", "at", "pk")
    ):
        checks.setdefault(row.pack_id, []).append(row)
    sums = counts(on=on, things=ids)
    retire = limits().retire_health_share
    return {
        pack.pk: _trend(
            pack, checks.get(pack.pk, []), sums.get(pack.pk, NO_USE), retire, on, booked
        )
        for pack in packs
    }


def _trend(
    pack: FlightPack,
    checks: Sequence[PackCheck],
    counted: Counts,
    retire: float,
    on: datetime.date,
    booked: Sequence[datetime.date],
) -> Trend:
    # Of two at one count of cycles the later stands.
    measured = {row.cycles: row.capacity_ah for row in checks if row.capacity_ah is not None}
    forecast = _forecast(pack, measured, retire)
    return Trend(
        label=pack.label,
        points=tuple(
            TrendPoint(row.cycles, row.at, row.capacity_ah / pack.rated_ah)
            for row in checks
            if row.capacity_ah is not None
        ),
        band=_band(max(measured, default=0), forecast, retire),
        retire_at_share=retire,
        forecast=forecast,
        dates=forecast_dates(
            forecast=forecast,
            from_day=on,
            booked=expected_trips(counted=counted, booked=booked),
        ),
    )


def _forecast(pack: FlightPack, measured: Mapping[int, float], retire: float) -> Forecast:
    try:
        return forecast_cycles_left(
            cycles=tuple(float(cycles) for cycles in measured),
            capacities_ah=tuple(measured.values()),
            rated_ah=pack.rated_ah,
            retire_share=retire,
        )
    except ValueError as error:
        return Forecast(None, None, None, None, "none", f"No number: {error}")


def _band(last: int, forecast: Forecast, retire: float) -> tuple[TrendBand, ...]:
    """Straight ways from the health of now through the retirement share, in the middle and at both
    ends of the band, each a little past the cycles where it arrives."""
    now = forecast.health_share
    left, low, high = forecast.cycles_left, forecast.low, forecast.high
    if now is None or not left or not low or not high or now <= retire:
        return ()
    ways = tuple((now - retire) / cycles for cycles in (low, left, high))
    return tuple(
        TrendBand(last + ahead, *(max(retire - _PAST, now - way * ahead) for way in ways))
        for ahead in sorted({0, low, left, high})
    )
