"""What a drop plan is drawn from: places on the shore, paths over the water, heights."""

from dataclasses import dataclass, field
from enum import StrEnum

from guiding.drawings.units import HeightUnit, SpeedUnit


class MarkKind(StrEnum):
    """What stands at a place."""

    ROD = "rod"
    PAD = "pad"
    PEOPLE = "people"
    SPOTTER = "spotter"
    VEHICLE = "vehicle"


@dataclass(frozen=True, slots=True)
class ShorePoint:
    """A place: metres along the beach, to the right for who looks to sea, and metres out to sea.

    The water's edge is at nought; what lies on the beach is out by less than nought.
    """

    along_m: float
    out_m: float


@dataclass(frozen=True, slots=True)
class ShoreMark:
    """Something that stands at a place, with what to call it in the key."""

    kind: MarkKind
    at: ShorePoint
    label: str


@dataclass(frozen=True, slots=True)
class HeightPoint:
    """A height over the water so many metres out."""

    out_m: float
    height_m: float


@dataclass(frozen=True, slots=True)
class DropWords:
    """Words and marks of one language."""

    language: str = "en"
    decimal_mark: str = "."
    plan_of: str = "Plan of the drop"
    sea: str = "sea"
    north: str = "N"
    wind: str = "wind"
    wind_from: str = "from"
    gusts: str = "gusts"
    path_out: str = "path out"
    path_home: str = "path home"
    release: str = "release"
    bearing: str = "bearing"
    distance: str = "distance"
    height: str = "height"
    fall_zone: str = "nobody in here: fall zone, radius"
    keep_behind: str = "nobody past this line while it flies"
    least_height: str = "at least"
    ceiling: str = "ceiling"
    hangs: str = "rig hangs"
    waves: str = "waves"
    nearest_person: str = "nearest person"
    needed: str = "needed"
    out_to_sea: str = "out"
    cast_only: str = "cast only"
    caution: str = "Check with your own authority."


@dataclass(frozen=True, slots=True)
class DropPlanFacts:
    """One drop at one spot. `cast_only` holds the reason why nothing may be flown, or None.

    `seaward_deg` is the bearing of who looks straight out to sea; `wind_from_deg` where the wind
    blows from; both clockwise from true north. The paths start at the pad and end there.
    """

    title: str
    seaward_deg: float
    path_out: tuple[ShorePoint, ...] = ()
    path_home: tuple[ShorePoint, ...] = ()
    fall_centre: ShorePoint | None = None
    fall_radius_m: float = 0.0
    wind_ms: float | None = None
    wind_from_deg: float = 0.0
    gust_ms: float | None = None
    marks: tuple[ShoreMark, ...] = ()
    keep_behind_m: float | None = None
    heights: tuple[HeightPoint, ...] = ()
    ground: tuple[HeightPoint, ...] = ()
    hang_m: float = 0.0
    wave_height_m: float = 0.0
    least_height_m: float | None = None
    ceiling_m: float | None = None
    clear_m: float | None = None
    clear_needed_m: float | None = None
    cast_only: str | None = None
    warnings: tuple[str, ...] = ()
    words: DropWords = field(default_factory=DropWords)
    length_unit: HeightUnit = HeightUnit.METRE
    speed_unit: SpeedUnit = SpeedUnit.METRE_PER_SECOND

    def __post_init__(self) -> None:
        if self.fall_radius_m < 0 or self.hang_m < 0 or self.wave_height_m < 0:
            raise ValueError(
                f"The plan '{self.title}' has a radius, a hang or a wave below nought; check them."
            )
        if self.cast_only is None and 0 < len(self.path_out) < 2:
            raise ValueError(f"The path out of '{self.title}' needs a start and an end.")

    @property
    def release(self) -> ShorePoint | None:
        """Where the path out ends; None where nothing is flown."""
        return self.path_out[-1] if self.path_out and self.cast_only is None else None
