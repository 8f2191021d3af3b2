"""What every paper carries: whose it is, which one it is, and how it is set."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from babel import Locale, UnknownLocaleError


class PageSize(StrEnum):
    """The two sheets that office printers hold."""

    A4 = "A4"
    LETTER = "Letter"


class Units(StrEnum):
    """Units in which lengths, masses and heights are shown; records always hold metric ones."""

    METRIC = "metric"
    IMPERIAL = "imperial"


class Standing(StrEnum):
    """Whether what the paper tells of goes ahead; all but `FIRM` is said on every page."""

    FIRM = "firm"
    TENTATIVE = "tentative"
    CALLED_OFF = "called off"


@dataclass(frozen=True, slots=True)
class Business:
    """The business whose name stands at the head of the paper.

    `registration_lines` are printed at the foot as they are: company or tax numbers, a licence.
    """

    name: str
    address_lines: tuple[str, ...] = ()
    phone: str = ""
    mail: str = ""
    website: str = ""
    registration_lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Letterhead:
    """Whose paper it is, its number, when it was printed, and how it is set.

    `printed_at` is an aware instant; the same record gives the same bytes. `zone` is the zone of
    the business, in which every time is shown. `language` picks the fixed words ('en', 'de'),
    `locale` ('en_IE', 'de_DE') the form of dates, money and numbers. `currency` is an ISO 4217
    code; it is used where an amount on the paper names none of its own. `standing` is that of the
    trip the paper is about.
    """

    business: Business
    number: str
    printed_at: datetime
    zone: str
    locale: str = "en_IE"
    language: str = "en"
    currency: str = "EUR"
    page_size: PageSize = PageSize.A4
    units: Units = Units.METRIC
    standing: Standing = Standing.FIRM

    def __post_init__(self) -> None:
        if self.printed_at.tzinfo is None:
            raise ValueError("printed_at has no zone; give an aware UTC instant.")
        try:
            ZoneInfo(self.zone)
        except (ZoneInfoNotFoundError, ValueError) as wrong:
            raise ValueError(
                f"The zone {self.zone!r} is not known; give a name like 'Europe/Dublin'."
            ) from wrong
        try:
            Locale.parse(self.locale)
        except (UnknownLocaleError, ValueError) as wrong:
            raise ValueError(
                f"The locale {self.locale!r} is not known; give one like 'en_IE' or 'de_DE'."
            ) from wrong
