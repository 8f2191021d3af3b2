"""Cycles left turned into days by the trips already booked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from equipment.rules.fade._method import Forecast
from equipment.rules.service import BookedTrip


@dataclass(frozen=True, slots=True)
class ForecastDates:
    """The booked trip on which a pack reaches its retirement share: figure, and both band ends.

    None: not within the trips booked, or no forecast; `why` says which.
    """

    on: date | None
    low_on: date | None
    high_on: date | None
    cycles_booked: float
    why: str


def forecast_dates(
    *, forecast: Forecast, from_day: date, booked: tuple[BookedTrip, ...]
) -> ForecastDates:
    """The days a pack's forecast falls on, by the cycles its booked trips are expected to bring.

    Trips from `from_day` on count, each with its expected cycles; the day is that of the first trip
    whose cycles, added to those before, reach the cycles left.
    """
    trips = sorted((trip for trip in booked if trip.on >= from_day), key=lambda trip: trip.on)
    cycles_booked = sum(trip.expected.cycles for trip in trips)
    if forecast.cycles_left is None:
        return ForecastDates(None, None, None, cycles_booked, forecast.why)
    on = _reached_on(trips, forecast.cycles_left, from_day)
    cycles = "cycle" if round(cycles_booked) == 1 else "cycles"
    why = f"about {cycles_booked:.0f} {cycles} booked, {forecast.cycles_left} left."
    return ForecastDates(
        on=on,
        low_on=_reached_on(trips, forecast.low, from_day),
        high_on=_reached_on(trips, forecast.high, from_day),
        cycles_booked=cycles_booked,
        why=why if on else f"Not within the trips booked: {why}",
    )


def _reached_on(trips: list[BookedTrip], cycles: int | None, from_day: date) -> date | None:
    if cycles is None:
        return None
    if cycles <= 0:
        return from_day
    total = 0.0
    for trip in trips:
        total += trip.expected.cycles
        if total >= cycles:
            return trip.on
    return None
