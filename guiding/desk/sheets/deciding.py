"""The decision of a trip as the run sheet prints it, and where to go instead."""

from __future__ import annotations

import datetime

from bookings.models import Business
from guiding.days.models import Decision
from guiding.days.queries.decisions import decision_that_holds
from guiding.days.rules.limits import Finding, Scope, Verdict
from guiding.days.sheets.fallbacks import Fallbacks, fallbacks
from guiding.desk.sheets.gather import TripFile
from guiding.papers import records
from guiding.papers.formats import MINUS, clock

_FEET, _MILES_AN_HOUR = 1 / 0.3048, 3600 / 1609.344
_PAPER = {
    Verdict.GO: records.Verdict.GO,
    Verdict.CAUTION: records.Verdict.HOLD,
    Verdict.STOP: records.Verdict.CALL_OFF,
}
# What the guide fills in by hand where nothing is forecast.
_BY_HAND = "no forecast entered: fill in by hand"


def decision_record(file: TripFile) -> records.Decision:
    """The newest decision with the numbers that count now; without one, the box to fill in."""
    row = newest_decision(file)
    weather = file.conditions.weather if file.conditions else None
    return records.Decision(
        verdict=records.Verdict(row.verdict) if row else None,
        taken_at=row.taken_at if row else None,
        taken_by=row.taken_by_name if row else "",
        reason=row.reason if row else "",
        limits=_limit_rows(file),
        forecast_source=weather.sources if weather else "",
        forecast_issued_at=weather.oldest_issued_at if weather else None,
    )


def _limit_rows(file: TripFile) -> tuple[records.LimitRow, ...]:
    """Every number with its limit, and whatever is no go."""
    found = file.conditions
    if found is None or file.plan is None:
        return ()
    imperial = file.business.units == "imperial"
    if not found.weather.is_known:
        return _open_rows(file, imperial)
    told = [
        one
        for one in found.findings
        if one.verdict is not Verdict.GO or (one.value is not None and one.scope is Scope.DAY)
    ]
    return tuple(_limit_row(one, file, imperial) for one in told)


def _limit_row(one: Finding, file: TripFile, imperial: bool) -> records.LimitRow:
    clock = _clock(one.at, file.business) if one.at and one.value else ""
    return records.LimitRow(
        one.what,
        figure_text(one.limit, one.unit, imperial=imperial),
        " ".join(filter(None, (figure_text(one.value, one.unit, imperial=imperial), clock))),
        _PAPER[one.verdict],
        one.note,
    )


def _open_rows(file: TripFile, imperial: bool) -> tuple[records.LimitRow, ...]:
    spot = file.plan.spot if file.plan else None
    if spot is None:
        return ()
    rows = (
        ("Waves", spot.wave_stop_m, "m"),
        ("Wave period", spot.period_caution_s, "s"),
        ("Mean wind", spot.wind_stop_ms, "m/s"),
    )
    return tuple(
        records.LimitRow(
            name, figure_text(limit, unit, imperial=imperial), "", records.Verdict.HOLD, _BY_HAND
        )
        for name, limit, unit in rows
    )


def figure_text(value: float | None, unit: str, *, imperial: bool) -> str:
    """A number with its unit, in feet and miles an hour where the business reads those."""
    if value is None:
        return ""
    if imperial and unit == "m":
        value, unit = round(value * _FEET, 1), "ft"
    elif imperial and unit == "m/s":
        value, unit = round(value * _MILES_AN_HOUR), "mph"
    return f"{round(value, 2):g} {unit}".replace("-", MINUS)


def _clock(at: datetime.datetime, business: Business) -> str:
    return clock(at, business.tz, business.locale)


def trip_fallbacks(file: TripFile, *, at: datetime.datetime) -> Fallbacks:
    """What could be done instead of the planned day."""
    if file.plan is None or file.conditions is None:
        return Fallbacks((), ())
    party = file.conditions.facts.party
    return fallbacks(
        trip=file.trip,
        plan=file.plan,
        heads=party.heads,
        minors=party.minors,
        business=file.business,
        at=at,
    )


def fallback_rows(file: TripFile, *, at: datetime.datetime) -> tuple[records.Fallback, ...]:
    """The other spots of the day, as the run sheet prints them."""
    return tuple(
        records.Fallback(
            spot=option.spot.name,
            when=f"fishing {_clock(option.times.session_start, file.business)} to "
            f"{_clock(option.times.session_end, file.business)}",
            drive_min=option.spot.drive_min,
            place=records.Place(
                name=option.spot.name, lat=option.spot.latitude, lon=option.spot.longitude
            ),
        )
        for option in trip_fallbacks(file, at=at).spots
    )


def newest_decision(file: TripFile) -> Decision | None:
    """The decision that holds."""
    return decision_that_holds(file.plan) if file.plan else None
