"""Which day to offer: gates that each refuse with a reason, then a score whose parts add up.

All weights and scales are house defaults without a source: they put into an order what the gates
let through, and nothing more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time
from enum import StrEnum
from math import isfinite

_TENTHS = 10
FAR_MIN = 240.0  # a drive that brings no point [house]
RESTED_DAYS = 7.0  # after which a spot counts as rested [house]
NO_RESULTS_SHARE = 0.5  # where the season says nothing yet [house]


class Gate(StrEnum):
    """What can refuse a day, in the order in which it is asked."""

    PAST = "past"
    WEEKDAY = "weekday"
    AWAY = "away"
    TAKEN = "taken"
    OFFER = "offer"
    PLACES = "places"
    AGES = "ages"
    CLOSED = "closed"
    SESSION = "light and tide"
    HOURS = "hours wished"
    DUTY = "duty"
    REST = "rest"
    DROP = "permission to drop"
    GEAR = "gear"
    FORECAST = "forecast"


@dataclass(frozen=True, slots=True)
class Refusal:
    """The gate that refuses a day, and why."""

    gate: Gate
    why: str


@dataclass(frozen=True, slots=True)
class GateFacts:
    """One day at one spot for one offer and one party, as the gates look at it.

    The texts are reasons, empty where nothing stands in the way; local clock times; hours as
    hours; None where a limit is not set or a neighbour does not exist.
    """

    day: date
    today: date
    weekdays: str = ""
    away: str = ""
    taken: str = ""
    offer_from: date | None = None
    offer_until: date | None = None
    heads: int = 1
    minors: int = 0
    youngest: int | None = None
    offer_places: int = 4
    places_left: int | None = None
    spot_places: int = 6
    minimum_age: int = 0
    minors_welcome: bool = True
    closed: str = ""
    no_session: str = ""
    pick_up: time | None = None
    drop_off: time | None = None
    next_day: bool = False
    earliest: time | None = None
    latest: time | None = None
    duty_h: float | None = None
    duty_limit_h: float = 14.0
    rest_h: float | None = None
    rest_limit_h: float = 10.0
    flown: bool = False
    cast_only: str = ""
    grounded: str = ""
    forecast_stop: str = ""


@dataclass(frozen=True, slots=True)
class ScoreWeights:
    """The most points of each part; each 0 or more, together 100 unless changed [house]."""

    tide: float = 40.0
    moon: float = 10.0
    results: float = 15.0
    drive: float = 10.0
    rest: float = 10.0
    wishes: float = 15.0

    def __post_init__(self) -> None:
        for name in ("tide", "moon", "results", "drive", "rest", "wishes"):
            if not 0 <= getattr(self, name) <= 1000:
                raise ValueError(f"The weight of {name} is {getattr(self, name)}: give 0 to 1000.")


@dataclass(frozen=True, slots=True)
class DayMerits:
    """What speaks for a day at a spot: shares 0 to 1, minutes one way, days since or until.

    `results_share` None: nothing on record. `rest_days` None: the spot is fished on no other day.
    `wishes_asked` 0: nothing was wished for.
    """

    tide_share: float
    moon_share: float
    results_share: float | None = None
    drive_min: float = 0.0
    rest_days: float | None = None
    wishes_met: int = 0
    wishes_asked: int = 0

    def __post_init__(self) -> None:
        shares = [self.tide_share, self.moon_share, self.results_share or 0.0]
        if not all(isfinite(share) and 0 <= share <= 1 for share in shares):
            raise ValueError("Tide, moon and results are shares from 0 to 1: check the three.")
        if not 0 <= self.wishes_met <= self.wishes_asked:
            raise ValueError(f"{self.wishes_met} of {self.wishes_asked} wishes cannot be met.")
        if not self.drive_min >= 0 or not (self.rest_days is None or self.rest_days >= 0):
            raise ValueError("Minutes of driving and days of rest are 0 or more: check the two.")


@dataclass(frozen=True, slots=True)
class ScorePart:
    """One part of a score: its points out of the most, and the fact behind them."""

    name: str
    points: float
    most: float
    why: str


@dataclass(frozen=True, slots=True)
class DayScore:
    """A score: the points, which are the sum of its parts to the tenth."""

    points: float
    parts: tuple[ScorePart, ...]


def day_refusal(facts: GateFacts) -> Refusal | None:
    """The first gate that refuses a day, with its reason, or None where all let it through.

    A gate has no weight: whatever speaks for a day cannot open it. Source: house rule.
    """
    for gate, why in _asked(facts):
        if why:
            return Refusal(gate, why)
    return None


def _asked(facts: GateFacts) -> tuple[tuple[Gate, str], ...]:
    return (
        (Gate.PAST, "it has passed" if facts.day < facts.today else ""),
        (Gate.WEEKDAY, _weekday(facts)),
        (Gate.AWAY, facts.away),
        (Gate.TAKEN, facts.taken),
        (Gate.OFFER, _offer(facts)),
        (Gate.PLACES, _places(facts)),
        (Gate.AGES, _ages(facts)),
        (Gate.CLOSED, facts.closed),
        (Gate.SESSION, facts.no_session),
        (Gate.HOURS, _hours(facts)),
        (Gate.DUTY, _duty(facts)),
        (Gate.REST, _rest(facts)),
        (Gate.DROP, facts.cast_only if facts.flown else ""),
        (Gate.GEAR, facts.grounded if facts.flown else ""),
        (Gate.FORECAST, facts.forecast_stop),
    )


def _weekday(facts: GateFacts) -> str:
    if not facts.weekdays or str(facts.day.weekday()) in facts.weekdays:
        return ""
    return f"{facts.day:%A} is not among the weekdays wished for"


def _offer(facts: GateFacts) -> str:
    if facts.offer_from and facts.day < facts.offer_from:
        return f"the offer is sold from {facts.offer_from:%-d %B %Y}"
    if facts.offer_until and facts.day > facts.offer_until:
        return f"the offer was sold to {facts.offer_until:%-d %B %Y}"
    return ""


def _places(facts: GateFacts) -> str:
    if facts.places_left is not None and facts.heads > facts.places_left:
        left = facts.places_left
        places = "1 place is" if left == 1 else f"{left} places are"
        return f"{places} left on it, {facts.heads} are asked for"
    if facts.heads > facts.offer_places:
        return f"the offer takes {facts.offer_places}, the party is {facts.heads}"
    if facts.heads > facts.spot_places:
        return f"the spot takes {facts.spot_places}, the party is {facts.heads}"
    return ""


def _ages(facts: GateFacts) -> str:
    if facts.minors and not facts.minors_welcome:
        return "nobody under 18 is taken there"
    if facts.youngest is not None and facts.youngest < facts.minimum_age:
        return f"the offer is from the age of {facts.minimum_age}, the youngest is {facts.youngest}"
    return ""


def _hours(facts: GateFacts) -> str:
    if facts.earliest and facts.pick_up and facts.pick_up < facts.earliest:
        return f"pick-up would be at {facts.pick_up:%H:%M}, wished from {facts.earliest:%H:%M}"
    if facts.latest and facts.drop_off and (facts.next_day or facts.drop_off > facts.latest):
        return f"drop-off would be at {facts.drop_off:%H:%M}, wished by {facts.latest:%H:%M}"
    return ""


def _duty(facts: GateFacts) -> str:
    if facts.duty_h is None or facts.duty_h <= facts.duty_limit_h:
        return ""
    return f"the day would last {facts.duty_h:.1f} h, your limit is {facts.duty_limit_h:g} h"


def _rest(facts: GateFacts) -> str:
    if facts.rest_h is None or facts.rest_h >= facts.rest_limit_h:
        return ""
    return f"{facts.rest_h:.1f} h of rest beside another day, your least is {facts.rest_limit_h:g}"


def score_day(merits: DayMerits, weights: ScoreWeights | None = None) -> DayScore:
    """The score of a day at a spot: six parts that add up to it, each with its fact.

    Every part falls or stays when its own fact gets worse, whatever the others are. Points to the
    tenth. Source: house weights and scales, no other.
    """
    weights = weights or ScoreWeights()
    results = NO_RESULTS_SHARE if merits.results_share is None else merits.results_share
    rest = 1.0 if merits.rest_days is None else min(merits.rest_days / RESTED_DAYS, 1.0)
    drive = max(1 - merits.drive_min / FAR_MIN, 0.0)
    wishes = merits.wishes_met / merits.wishes_asked if merits.wishes_asked else 1.0
    shares = (
        ("tide and light", merits.tide_share, weights.tide, _percent(merits.tide_share)),
        ("moon", merits.moon_share, weights.moon, _percent(merits.moon_share)),
        ("own results", results, weights.results, _results(merits)),
        ("drive", drive, weights.drive, f"{merits.drive_min:.0f} min one way"),
        ("rest of the spot", rest, weights.rest, _rested(merits)),
        ("wishes", wishes, weights.wishes, _wished(merits)),
    )
    tenths = [round(share * most * _TENTHS) for _, share, most, _ in shares]
    parts = tuple(
        ScorePart(name, points / _TENTHS, most, why)
        for points, (name, _, most, why) in zip(tenths, shares, strict=True)
    )
    return DayScore(sum(tenths) / _TENTHS, parts)


def _percent(share: float) -> str:
    return f"{share:.0%} of what is wanted"


def _results(merits: DayMerits) -> str:
    if merits.results_share is None:
        return "nothing on record"
    return f"{merits.results_share:.0%} of the days planned here at this season were fished"


def _rested(merits: DayMerits) -> str:
    if merits.rest_days is None:
        return "on no other day"
    days = f"{merits.rest_days:.0f}"
    return f"{days} day{'s' * (days != '1')} from the nearest other trip"


def _wished(merits: DayMerits) -> str:
    if not merits.wishes_asked:
        return "none said"
    return f"{merits.wishes_met} of {merits.wishes_asked}"


def moon_share(lit_share: float, wanted: str) -> float:
    """How well the moon suits a wish, 0 to 1, from the lit share of its disc.

    `wanted` springs: 1 at new and full moon, 0 at the quarters; dark: 1 at new moon; any: as
    springs, since ranges and currents are largest then. Common practice, no source. ValueError
    for other words and for a share outside 0 to 1.
    """
    if not 0 <= lit_share <= 1:
        raise ValueError(f"A lit share of {lit_share} is not from 0 to 1.")
    if wanted not in {"any", "springs", "dark"}:
        raise ValueError(f"{wanted!r} is no wish for the moon: write any, springs or dark.")
    return round(1 - lit_share if wanted == "dark" else abs(2 * lit_share - 1), 4)


def ranked(scores: Sequence[DayScore]) -> tuple[int, ...]:
    """The places of scores in a list, best first; equal scores keep their order."""
    return tuple(sorted(range(len(scores)), key=lambda i: -scores[i].points))
