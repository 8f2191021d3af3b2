"""Find a day: every date, spot and offer through the gates, what is left in order of its score."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from bookings.models import Business, Offer, Trip
from guiding.almanac.windows import Span, Windows
from guiding.days.models import Spot
from guiding.days.queries.decisions import shut_dates, the_house
from guiding.days.queries.drops import drop_papers
from guiding.days.queries.find_days import (
    Diary,
    FitGear,
    OwnResults,
    TakenDay,
    diary,
    fit_gear,
    own_results,
)
from guiding.days.queries.forecasts import Weather, weather_at
from guiding.days.queries.tides import TideBook, tide_books
from guiding.days.rules.decision import TheHouse
from guiding.days.rules.score import (
    DayMerits,
    DayScore,
    Gate,
    GateFacts,
    Refusal,
    ScoreWeights,
    day_refusal,
    moon_share,
    score_day,
)
from guiding.days.rules.seasons import ShutDates, shut_because
from guiding.days.rules.session import DayTimes, day_times, tide_share
from guiding.days.sheets.forecast_gate import forecast_stop
from guiding.days.sheets.nature import SpotDay, free_hours, propose_hours, spot_days
from guiding.flying.permission import drop_permission

MOST_DAYS = 400
_HOUR = datetime.timedelta(hours=1)
_FORECAST_REACH = datetime.timedelta(days=17)


@dataclass(frozen=True, slots=True)
class Search:
    """What a party wishes for. `spots` and `offers` are tried in every combination.

    `wished_*` score, the rest decides: weekdays as digits (Monday 0), clock times local.
    """

    first: datetime.date
    last: datetime.date
    offers: tuple[Offer, ...]
    spots: tuple[Spot, ...]
    heads: int
    minors: int = 0
    youngest: int | None = None
    weekdays: str = ""
    earliest: datetime.time | None = None
    latest: datetime.time | None = None
    flown: bool = False
    moon: str = "any"
    wished_spot: int | None = None
    wished_offer: int | None = None
    wished_days: tuple[datetime.date, datetime.date] | None = None
    but_trip: int | None = None
    weights: ScoreWeights = field(default_factory=ScoreWeights)


@dataclass(frozen=True, slots=True)
class DayOption:
    """A day that all gates let through. `join` is the trip it would be on, where one stands."""

    day: datetime.date
    spot: Spot
    offer: Offer
    times: DayTimes
    why: str
    score: DayScore
    cast_only: str
    nature: SpotDay
    join: Trip | None = None


@dataclass(frozen=True, slots=True)
class RefusedDay:
    """A day that a gate refused."""

    day: datetime.date
    spot: Spot
    offer: Offer
    refusal: Refusal


@dataclass(frozen=True, slots=True)
class FoundDays:
    """The options, best first, and every combination that was refused, by day."""

    search: Search
    options: tuple[DayOption, ...]
    refused: tuple[RefusedDay, ...]

    @property
    def tried(self) -> int:
        return len(self.options) + len(self.refused)


def find_days(*, search: Search, business: Business, at: datetime.datetime) -> FoundDays:
    """Every date, spot and offer of a search, as of a moment. ValueError for dates out of reach."""
    days = (search.last - search.first).days + 1
    if not 1 <= days <= MOST_DAYS:
        raise ValueError(
            f"From {search.first:%-d %B %Y} to {search.last:%-d %B %Y} are {days} days: search "
            f"1 to {MOST_DAYS}."
        )
    ground = _Ground.gathered(search, business, at)
    options: list[DayOption] = []
    refused: list[RefusedDay] = []
    for spot in search.spots:
        for found in _of_spot(spot, search, business, ground):
            if isinstance(found, DayOption):
                options.append(found)
            else:
                refused.append(found)
    options.sort(key=lambda o: (-o.score.points, o.day, o.spot.drive_min, o.spot.name))
    refused.sort(key=lambda r: (r.day, r.spot.name, r.offer.name))
    return FoundDays(search, tuple(options), tuple(refused))


@dataclass(frozen=True, slots=True)
class _Ground:
    """Everything that was read for a search, in a fixed number of queries."""

    today: datetime.date
    house: TheHouse
    diary: Diary
    results: OwnResults
    gear: FitGear
    books: dict[int, TideBook]
    weather: dict[int, Weather]

    @classmethod
    def gathered(cls, search: Search, business: Business, at: datetime.datetime) -> _Ground:
        tz = business.tz
        start = datetime.datetime.combine(search.first, datetime.time(), tz)
        end = datetime.datetime.combine(search.last, datetime.time(), tz) + 48 * _HOUR
        soon = min(end, at + _FORECAST_REACH)
        spots = search.spots
        return cls(
            today=at.astimezone(tz).date(),
            house=the_house(),
            diary=diary(first=search.first, last=search.last, tz=tz, at=at, but=search.but_trip),
            results=own_results(on=at.astimezone(tz).date(), tz=tz),
            gear=fit_gear(first=search.first, last=search.last)
            if search.flown
            else FitGear(None, ""),
            books=tide_books([spot.tide_source for spot in spots], start=start, end=end),
            weather=weather_at(spots, start=start, end=soon, at=at) if start < soon else {},
        )


def _of_spot(
    spot: Spot, search: Search, business: Business, ground: _Ground
) -> Iterator[DayOption | RefusedDay]:
    book = ground.books.get(spot.tide_source_id) if spot.tide_source_id else None
    natures = spot_days(
        spot=spot,
        first=search.first,
        last=search.last,
        zone=business.zone,
        book=book,
        house=ground.house,
    )
    closures, gate = shut_dates(spot), _DropGate(spot)
    for nature in natures:
        on_day = _OnDay(search, ground, nature, closures, gate, business.tz)
        for offer in search.offers:
            yield on_day.tried(offer)


class _DropGate:
    """Whether bait may be flown at a spot, asked day after day: the answer of the papers is kept.

    It changes only where one of them begins or ends to hold.
    """

    def __init__(self, spot: Spot) -> None:
        self.place, self.papers = spot.name, drop_papers(spot)
        self.known: dict[tuple[tuple[bool, bool], ...], str] = {}

    def cast_only(self, day: datetime.date) -> str:
        """Why nothing may be flown on a day; empty where both permissions are proven."""
        holding = tuple((day < each.valid_from, day > each.valid_to) for each in self.papers)
        if holding not in self.known:
            self.known[holding] = drop_permission(self.papers, self.place, day).sentence
        return self.known[holding]


class _OnDay:
    """One spot on one date, with what its offers share worked out once."""

    def __init__(
        self,
        search: Search,
        ground: _Ground,
        nature: SpotDay,
        closures: tuple[ShutDates, ...],
        gate: _DropGate,
        tz: datetime.tzinfo,
    ) -> None:
        self.search, self.ground, self.nature, self.tz = search, ground, nature, tz
        self.spot, self.day = nature.spot, nature.light.day
        self.taken = ground.diary.taken.get(self.day, ())
        self.closed = shut_because(self.day, closures)
        self.away = ground.diary.away_on(self.day)
        self.cast_only = gate.cast_only(self.day)
        self.free: dict[bool, Windows] = {}
        self.rest_days = ground.diary.rest_days(self.spot.pk, self.day)
        self.results_share = ground.results.share(self.spot.pk, self.day)
        self.moon_share = moon_share(nature.light.moon_fraction, search.moon)

    def _free(self, *, night: bool) -> Windows:
        if night not in self.free:
            self.free[night] = free_hours(self.nature, night=night)
        return self.free[night]

    def tried(self, offer: Offer) -> DayOption | RefusedDay:
        """The option, or the refusal of the first gate."""
        joined = self._joined(offer)
        times, why = self._times(offer, joined)
        facts = self._facts(offer, joined, times, why)
        refusal = day_refusal(facts)
        if refusal is not None or times is None:
            return RefusedDay(self.day, self.spot, offer, refusal or _no_times(why))
        return DayOption(
            day=self.day,
            spot=self.spot,
            offer=offer,
            times=times,
            why=why,
            score=score_day(self._merits(offer, times), self.search.weights),
            cast_only=self.cast_only,
            nature=self.nature,
            join=joined.trip if joined else None,
        )

    def _joined(self, offer: Offer) -> TakenDay | None:
        """The trip that stands on this day at this spot, shared or with nobody on it yet."""
        for taken in self.taken:
            same = taken.trip.offer_id == offer.pk and taken.spot_id == self.spot.pk
            if same and (offer.shared or taken.is_empty):
                return taken
        return None

    def _times(self, offer: Offer, joined: TakenDay | None) -> tuple[DayTimes | None, str]:
        """The hours of the trip that stands, or those proposed; or why there are none."""
        span, why = None, "on a day that stands"
        if joined and joined.plan:
            span = Span(joined.plan.session_start, joined.plan.session_end)
        else:
            proposal = propose_hours(self.nature, offer, self._free(night=offer.night))
            span, why = proposal.span, proposal.why
        if span is None:
            return None, why
        spot = self.spot
        times = day_times(
            session=span,
            drive_min=spot.drive_min,
            set_up_min=spot.set_up_min,
            pack_up_min=spot.pack_up_min,
            walk_out_min=spot.walk_out_min,
        )
        if joined:
            trip = joined.trip
            times = replace(times, pick_up=trip.starts_at, drop_off=trip.ends_at)
        return times, why

    def _facts(
        self, offer: Offer, joined: TakenDay | None, times: DayTimes | None, why: str
    ) -> GateFacts:
        search, ground, spot = self.search, self.ground, self.spot
        out_at, home_at = (times.pick_up, times.drop_off) if times else (None, None)
        asks_clock = search.earliest is not None or search.latest is not None
        local = [
            each.astimezone(self.tz) if each and asks_clock else None for each in (out_at, home_at)
        ]
        return GateFacts(
            day=self.day,
            today=ground.today,
            weekdays=search.weekdays,
            away=self.away,
            taken="" if joined or not self.taken else self.taken[0].words,
            offer_from=offer.valid_from,
            offer_until=offer.valid_until,
            heads=search.heads,
            minors=search.minors,
            youngest=search.youngest,
            offer_places=offer.places,
            places_left=joined.places_left if joined else None,
            spot_places=spot.max_party,
            minimum_age=offer.minimum_age,
            minors_welcome=spot.minors_welcome,
            closed=self.closed,
            no_session=why if times is None else self._tide_unknown(),
            pick_up=local[0].time() if local[0] else None,
            drop_off=local[1].time() if local[1] else None,
            next_day=bool(local[0] and local[1] and local[1].date() > local[0].date()),
            earliest=search.earliest,
            latest=search.latest,
            duty_h=(home_at - out_at) / _HOUR if out_at and home_at else None,
            duty_limit_h=ground.house.duty_h,
            rest_h=self._rest_h(joined, out_at, home_at),
            rest_limit_h=ground.house.rest_h,
            flown=search.flown,
            cast_only=self.cast_only,
            grounded=ground.gear.grounded_on(self.day),
            forecast_stop=self._forecast_stop(times),
        )

    def _tide_unknown(self) -> str:
        """Where the tide can cut people off, a day without a known tide is not offered."""
        unknown = self.nature.tide is None and self.spot.sill_m is not None
        return self.nature.tide_why if unknown else ""

    def _rest_h(
        self,
        joined: TakenDay | None,
        out_at: datetime.datetime | None,
        home_at: datetime.datetime | None,
    ) -> float | None:
        if joined or out_at is None or home_at is None:
            return None
        return self.ground.diary.rest_h(out_at, home_at)

    def _forecast_stop(self, times: DayTimes | None) -> str:
        weather = self.ground.weather.get(self.spot.pk)
        if times is None or weather is None or not weather.is_known:
            return ""
        return forecast_stop(self.nature, weather, times, self.ground.house)

    def _merits(self, offer: Offer, times: DayTimes) -> DayMerits:
        search, spot = self.search, self.spot
        asked = (
            (search.wished_spot, search.wished_spot == spot.pk),
            (search.wished_offer, search.wished_offer == offer.pk),
            (search.wished_days, _within(self.day, search.wished_days)),
        )
        session = times.session
        return DayMerits(
            tide_share=tide_share(session, self.nature.around, offer.tide_wanted)
            if self.nature.tide
            else 0.0,
            moon_share=self.moon_share,
            results_share=self.results_share,
            drive_min=float(spot.drive_min),
            rest_days=self.rest_days,
            wishes_met=sum(met for wish, met in asked if wish is not None),
            wishes_asked=sum(wish is not None for wish, _ in asked),
        )


def _within(day: datetime.date, days: tuple[datetime.date, datetime.date] | None) -> bool:
    return days is not None and days[0] <= day <= days[1]


def _no_times(why: str) -> Refusal:
    return Refusal(Gate.SESSION, why)
