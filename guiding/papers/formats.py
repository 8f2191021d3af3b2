"""Words, dates, money and measures in the language, the locale and the zone of a paper."""

from datetime import date, datetime, timedelta, tzinfo
from decimal import Decimal
from zoneinfo import ZoneInfo

from babel import Locale, dates, numbers

from guiding.papers.letters import Letters
from guiding.papers.records import Figure, Letterhead, Place, Units
from guiding.papers.words import Words, put_in

MINUS = "\u2212"
_FOOT_M = 0.3048
_INCH_MM = 25.4


def clock(instant: datetime, zone: tzinfo, locale: str | Locale) -> str:
    """Hour and minute in a zone, the way a locale reads its clocks."""
    return str(dates.format_time(instant.astimezone(zone), "short", locale=Locale.parse(locale)))


def clock_halves(locale: str | Locale) -> tuple[str, str] | None:
    """What a locale calls the halves of its day; None where it counts to 24."""
    known = Locale.parse(locale)
    if "a" not in known.time_formats["short"].pattern:
        return None
    names = known.day_periods["format"]["abbreviated"]
    return str(names["am"]), str(names["pm"])


class Formats:
    """How one paper speaks: its fixed words and the forms of its values."""

    def __init__(self, letterhead: Letterhead) -> None:
        self.letterhead = letterhead
        self.letters = Letters()
        self.words = Words.of(letterhead.language)
        self.zone = ZoneInfo(letterhead.zone)
        self.locale = Locale.parse(letterhead.locale)

    def word(self, key: str, **values: object) -> str:
        """A fixed text of the paper, as markup; values are put in escaped."""
        found = self.words.text(key)
        if not values:
            return self.safe(found)
        told = {name: one if type(one) is int else str(one) for name, one in values.items()}
        for name, text in told.items():
            # A value that is a sentence of its own brings the full stop with it.
            stop = isinstance(text, str) and text.endswith(".") and not text.endswith("..")
            if stop and f"{{{name}}}." in found:
                told[name] = str(text)[:-1]
        safe = {name: self.safe(one) if isinstance(one, str) else one for name, one in told.items()}
        return put_in(self.safe(found), **safe)

    def safe(self, text: str) -> str:
        """Any text as markup that cannot act as markup."""
        return self.letters.safe(text)

    def brief(self, text: str, most: int = 60) -> str:
        """Any text as markup on one line of at most `most` letters, for the heads of columns."""
        return self.safe(self.clipped(text, most))

    @staticmethod
    def clipped(text: str, most: int) -> str:
        """One line of at most `most` letters; a dot row shows where it was cut."""
        line = " ".join(text.split())
        return line if len(line) <= most else line[: most - 1] + "…"

    def local(self, instant: datetime) -> datetime:
        """The instant in the zone of the paper."""
        return instant.astimezone(self.zone)

    def time(self, instant: datetime) -> str:
        """Hour and minute in the zone of the paper."""
        return clock(instant, self.zone, self.locale)

    @property
    def decimal_mark(self) -> str:
        """The decimal mark of the locale."""
        return str(numbers.get_decimal_symbol(self.locale))

    @property
    def halves(self) -> tuple[str, str] | None:
        """What the locale calls the halves of its day; None where it counts to 24."""
        return clock_halves(self.locale)

    def day(self, day: date) -> str:
        """A date with its weekday, in full."""
        return str(dates.format_date(day, "full", locale=self.locale))

    def short_day(self, day: date) -> str:
        """A date with its weekday, short."""
        return str(dates.format_skeleton("yMMMEd", day, locale=self.locale))

    def day_and_month(self, day: date) -> str:
        """A date that comes every year."""
        return str(dates.format_skeleton("MMMd", day, locale=self.locale))

    def when(self, instant: datetime) -> str:
        """Weekday, date and time in the zone of the paper."""
        return f"{self.short_day(self.local(instant).date())}, {self.time(instant)}"

    def time_on(self, instant: datetime, day: date) -> str:
        """The time alone on `day`, with the date on any other day."""
        return self.time(instant) if self.local(instant).date() == day else self.when(instant)

    def money(self, amount: Decimal, currency: str = "") -> str:
        """An amount with its currency, to the minor unit of the currency."""
        code = currency or self.letterhead.currency
        told = str(numbers.format_currency(amount, code, locale=self.locale))
        return told.replace("-", MINUS, 1) if amount < 0 else told

    def number(self, value: Decimal | int | float, digits: int | None = None) -> str:
        """A number, with exactly `digits` decimals where they are given."""
        pattern = None
        if digits is not None:
            pattern = "#,##0" + ("." + "0" * digits if digits else "")
            value = 0 if round(Decimal(str(value)), digits) == 0 else value  # no minus before a 0
        told = str(numbers.format_decimal(value, pattern, locale=self.locale))
        return told.replace("-", MINUS)

    def share(self, value: Decimal | float, digits: int = 0) -> str:
        """A share of 0 to 1 as a percentage."""
        pattern = "#,##0" + ("." + "0" * digits if digits else "") + " %"
        return str(numbers.format_percent(value, pattern, locale=self.locale)).replace("-", MINUS)

    def distance(self, metres: float) -> str:
        """A length in metres, or in feet where the paper is set in imperial units."""
        if self.letterhead.units is Units.IMPERIAL:
            return f"{self.number(round(metres / _FOOT_M))} ft"
        return f"{self.number(round(metres))} m"

    def fish_length(self, length_mm: float) -> str:
        """A length of fish given in millimetres, in centimetres or inches."""
        if self.letterhead.units is Units.IMPERIAL:
            return f"{self.number(round(length_mm / _INCH_MM, 1))} in"
        return f"{self.number(round(length_mm / 10, 1))} cm"

    def position(self, place: Place) -> str:
        """Degrees and grid reference of a place, as far as they are known."""
        return " · ".join(part for part in (self.degrees(place), place.grid) if part)

    def degrees(self, place: Place) -> str:
        """Decimal degrees, about a metre fine, with the letters of the compass."""
        if place.lat is None or place.lon is None:
            return ""
        north = "N" if place.lat >= 0 else "S"
        east = "E" if place.lon >= 0 else "W"
        lat, lon = (self.number(abs(value), 5) for value in (place.lat, place.lon))
        return f"{lat}°\u00a0{north} {lon}°\u00a0{east}"

    def span(self, length: timedelta) -> str:
        """A stretch of time in hours and minutes, rounded to the minute."""
        minutes = round(abs(length) / timedelta(minutes=1))
        hours, rest = divmod(minutes, 60)
        parts = [f"{hours} h"] if hours else []
        if rest or not hours:
            parts.append(f"{rest} min")
        return " ".join(parts)

    def known(self, text: str) -> str:
        """A text, or plain words that it is not known."""
        return text.strip() or self.words.text("page.not_known")

    @staticmethod
    def stopped(text: str) -> str:
        """A line that ends like a sentence."""
        text = text.rstrip()
        return text if text.endswith((".", "!", "?", "…")) else f"{text}."

    @property
    def height_unit(self) -> str:
        """Unit of heights of water."""
        return "ft" if self.letterhead.units is Units.IMPERIAL else "m"

    def height(self, height_m: float) -> str:
        """A height of water given in metres, to a tenth, without its unit."""
        imperial = self.letterhead.units is Units.IMPERIAL
        return self.number(round(height_m / _FOOT_M if imperial else height_m, 1), 1)

    def brief_day(self, day: date) -> str:
        """Weekday and day of the month, for narrow columns."""
        return str(dates.format_skeleton("Ed", day, locale=self.locale))

    def figure(self, figure: Figure, currency: str = "") -> str:
        """A figure as money, a count or a share, whichever it holds."""
        if figure.amount is not None:
            return self.money(figure.amount, currency)
        if figure.count is not None:
            return self.number(figure.count)
        return self.share(figure.share or Decimal(0), 1)
