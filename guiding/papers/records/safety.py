"""Briefing, emergency card and signed form."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from guiding.papers.records.letterhead import Letterhead
from guiding.papers.records.trip import EmergencyFacts


@dataclass(frozen=True, slots=True)
class Score:
    """A risk on the matrix: likelihood and consequence from 1 up, their score, the band's name."""

    likelihood: int
    consequence: int
    score: int
    band: str


@dataclass(frozen=True, slots=True)
class RiskMatrix:
    """The matrix that the scores were read from, printed so that a reader can check them.

    `bands[l - 1][c - 1]` is the band of likelihood l and consequence c; the words name the
    levels from 1 up. Raises ValueError when the bands do not fit the words.
    """

    likelihoods: tuple[str, ...]
    consequences: tuple[str, ...]
    bands: tuple[tuple[str, ...], ...]
    source: str = ""

    def __post_init__(self) -> None:
        fits = len(self.bands) == len(self.likelihoods) and all(
            len(row) == len(self.consequences) for row in self.bands
        )
        if not fits:
            raise ValueError(
                "The risk matrix needs one row of bands a likelihood and one band a consequence."
            )


@dataclass(frozen=True, slots=True)
class BriefingItem:
    """A hazard: why it is on the list, what is done about it, what is said, what if it happens."""

    name: str
    trigger: str = ""
    controls: tuple[str, ...] = ()
    line: str = ""
    emergency: str = ""
    before: Score | None = None
    after: Score | None = None


@dataclass(frozen=True, slots=True)
class SpokenBlock:
    """A part of what is read aloud: its heading and the lines to say."""

    heading: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Briefing:
    """What the guide says at the spot, in order, with a line for everyone who heard it.

    `spoken` is read aloud as it stands, in about `spoken_minutes`. `first_names` get a box each;
    `rules` are the three that everyone repeats (empty prints the standard three). `child_lines`
    stand on a page of their own for `child_names`.
    """

    letterhead: Letterhead
    title: str
    day: date
    spot_name: str
    guide_name: str
    items: tuple[BriefingItem, ...]
    first_names: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    cast_only: bool = False
    matrix: RiskMatrix | None = None
    notes: tuple[str, ...] = ()
    spoken: tuple[SpokenBlock, ...] = ()
    spoken_minutes: float = 0.0
    child_lines: tuple[str, ...] = ()
    child_names: tuple[str, ...] = ()


class CardSize(StrEnum):
    """An A6 card for the pocket, or one sheet for the dashboard."""

    A6 = "A6"
    SHEET = "sheet"


@dataclass(frozen=True, slots=True)
class PersonMedicine:
    """What one person declared that a rescuer asks for; on the guide's copy alone."""

    name: str
    allergy: str = ""
    injector: bool = False
    medicine: str = ""
    more: str = ""
    call: str = ""


@dataclass(frozen=True, slots=True)
class EmergencyCard:
    """The card a client finds when the guide is hurt and there is no signal.

    `minutes` and `mgrs` are the place in degrees and minutes and as a grid reference; in decimal
    degrees it is the position of `emergency`. `beacon_steps` are the steps to set off the beacon,
    three at most read well. `vehicle` says what it is and where it stands, `keys` where the keys
    are. `medicines` is None on the copies for clients and shore contact; on the guide's copy it
    holds who declared what, and may be empty.
    """

    letterhead: Letterhead
    title: str
    day: date
    emergency: EmergencyFacts
    people: int
    minutes: str = ""
    mgrs: str = ""
    beacon_steps: tuple[str, ...] = ()
    vehicle: str = ""
    keys: str = ""
    size: CardSize = CardSize.A6
    medicines: tuple[PersonMedicine, ...] | None = None


@dataclass(frozen=True, slots=True)
class Fact:
    """A named fact."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class SignedForm:
    """A text exactly as it was signed, with everything that was recorded of the signature.

    `text` is printed word for word. `text_sha256`, `record_sha256` and `previous_sha256` are hex
    digests. `strokes` are the drawn lines as points of 0 to 1, the origin top left; without them
    `typed_name` is the mark, and `on_paper` says that it stands on a sheet that was photographed.
    `minor_*` and `relationship` are for a guardian's signature.
    `facts` are further lines of evidence; `verify` is put into the square code.
    """

    letterhead: Letterhead
    title: str
    text: str
    text_version: str
    text_language: str
    text_sha256: str
    signer_name: str
    identified_by: str
    means: str
    signed_at: datetime
    signed_zone: str
    intent: str
    typed_name: str = ""
    strokes: tuple[tuple[tuple[float, float], ...], ...] = ()
    signed_for: str = ""
    relationship: str = ""
    minor_name: str = ""
    minor_age: int | None = None
    agreed_to_electronic: bool = True
    copy_given: bool = True
    record_number: int | None = None
    record_sha256: str = ""
    previous_sha256: str = ""
    facts: tuple[Fact, ...] = ()
    verify: str = ""
    superseded_by: str = ""
    on_paper: bool = False
