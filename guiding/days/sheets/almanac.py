"""A spot's almanac: one row a day with light, tide, moon, what can be fished and what flown."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from bookings.models import Offer
from guiding.almanac.tide import TideStrength, Turn
from guiding.almanac.windows import Span, Windows
from guiding.days.models import Spot
from guiding.days.queries.decisions import shut_dates, the_house
from guiding.days.queries.find_days import Diary
from guiding.days.queries.tides import TideBook
from guiding.days.rules.decision import TheHouse
from guiding.days.rules.score import moon_share
from guiding.days.rules.seasons import shut_because
from guiding.days.rules.session import tide_share
from guiding.days.sheets.day import cast_only_reason
from guiding.days.sheets.nature import SpotDay, free_hours, propose_hours, spot_days

CANDIDATE_SHARE = 0.5  # of the tide that is wanted [house]


@dataclass(frozen=True, slots=True)
class AlmanacRow:
    """One day at a spot. `session` are the hours of the offer, or the longest that can be fished.

    `why_not` says why the day is no candidate; empty where it is one. `may_fly` is the flying light
    where both permissions hold, wind and craft left out.
    """

    nature: SpotDay
    session: Span | None
    free: Windows
    may_fly: Windows
    cast_only: str
    why_not: str
    tide_share: float
    moon_share: float

    @property
    def day(self) -> datetime.date:
        return self.nature.light.day

    @property
    def turns(self) -> tuple[Turn, ...]:
        return self.nature.turns

    @property
    def strength(self) -> TideStrength | None:
        return self.nature.strength

    @property
    def is_candidate(self) -> bool:
        return not self.why_not


@dataclass(frozen=True, slots=True)
class SpotAlmanac:
    """The rows of a stretch of days with the sources they come from, each once."""

    spot: Spot
    offer: Offer | None
    rows: tuple[AlmanacRow, ...]

    @property
    def candidates(self) -> int:
        return sum(row.is_candidate for row in self.rows)

    @property
    def tide_sources(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(row.nature.tide_source for row in self.rows))

    @property
    def datum(self) -> str:
        return next((row.nature.tide.datum for row in self.rows if row.nature.tide), "")


def spot_almanac(
    *,
    spot: Spot,
    first: datetime.date,
    last: datetime.date,
    zone: str,
    offer: Offer | None = None,
    diary: Diary | None = None,
    book: TideBook | None = None,
    house: TheHouse | None = None,
) -> SpotAlmanac:
    """Every day of a stretch at a spot. ValueError for days out of reach.

    With an `offer` the hours are its own; with the `diary` days that are taken are no candidates.
    """
    house = house or the_house()
    natures = spot_days(spot=spot, first=first, last=last, zone=zone, book=book, house=house)
    closures = shut_dates(spot)
    rows = [
        _row(nature, offer, shut_because(nature.light.day, closures), diary) for nature in natures
    ]
    return SpotAlmanac(spot, offer, tuple(rows))


def _row(nature: SpotDay, offer: Offer | None, closed: str, diary: Diary | None) -> AlmanacRow:
    day, spot = nature.light.day, nature.spot
    free = free_hours(nature, night=bool(offer and offer.night))
    session, why = _session(nature, offer, free)
    cast_only = cast_only_reason(spot, day) or ""
    wanted = offer.tide_wanted if offer else "any"
    share = tide_share(session, nature.around, wanted) if session else 0.0
    if nature.tide is None and (spot.sill_m is not None or wanted != "any"):
        why = why or nature.tide_why
    if not why and share < CANDIDATE_SHARE:
        why = f"{share:.0%} of the tide that is wanted"
    return AlmanacRow(
        nature=nature,
        session=session,
        free=free,
        may_fly=Windows() if cast_only else nature.flying_light,
        cast_only=cast_only,
        why_not=closed or _taken(diary, day) or why,
        tide_share=share,
        moon_share=moon_share(nature.light.moon_fraction, "any"),
    )


def _session(nature: SpotDay, offer: Offer | None, free: Windows) -> tuple[Span | None, str]:
    if offer is None:
        return free.longest, "" if free else "no light with the way out open"
    proposal = propose_hours(nature, offer, free)
    return proposal.span, "" if proposal.span else proposal.why


def _taken(diary: Diary | None, day: datetime.date) -> str:
    if diary is None:
        return ""
    taken: Sequence[object] = diary.taken.get(day, ())
    if taken:
        return diary.taken[day][0].words
    return diary.away_on(day)
