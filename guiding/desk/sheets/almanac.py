"""The almanac of a spot on paper: light, moon and tide of a month or a year."""

from __future__ import annotations

import datetime

from babel import dates

from bookings.models import Business
from guiding.almanac.tide import TideStrength
from guiding.days.models import Spot
from guiding.days.sheets.nature import SpotDay, spot_days
from guiding.desk.sheets.gather import letterhead
from guiding.desk.sheets.languages import language_of_house
from guiding.papers import records
from guiding.papers.almanac_page import almanac_page_pdf

_SPRINGS = {TideStrength.SPRINGS: True, TideStrength.NEAPS: False}


def almanac_file(
    *,
    spot: Spot,
    first: datetime.date,
    last: datetime.date,
    business: Business,
    printed_at: datetime.datetime,
) -> bytes:
    """Every day of a stretch at a spot as a PDF, in the business's language, units and zone.

    ValueError for days out of reach.
    """
    days = spot_days(spot=spot, first=first, last=last, zone=business.zone)
    tides = {day.tide_source: None for day in days if day.tide}
    # Whoever reads the paper sees why the tide of a day is missing, each reason once.
    whys = dict.fromkeys(day.tide_why for day in days if day.tide is None)
    english = language_of_house(business) == "en"
    a_month = (first.year, first.month) == (last.year, last.month)
    number = f"{first:{'%Y-%m' if a_month else '%Y'}}-A{spot.pk}"
    head = letterhead(business, number=number, printed_at=printed_at)
    title = dates.format_skeleton("yMMMM" if a_month else "y", first, locale=head.locale)
    page = records.AlmanacPage(
        letterhead=head,
        title=str(title),
        place=str(spot),
        rows=tuple(_row(day, english) for day in days),
        lat=spot.latitude,
        lon=spot.longitude,
        tide_source="; ".join(tides),
        tide_datum=next((day.tide.datum for day in days if day.tide), ""),
        notes=tuple(whys) if english else (),
    )
    return almanac_page_pdf(page)


def _row(day: SpotDay, english: bool) -> records.AlmanacRow:
    light = day.light
    # A month always has a night without a moonrise: the dash says it. A day without a sunrise is
    # worth its sentence, which is kept in English alone.
    why = light.why.get("sunrise") or light.why.get("sunset") or ""
    return records.AlmanacRow(
        day=light.day,
        civil_dawn=light.civil_dawn,
        sunrise=light.sunrise,
        sunset=light.sunset,
        civil_dusk=light.civil_dusk,
        moonrise=light.moonrise,
        moonset=light.moonset,
        moon_share=light.moon_fraction,
        moon_waxing=light.moon_waxing,
        turns=tuple(
            records.AlmanacTurn(turn.at, turn.height_m, turn.kind == "high") for turn in day.turns
        ),
        springs=_SPRINGS.get(day.strength) if day.strength else None,
        note=why if english else "",
    )
