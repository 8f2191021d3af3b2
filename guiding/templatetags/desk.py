"""What templates need to show money, days, times, numbers and states in the business's manner.

Each tag takes the business from the context (`business`) or from `business=`; what is not known
is shown as a dash that says so, never as `None`. The words for numbers come from Babel.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

from babel import Locale, UnknownLocaleError, dates, numbers
from django import template
from django.conf import settings
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from bookings.rules.phones import phone_text

register = template.Library()

NBSP = "\N{NO-BREAK SPACE}"
MINUS = "\N{MINUS SIGN}"
NOT_KNOWN = mark_safe(
    '<span class="quiet" title="not known"><span aria-hidden="true">–</span>'
    '<span class="visually-hidden">not known</span></span>'
)
FEET_PER_METRE = 1 / 0.3048
WIND_UNITS = {
    "m/s": (1.0, "m/s"),
    "km/h": (3.6, "km/h"),
    "kn": (3600 / 1852, "kn"),
    "mph": (3600 / 1609.344, "mph"),
}
POINTS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
          "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Manner:
    """How one business writes: locale, currency, zone and units."""

    locale: Locale
    currency: str
    zone: ZoneInfo
    imperial: bool
    wind_unit: str

    @classmethod
    def of(cls, business: object | None) -> Manner:
        """The manner of a business; without one (nobody set up yet), plain English, euros, UTC."""
        return _manner_of(
            getattr(business, "locale", "") or settings.LANGUAGE_CODE,
            getattr(business, "currency", "") or "EUR",
            getattr(business, "zone", "") or settings.TIME_ZONE,
            getattr(business, "units", "metric") == "imperial",
        )

    def decimal(self, value: float | Decimal | int, places: int | None = None) -> str:
        """A number as this business writes it; `places` fixes the digits after the mark."""
        if places is None:
            return numbers.format_decimal(value, locale=self.locale).replace("-", MINUS)
        fraction = f".{'0' * places}" if places else ""
        pattern = f"#,##0{fraction}"
        if round(Decimal(str(value)), places) == 0:
            value = 0  # no minus before a zero
        told = numbers.format_decimal(value, format=pattern, locale=self.locale)
        return told.replace("-", MINUS)


@lru_cache(maxsize=32)
def _manner_of(locale: str, currency: str, zone: str, imperial: bool) -> Manner:
    try:
        spoken = Locale.parse(locale.replace("-", "_"))
    except (UnknownLocaleError, ValueError):
        spoken = Locale.parse("en")
    return Manner(spoken, currency, ZoneInfo(zone), imperial, "mph" if imperial else "m/s")


def _manner(context: Mapping[str, Any], business: object | None) -> Manner:
    return Manner.of(business if business is not None else context.get("business"))


def _blank(value: object) -> bool:
    return value == "" or value != value  # the last: not a number


def _day_of(value: date | datetime, zone: ZoneInfo) -> date:
    if isinstance(value, datetime):
        return (value.astimezone(zone) if value.tzinfo else value).date()
    return value


# ---------------------------------------------------------------- money and numbers


@register.simple_tag(takes_context=True)
def money(context: Mapping[str, Any], amount: Decimal | None, business: object = None,
          currency: str = "") -> str:  # fmt: skip
    """An amount with its currency: `{% money quote.total %}`."""
    if amount is None or _blank(amount):
        return NOT_KNOWN
    manner = _manner(context, business)
    told = numbers.format_currency(amount, currency or manner.currency, locale=manner.locale)
    return told.replace("-", MINUS, 1) if amount < 0 else told  # as on paper


@register.simple_tag(takes_context=True)
def number(context: Mapping[str, Any], value: float | Decimal | None, unit: str = "",
           places: int | None = None, business: object = None) -> str:  # fmt: skip
    """A number with its unit: `{% number pack.capacity_wh "Wh" places=0 %}`."""
    if value is None or _blank(value):
        return NOT_KNOWN
    shown = _manner(context, business).decimal(value, places)
    return f"{shown}{NBSP}{unit}" if unit else shown


@register.simple_tag(takes_context=True)
def as_typed(context: Mapping[str, Any], row: Any, name: str, unit: str,
             business: object = None) -> str:  # fmt: skip
    """A quantity as the guide typed it: `{% as_typed rig "main_strength_kgf" "kgf" %}`."""
    return row.words(name) or number(context, getattr(row, name), unit, business=business)


@register.simple_tag(takes_context=True)
def metres(context: Mapping[str, Any], value: float | Decimal | None, places: int | None = None,
           business: object = None) -> str:  # fmt: skip
    """A length given in metres, in metres or feet as the business reads it."""
    if value is None or _blank(value):
        return NOT_KNOWN
    manner = _manner(context, business)
    if manner.imperial:
        feet = float(value) * FEET_PER_METRE
        return f"{manner.decimal(feet, places if abs(feet) < 100 and places else 0)}{NBSP}ft"
    return f"{manner.decimal(value, places)}{NBSP}m"


@register.simple_tag(takes_context=True)
def fish_length(context: Mapping[str, Any], value_mm: int | None, business: object = None) -> str:
    """A length of fish given in millimetres, in centimetres or inches as the business reads it."""
    if value_mm is None or _blank(value_mm):
        return NOT_KNOWN
    manner = _manner(context, business)
    length, unit = (value_mm / 25.4, "in") if manner.imperial else (value_mm / 10, "cm")
    return f"{manner.decimal(round(length, 1))}{NBSP}{unit}"


@register.simple_tag(takes_context=True)
def share(context: Mapping[str, Any], value: float | Decimal | None, places: int = 0,
          business: object = None) -> str:  # fmt: skip
    """A share of 0 to 1 as a percentage: `{% share pack.health_share %}`."""
    if value is None or _blank(value):
        return NOT_KNOWN
    pattern = "#,##0" + (f".{'0' * places}" if places else "") + "%"
    return numbers.format_percent(value, format=pattern, locale=_manner(context, business).locale)


@register.simple_tag(takes_context=True)
def wind(context: Mapping[str, Any], speed_ms: float | None, from_deg: float | None = None,
         business: object = None, gust_ms: float | None = None) -> str:  # fmt: skip
    """Wind given in m/s, with the point it blows from: `{% wind 8.2 225 %}`."""
    if speed_ms is None or _blank(speed_ms):
        return NOT_KNOWN
    manner = _manner(context, business)
    factor, unit = WIND_UNITS[manner.wind_unit]
    places = 1 if unit == "m/s" else 0
    shown = manner.decimal(speed_ms * factor, places)
    if gust_ms is not None and not _blank(gust_ms):
        shown = f"{shown}, gusts {manner.decimal(gust_ms * factor, places)}"
    shown = f"{shown}{NBSP}{unit}"
    if from_deg is None or _blank(from_deg):
        return shown
    return f"{shown} from {POINTS[round(from_deg % 360 / 22.5) % 16]}"


# ---------------------------------------------------------------- days and times


@lru_cache(maxsize=2048)
def _day_words(locale: Locale, value: date, year: bool = True) -> str:
    shown = dates.format_skeleton("yMMMEd" if year else "MMMEd", value, locale=locale)
    # Some locales set a comma after the weekday, some with the year and not without: never here.
    return re.sub(r"^([^\W\d]+\.?),", r"\1", shown)


@lru_cache(maxsize=2048)
def _time_words(locale: Locale, value: time) -> str:
    return dates.format_time(value, "short", locale=locale)


@register.simple_tag(takes_context=True)
def day(context: Mapping[str, Any], value: date | datetime | None, business: object = None,
        year: bool = True, zone: str = "") -> str:  # fmt: skip
    """A date with its weekday: `{% day trip.day %}`; `year=False` leaves the year out."""
    if value is None or _blank(value):
        return NOT_KNOWN
    manner = _manner(context, business)
    local = _day_of(value, ZoneInfo(zone) if zone else manner.zone)
    shown = _day_words(manner.locale, local, year)
    return format_html('<time datetime="{}" class="nowrap">{}</time>', local.isoformat(), shown)


def _clock_words(manner: Manner, value: datetime | time, zone: ZoneInfo) -> str:
    if isinstance(value, datetime):
        value = (value.astimezone(zone) if value.tzinfo else value).time()
    return _time_words(manner.locale, value.replace(second=0, microsecond=0, tzinfo=None))


def _zone_words(manner: Manner, zone: ZoneInfo) -> str:
    if zone.key == manner.zone.key:
        return ""
    city = dates.get_timezone_location(zone, locale=manner.locale, return_city=True)
    return f" {city} time"


@register.simple_tag(takes_context=True)
def clock(context: Mapping[str, Any], value: datetime | time | None, zone: str = "",
          business: object = None) -> str:  # fmt: skip
    """A time of day, local; the zone is named when it is not the business's own."""
    if value is None or _blank(value):
        return NOT_KNOWN
    manner = _manner(context, business)
    local_zone = ZoneInfo(zone) if zone else manner.zone
    shown = _clock_words(manner, value, local_zone) + _zone_words(manner, local_zone)
    if not isinstance(value, datetime):
        return shown
    return format_html('<time datetime="{}">{}</time>', value.isoformat(), shown)


@register.simple_tag(takes_context=True)
def span(context: Mapping[str, Any], start: datetime | None, end: datetime | None,
         zone: str = "", business: object = None) -> str:  # fmt: skip
    """From one time to another, naming the day where the second falls on a later one."""
    if start is None or end is None or _blank(start) or _blank(end):
        return NOT_KNOWN
    manner = _manner(context, business)
    local_zone = ZoneInfo(zone) if zone else manner.zone
    first, last = (_clock_words(manner, at, local_zone) for at in (start, end))
    later = _day_of(end, local_zone)
    if later == _day_of(start, local_zone):
        shown = f"{first}–{last}"
    else:
        shown = f"{first} – {last} {_day_words(manner.locale, later, year=False)}"
    return shown + _zone_words(manner, local_zone)


@register.simple_tag
def lasting(value: timedelta | float | None) -> str:
    """A length of time, from a timedelta or from minutes: `6 h 10 min`."""
    if value is None or _blank(value):
        return NOT_KNOWN
    minutes = value.total_seconds() / 60 if isinstance(value, timedelta) else float(value)
    sign, left = (MINUS if round(minutes) < 0 else ""), abs(round(minutes))
    hours, left = divmod(left, 60)
    parts = ([f"{hours}{NBSP}h"] if hours else []) + ([f"{left}{NBSP}min"] if left else [])
    return sign + (" ".join(parts) or f"0{NBSP}min")


@register.simple_tag(takes_context=True)
def since(context: Mapping[str, Any], value: date | datetime | None, now: datetime | None = None,
          business: object = None) -> str:  # fmt: skip
    """How long ago or how far ahead: `3 days ago`, `in 2 hours`; the moment itself on hover."""
    if value is None or _blank(value):
        return NOT_KNOWN
    manner = _manner(context, business)
    moment = now or context.get("now") or timezone.now()
    if isinstance(value, datetime):
        gap = value - moment
        at = _clock_words(manner, value, manner.zone)
        full = f"{_day_words(manner.locale, _day_of(value, manner.zone))} {at}"
    else:
        gap = value - _day_of(moment, manner.zone)
        full = _day_words(manner.locale, value)
    if gap == timedelta() and not isinstance(value, datetime):
        shown = "today"
    elif abs(gap) < timedelta(minutes=1):
        shown = "just now"
    else:
        shown = dates.format_timedelta(gap, add_direction=True, locale=manner.locale)
    return format_html('<time datetime="{}" title="{}">{}</time>', value.isoformat(), full, shown)


# ---------------------------------------------------------------- states and words

# Shapes are drawn, not letters of a font: they print and they scale. A disc fills as a thing
# becomes certain; a cross stops; a triangle asks; a bar is over and done.
SHAPES = {
    "ring": '<circle cx="6" cy="6" r="5" fill="none" stroke="currentColor" stroke-width="2"/>',
    "half": '<circle cx="6" cy="6" r="5" fill="none" stroke="currentColor" stroke-width="2"/>'
    '<path d="M6 1a5 5 0 0 1 0 10z" fill="currentColor"/>',
    "disc": '<circle cx="6" cy="6" r="6" fill="currentColor"/>',
    "cross": '<path d="M1 1l10 10M11 1L1 11" stroke="currentColor" stroke-width="3"/>',
    "triangle": '<path d="M6 0l6 11.5H0z" fill="currentColor"/>',
    "bar": '<path d="M0 6h12" stroke="currentColor" stroke-width="4"/>',
}
STATES = {
    "tentative": ("wait", "half"), "confirmed": ("good", "disc"), "cancelled": ("stop", "cross"),
    "agreed": ("wait", "half"), "overpaid": ("wait", "triangle"),
    "fished": ("over", "bar"), "open": ("open", "ring"), "closed": ("over", "bar"),
    "fit": ("good", "disc"), "watch": ("wait", "half"), "due": ("wait", "triangle"),
    "grounded": ("stop", "cross"), "retired": ("over", "bar"), "go": ("good", "disc"),
    "hold": ("wait", "half"), "call off": ("stop", "cross"), "draft": ("open", "ring"),
    "sent": ("open", "half"), "accepted": ("good", "disc"), "lapsed": ("over", "bar"),
    "paid": ("good", "disc"), "part paid": ("wait", "half"), "unpaid": ("open", "ring"),
    "overdue": ("stop", "triangle"), "signed": ("good", "disc"), "missing": ("wait", "triangle"),
    "queued": ("open", "ring"), "failed": ("stop", "cross"), "done": ("over", "bar"),
    "in date": ("good", "disc"), "running out": ("wait", "triangle"),
    "out of date": ("stop", "cross"), "withdrawn": ("over", "bar"), "refunded": ("over", "bar"),
}  # fmt: skip
TONES = ("good", "wait", "stop", "open", "over")


@register.simple_tag
def state(value: object, tone: str = "", shape: str = "", says: str = "") -> SafeString:
    """A state as word and shape: `{% state trip.state %}`; a word of your own takes a tone.

    `says` is the word in another language; tone and shape stay those of the state.
    """
    if value is None or _blank(value):
        return NOT_KNOWN
    word = str(getattr(value, "label", value)).replace("_", " ").replace("-", " ").lower()
    key = str(getattr(value, "value", value)).replace("_", " ").replace("-", " ").lower()
    found_tone, found_shape = STATES.get(key) or STATES.get(word) or ("open", "ring")
    tone = tone if tone in TONES else found_tone
    drawn = SHAPES.get(shape) or SHAPES[found_shape]
    return format_html(
        '<span class="state tone-{}"><svg viewBox="0 0 12 12" width="12" height="12"'
        ' aria-hidden="true" focusable="false">{}</svg>{}</span>',
        tone,
        mark_safe(drawn),  # noqa: S308 - one of the constants above
        says or word,
    )


@register.simple_tag(takes_context=True)
def plural(context: Mapping[str, Any], count: int | None, one: str, many: str,
           business: object = None) -> str:  # fmt: skip
    """A count and its word: `{% plural trips|length "trip" "trips" %}`."""
    if count is None or _blank(count):
        return NOT_KNOWN
    return f"{_manner(context, business).decimal(count)}{NBSP}{one if count == 1 else many}"


@register.filter
def phone(number: str) -> str:
    """A stored telephone number the way it is read."""
    return phone_text(number)


@register.simple_tag
def known(value: object) -> object:
    """Any value, or the dash that says it is not known; yes and no instead of True and False."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return NOT_KNOWN if value is None or _blank(value) else value


@register.simple_tag(takes_context=True)
def page_link(context: Mapping[str, Any], number: int) -> str:
    """The address of another page of the same list: every filter stays as it was."""
    request = context.get("request")
    query = request.GET.copy() if request else None
    if query is None:
        return f"?page={number}"
    query["page"] = number
    return f"?{query.urlencode()}"
