"""The client's trip sheet: what a client must know before, during and after the day.

Instants are aware; the paper shows them in the zone of the letterhead. Free text is in the
language of the paper. A field that is left empty is left out, or its standard words are printed
where the docstring says so.
"""

from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from guiding.drawings.strip import StripFacts
from guiding.papers.records.letterhead import Letterhead


@dataclass(frozen=True, slots=True)
class Place:
    """A place to go to: its name, how to get there, and where it is on a map.

    `lat` and `lon` in degrees, WGS 84, north and east positive; `grid` is a grid reference as it
    is written (MGRS or a national one).
    """

    name: str
    directions: str = ""
    lat: float | None = None
    lon: float | None = None
    grid: str = ""


@dataclass(frozen=True, slots=True)
class PlanStep:
    """A step of the day; the paper adds the time to the nearest low or high water."""

    at: datetime
    text: str
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class RiskLine:
    """One of the main risks of this day: its name, why it is on the list, what we do about it."""

    name: str
    measure: str
    trigger: str = ""


@dataclass(frozen=True, slots=True)
class EmergencyFacts:
    """Who does what, where help is, and what to say on the telephone.

    `number` is the emergency number of the place, `number_unconfirmed` where sources of it do not
    agree and nobody has asked there yet; `beacon` says where the beacon and the first
    aid kit are; `steps` replaces the standard steps where the guide wrote his own. Hospital,
    beacon and first aid that are left empty are printed as not known: somebody will look for them.
    """

    number: str
    guide_name: str
    guide_phone: str = ""
    position: Place | None = None
    access: str = ""
    beacon: str = ""
    first_aid: str = ""
    nearest_help: str = ""
    hospital: str = ""
    hospital_phone: str = ""
    landing_site: str = ""
    signal_point: str = ""
    contact_name: str = ""
    contact_phone: str = ""
    overdue_at: datetime | None = None
    steps: tuple[str, ...] = ()
    number_unconfirmed: bool = False


@dataclass(frozen=True, slots=True)
class FishLimit:
    """What may be kept of a species; the guide's own table with its source.

    `min_length_mm` in millimetres; `bag` is a number of fish a person a day, 0 is 'release all'.
    """

    species: str
    min_length_mm: int | None = None
    bag: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class FishFacts:
    """The limits of the day and how fish are handled; empty texts get the standard words."""

    limits: tuple[FishLimit, ...] = ()
    limits_source: str = ""
    limits_checked_on: date | None = None
    release: str = ""
    photos: str = ""


@dataclass(frozen=True, slots=True)
class MoneyFacts:
    """What is paid and what is due; `ladder` is one line a step of the cancellation terms."""

    price: Decimal
    paid: Decimal
    due: Decimal
    due_on: date | None = None
    currency: str = ""
    how_to_pay: str = ""
    ladder: tuple[str, ...] = ()
    weather_rule: str = ""


@dataclass(frozen=True, slots=True)
class InsuranceFacts:
    """What is insured, what is not, and where a complaint or an injury noticed later goes."""

    cover: str = ""
    gaps: str = ""
    complaints: str = ""
    afterwards: str = ""


@dataclass(frozen=True, slots=True)
class MinorsFacts:
    """The additions for a party with minors; empty texts get the standard words.

    `consents` are lines like 'Sunscreen: yes'; `contacts` name a person at each end with number.
    `child_page` adds a page of five pictures and rules for the children themselves.
    """

    responsible: str
    second_adult: str = ""
    collection: str = ""
    seats: str = ""
    swim_level: str = ""
    consents: tuple[str, ...] = ()
    contacts: tuple[str, ...] = ()
    child_page: bool = False


@dataclass(frozen=True, slots=True)
class ChildPage:
    """The child's own page of a trip, named by its title."""

    letterhead: Letterhead
    title: str


@dataclass(frozen=True, slots=True)
class TripSheet:
    """The client's trip sheet, in the order in which a client needs the facts.

    At a glance: `title` to `decision_at`. What we do: `what_we_do` to `signal`. What to bring:
    `bring`, `wear`, `supplied`. The day: `steps`. Sea, tide, wind, sun: `strip` with its text
    twin, `tide_source`, `forecast_source`, `forecast_issued_at`. Then `risks` (the first eight
    are printed), `rules` (three; empty prints the standard three), and the rest as named.
    `method` says whether baits are flown or cast, with the reason. `first_names` are printed,
    never surnames, as the sheet lies on a dashboard.
    """

    letterhead: Letterhead
    title: str
    starts_at: datetime
    meet: Place
    back_earliest_at: datetime
    back_latest_at: datetime
    guide_name: str
    guide_phone: str
    first_names: tuple[str, ...]
    strip: StripFacts
    emergency: EmergencyFacts
    decision_at: datetime | None = None
    decision_how: str = ""
    spot_name: str = ""
    method: str = ""
    what_we_do: str = ""
    effort: str = ""
    walking: str = ""
    toilets: str = ""
    signal: str = ""
    bring: tuple[str, ...] = ()
    wear: tuple[str, ...] = ()
    supplied: tuple[str, ...] = ()
    steps: tuple[PlanStep, ...] = ()
    tide_source: str = ""
    forecast_source: str = ""
    forecast_issued_at: datetime | None = None
    sea_notes: tuple[str, ...] = ()
    risks: tuple[RiskLine, ...] = ()
    rules: tuple[str, ...] = ()
    fish: FishFacts = field(default_factory=FishFacts)
    medicines: str = ""
    food: str = ""
    alcohol: str = ""
    money: MoneyFacts | None = None
    insurance: InsuranceFacts = field(default_factory=InsuranceFacts)
    minors: MinorsFacts | None = None
