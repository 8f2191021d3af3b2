"""Light and tide of a spot, for one local date or for many, each worked out in one go."""

from __future__ import annotations

import datetime
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby

import numpy as np

from bookings.models import Offer
from guiding.almanac.light import LightDay, LightRule, light_days
from guiding.almanac.session import TideWanted, WayOut
from guiding.almanac.tide import TideSource as Tide
from guiding.almanac.tide import TideStrength, Turn, tide_range_m, tide_strength
from guiding.almanac.windows import Span, Windows
from guiding.days.models import Spot
from guiding.days.queries.tides import NO_SOURCE, TideBook, tide_books
from guiding.days.rules.decision import TheHouse
from guiding.days.rules.session import SessionProposal, kept_clear, propose_session

_CURVE_STEP = datetime.timedelta(minutes=15)
_BESIDE = datetime.timedelta(hours=18)  # a turn on either side of a day, diurnal tides included
_INTO_NEXT = datetime.timedelta(hours=12)  # a night's session ends by the next noon
_NEVER = Windows()
_KEPT_DAYS = 100
_FLYING_LIGHT = {
    Spot.FlyingLight.DAYLIGHT: LightRule.DAYLIGHT,
    Spot.FlyingLight.TWILIGHT: LightRule.TWILIGHT,
}


@dataclass(frozen=True, slots=True)
class SpotDay:
    """What nature does at a spot on a local date; `tide_why` says why there is no tide.

    `around` are the turns of the day and of the hours beside it. `shut` is when the way out is
    shut, `no_fishing` when nobody fishes for its sake or for a tide that does not serve; both run
    on to the next noon. `known_to` is how far the tide is known there.
    """

    spot: Spot
    light: LightDay
    tide: Tide | None
    tide_why: str
    turns: tuple[Turn, ...] = ()
    around: tuple[Turn, ...] = ()
    curve: tuple[tuple[datetime.datetime, float], ...] = ()
    shut: Windows = _NEVER
    no_fishing: Windows = _NEVER
    known_to: datetime.datetime | None = None
    shut_level_m: float | None = None

    @property
    def flying_light(self) -> Windows:
        """The light in which the rules of the place allow a flight."""
        return self.light.flying_light(_FLYING_LIGHT[Spot.FlyingLight(self.spot.flying_light)])

    @property
    def tide_source(self) -> str:
        return self.tide.source if self.tide else self.tide_why

    @property
    def strength(self) -> TideStrength | None:
        """Springs, neaps or between; None where the ranges cannot be compared."""
        mean_m = self.tide.mean_range_m if self.tide else None
        if not mean_m or len(self.around) < 2:
            return None
        return tide_strength(tide_range_m(self.around), mean_m)


def spot_day(
    *, spot: Spot, day: datetime.date, zone: str, house: TheHouse | None = None
) -> SpotDay:
    """Light and tide of a spot on a local date of the zone. ValueError for a date out of reach."""
    return spot_days(spot=spot, first=day, last=day, zone=zone, house=house, curves=True)[0]


def spot_days(
    *,
    spot: Spot,
    first: datetime.date,
    last: datetime.date,
    zone: str,
    book: TideBook | None = None,
    house: TheHouse | None = None,
    curves: bool = False,
) -> list[SpotDay]:
    """Light and tide of a spot on every date from first to last, both included.

    `book` where the tides were fetched already. ValueError for dates out of reach.
    """
    lights = _lights(spot.latitude, spot.longitude, zone, first, last)
    source = spot.tide_source
    if book is None and source is not None:
        book = tide_books([source], start=lights[0].start, end=lights[-1].end)[source.pk]
    chosen = [
        (light, *(book.over(light.start, light.end) if book else (None, NO_SOURCE)))
        for light in lights
    ]
    found: list[SpotDay] = []
    for _, group in groupby(chosen, key=lambda each: id(each[1])):
        rows = list(group)
        tide, why = rows[0][1:]
        together = [light for light, _, _ in rows]
        if tide is None:
            found += [SpotDay(spot, light, None, why) for light in together]
        else:
            found += _with_tide(spot, together, tide, house or TheHouse(), curves)
    return found


def _lights(
    latitude: float, longitude: float, zone: str, first: datetime.date, last: datetime.date
) -> tuple[LightDay, ...]:
    """The light of a few months is kept at hand: the same days are asked for again and again."""
    asked = light_days if (last - first).days > _KEPT_DAYS else kept_lights
    return asked(latitude, longitude, zone, first, last)


kept_lights = lru_cache(maxsize=256)(light_days)


def _with_tide(
    spot: Spot, lights: Sequence[LightDay], tide: Tide, house: TheHouse, curves: bool
) -> Iterator[SpotDay]:
    start = max(lights[0].start - _BESIDE, tide.valid_from)
    end = min(lights[-1].end + _BESIDE, tide.valid_until)
    turns = tide.turns(start, end)
    times = [turn.at for turn in turns]
    level_m, shut = _way_out(spot, tide, house, start, end)
    no_fishing = _not_fished(spot, tide, shut, house, start, end)
    for light in lights:
        until = min(light.end + _INTO_NEXT, end)
        i, j = bisect_left(times, light.start), bisect_left(times, light.end)
        low = bisect_left(times, light.start - _BESIDE)
        high = bisect_left(times, light.end + _BESIDE)
        yield SpotDay(
            spot=spot,
            light=light,
            tide=tide,
            tide_why="",
            turns=turns[i:j],
            around=turns[low:high],
            curve=_curve(tide, light) if curves else (),
            shut=_part(shut, light.start, until),
            no_fishing=_part(no_fishing, light.start, until),
            known_to=until,
            shut_level_m=level_m,
        )


def _way_out(
    spot: Spot, tide: Tide, house: TheHouse, start: datetime.datetime, end: datetime.datetime
) -> tuple[float | None, Windows]:
    """The tide that shuts the way out, waves left out, and when it does."""
    if spot.sill_m is None:
        return None, Windows()
    way = way_out(spot, house)
    return way.level_m, way.shut(tide, start, end)


def way_out(spot: Spot, house: TheHouse, run_up_m: float = 0.0) -> WayOut:
    """The way out of a spot with all its allowances; its sill must be known."""
    if spot.sill_m is None:
        raise ValueError(f"The tide cuts nobody off at {spot}: it has no sill.")
    return WayOut(
        sill_m=spot.sill_m,
        walk_out_min=spot.walk_out_min,
        pack_up_min=spot.pack_up_min,
        surge_m=spot.surge_m,
        run_up_m=run_up_m,
        margin_m=house.margin_m,
        slack_min=house.slack_min,
    )


def _not_fished(
    spot: Spot,
    tide: Tide,
    shut: Windows,
    house: TheHouse,
    start: datetime.datetime,
    end: datetime.datetime,
) -> Windows:
    out_min = spot.walk_out_min + spot.pack_up_min + house.slack_min
    clear = kept_clear(shut, out_min, spot.walk_out_min + spot.set_up_min)
    if spot.fish_over_m is None and spot.fish_under_m is None:
        return clear
    wanted = TideWanted(over_m=spot.fish_over_m, under_m=spot.fish_under_m)
    return clear | (Windows.of((start, end)) - wanted.windows(tide, start, end))


def _curve(tide: Tide, light: LightDay) -> tuple[tuple[datetime.datetime, float], ...]:
    steps = int((light.end - light.start) / _CURVE_STEP)
    times = [light.start + n * _CURVE_STEP for n in range(steps)]
    heights = tide.heights_m(np.array([at.timestamp() for at in times]))
    return tuple(zip(times, (float(height) for height in heights), strict=True))


def _part(windows: Windows, start: datetime.datetime, end: datetime.datetime) -> Windows:
    """What lies between start and end of many windows in order, without walking through all."""
    spans = windows.spans
    i = bisect_right(spans, start, key=lambda span: span.end)
    j = bisect_left(spans, end, key=lambda span: span.start)
    if i >= j:
        return Windows()
    return Windows(
        tuple(
            span
            if start <= span.start and span.end <= end
            else Span(max(span.start, start), min(span.end, end))
            for span in spans[i:j]
        )
    )


def propose_hours(found: SpotDay, offer: Offer, free: Windows | None = None) -> SessionProposal:
    """The hours an offer is best fished on a day: one rule for planning, searching and almanac.

    `free` where the hours that can be fished were worked out already.
    """
    return propose_session(
        light=free_hours(found, night=offer.night) if free is None else free,
        shut=_NEVER,
        turns=found.around,
        tide_wanted=offer.tide_wanted,
        hours=float(offer.fishing_hours),
        start_before=found.light.end if offer.night else None,
    )


def free_hours(found: SpotDay, *, night: bool) -> Windows:
    """The hours that can be fished: light and way out; into the night on to the next noon."""
    light = found.light
    lit = light.fishing_light()
    if night:
        until = light.end + _INTO_NEXT if found.tide is None else found.known_to
        lit = Windows.of((light.start, max(until or light.end, light.end)))
    return lit - found.no_fishing
