"""The report of an incident or near miss, from its rows."""

from __future__ import annotations

import datetime

from babel.numbers import format_decimal

from bookings.models import Business
from guiding.papers import records
from guiding.papers.formats import MINUS
from guiding.safety.models import Incident
from guiding.safety.sheets.letterhead import letterhead

# What was frozen, in the order of reading: its name, its unit.
_CONDITIONS: dict[str, tuple[str, str]] = {
    "spot": ("Spot", ""),
    "tide_m": ("Tide", "m"),
    "tide": ("Tide", ""),
    "tide_source": ("Tide from", ""),
    "sun_altitude_deg": ("Sun above the horizon", "°"),
    "wind_ms": ("Wind", "m/s"),
    "gust_ms": ("Gusts", "m/s"),
    "wave_m": ("Waves", "m"),
    "period_s": ("Period of the waves", "s"),
    "rain_mm": ("Rain", "mm"),
    "air_c": ("Air", "°C"),
    "water_c": ("Water", "°C"),
    "thunder": ("Thunder", ""),
    "forecast": ("Forecast", ""),
    "craft": ("Craft", ""),
    "rods": ("Rods", ""),
    "drops_planned": ("Drops planned", ""),
    "people": ("People", ""),
}


def condition_facts(incident: Incident, business: Business) -> tuple[records.Fact, ...]:
    """The conditions as they were frozen, with names and units that people read."""
    known = incident.conditions
    return tuple(
        records.Fact(label, _told(known[name], unit, business.locale))
        for name, (label, unit) in _CONDITIONS.items()
        if known.get(name) not in (None, "")
    )


def _told(value: object, unit: str, locale: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        number = format_decimal(value, locale=locale).replace("-", MINUS)
        return f"{number}{unit}" if unit == "°" else f"{number}\u00a0{unit}".strip()
    return str(value)


def incident_report(
    incident: Incident, *, business: Business, printed_at: datetime.datetime, page_size: str = ""
) -> records.IncidentReport:
    """The report with its record, its witnesses and what was to be done."""
    kind = incident.get_kind_display().capitalize()
    place = str(incident.spot) if incident.spot else ""
    return records.IncidentReport(
        letterhead=letterhead(
            business, number=f"I{incident.pk:05d}", printed_at=printed_at, page_size=page_size
        ),
        title=f"{kind}, {place}" if place else kind,
        happened_at=incident.happened_at,
        kept_until=incident.keep_until,
        what=incident.what,
        place=place,
        closed_at=incident.closed_at,
        facts=_facts(incident),
        story=_story(incident),
        conditions=condition_facts(incident, business),
        witnesses=tuple(
            records.WitnessWords(row.name, row.contact, row.statement, row.taken_at)
            for row in incident.witnesses.all()
        ),
        follow_ups=tuple(
            records.FollowUpRow(row.what, row.due_on, row.done_on, row.done_note, row.source)
            for row in incident.follow_ups.all()
        ),
        entries=tuple(
            records.RecordEntry(row.written_at, row.by, row.about, row.words)
            for row in incident.entries.all()
        ),
    )


def _facts(incident: Incident) -> tuple[records.Fact, ...]:
    minor = "yes" if incident.minor_hurt else "no"
    known = (
        ("Harm", incident.get_harm_display()),
        ("Somebody under 18 hurt", minor),
        ("Damage to others' things", "yes" if incident.damage_to_others else "no"),
        ("The craft had part in it", "yes" if incident.flying else "no"),
        ("Hazard", str(incident.hazard or "")),
        ("Day", incident.trip.offer.name if incident.trip else ""),
    )
    return tuple(records.Fact(label, value) for label, value in known if value)


def _story(incident: Incident) -> tuple[records.Fact, ...]:
    known = (
        ("Who was hurt or had part in it", incident.people),
        ("What was done at once", incident.first_aid),
        ("Why it happened", incident.causes),
        ("What changes because of it", incident.lessons),
    )
    return tuple(records.Fact(label, text) for label, text in known if text.strip())
