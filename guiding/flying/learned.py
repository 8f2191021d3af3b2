"""What the log of flown drops says about a craft's use of its packs, in place of the model.

Each logged drop gives one ratio: energy it took over the energy the model gives it. A craft that
takes 30 % more than the model shows ratios near 1.3 whatever the distance, so a few drops of any
kind already teach. A class of distance and wind with enough drops of its own pulls its figure
towards what was seen there.

The middle of the ratios is their trimmed mean, without the lowest and the highest fifth: nearly as
sharp as the mean, and one wild entry moves it by no more than the spread of the rest over what is
kept. Its band is that of Tukey and McLaughlin (Sankhya A 25, 1963; reference from memory).
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass, replace
from statistics import fmean, median, stdev

from guiding.flying.craft import Craft, Pack
from guiding.flying.defaults import HOUSE, FlyingDefaults
from guiding.flying.flight import DropFlight
from guiding.flying.sortie import full_pack_wh, sortie

_TRIMMED = 0.2
# A normal spread keeps this much of its standard deviation when each fifth at the ends is drawn in
# to its neighbour.
_DRAWN_IN_SIGMA = 0.642


@dataclass(frozen=True, slots=True)
class LoggedDrop:
    """One flown drop from the log, oldest first in a log.

    `pack` as it was on that day; `used_percent` of the full pack from take-off to landing.
    """

    flight: DropFlight
    pack: Pack
    used_percent: float


@dataclass(frozen=True, slots=True)
class LogProblem:
    """An entry of the log that was left out, and why. `row` counts from 1."""

    row: int
    column: str
    sentence: str


@dataclass(frozen=True, slots=True)
class ClassUse:
    """What the log holds for one class of distance and wind.

    `ratio` is the class's figure over the model, pulled towards the whole log where the class has
    few drops. `percent` is the median of what was logged, None where nothing was.
    """

    distance: str
    wind: str
    drops: int
    percent: float | None
    ratio: float


@dataclass(frozen=True, slots=True)
class LearnedUse:
    """Energy of a planned drop after the log has been asked.

    `band_share` is half the width of the band round the level: at least 95 % of such bands hold the
    craft's true level, where the model is off by one factor. `spread_share` is how far single drops
    scatter about it. `model_bias_share` is how much more than the model the log shows (negative:
    less), `model_miss_share` the typical miss of the model on a single drop; both None without a
    log.
    """

    energy_wh: float
    energy_home_wh: float
    time_s: float
    percent: float
    low_percent: float
    high_percent: float
    band_share: float
    spread_share: float | None
    drops: int
    from_log: bool
    source: str
    model_energy_wh: float
    model_bias_share: float | None
    model_miss_share: float | None
    problems: tuple[LogProblem, ...]


@dataclass(frozen=True, slots=True)
class _Seen:
    ratio: float
    percent: float
    cell: tuple[int, int]


@dataclass(frozen=True, slots=True)
class _Lesson:
    """The log boiled down: the middle of all ratios, and of each class that has enough drops."""

    whole: float
    of_class: dict[tuple[int, int], float]

    def ratio(self, cell: tuple[int, int]) -> float:
        return self.of_class.get(cell, self.whole)


def learned_use(
    craft: Craft,
    pack: Pack,
    flight: DropFlight,
    log: tuple[LoggedDrop, ...] = (),
    defaults: FlyingDefaults = HOUSE,
) -> LearnedUse:
    """Energy and percent of a pack for one planned drop: from the log once it is long enough.

    log: the craft's drops, oldest first; up to the newest 200 [house] are used. From ten usable
    drops on [house] the log replaces the model. Entries that cannot be compared come back as
    problems and are left out. More distance, wind, load or line never gives less energy, whatever
    the log holds. Refused as for a sortie.
    """
    model = sortie(craft, flight, defaults)
    seen, problems = _seen(craft, log, defaults)
    from_log = len(seen) >= defaults.learn_after_drops
    energy_wh = _level_wh(craft, flight, seen, defaults) if from_log else model.energy_wh
    band = _band(flight, seen, defaults) if from_log else defaults.model_band_share
    full_wh = full_pack_wh(pack, defaults)
    ratios = [one.ratio for one in seen]
    return LearnedUse(
        energy_wh=energy_wh,
        energy_home_wh=model.energy_home_wh * energy_wh / model.energy_wh,
        time_s=model.time_s,
        percent=energy_wh / full_wh * 100,
        low_percent=energy_wh * (1 - band) / full_wh * 100,
        high_percent=energy_wh * (1 + band) / full_wh * 100,
        band_share=band,
        spread_share=_spread(ratios, defaults) if from_log else None,
        drops=len(seen),
        from_log=from_log,
        source=_source(len(seen), defaults),
        model_energy_wh=model.energy_wh,
        model_bias_share=_middle(ratios) - 1 if seen else None,
        model_miss_share=median(abs(1 / r - 1) for r in ratios) if seen else None,
        problems=problems,
    )


def use_by_class(
    craft: Craft, log: tuple[LoggedDrop, ...], defaults: FlyingDefaults = HOUSE
) -> tuple[ClassUse, ...]:
    """What the log holds in each class of distance and wind, nearest and calmest first.

    log: the craft's drops, oldest first. Empty when no entry can be used. Classes [house].
    """
    seen, _ = _seen(craft, log, defaults)
    if not seen:
        return ()
    lesson = _lesson(seen, defaults)
    table = []
    for i in range(len(defaults.distance_class_m) + 1):
        for j in range(len(defaults.wind_class_ms) + 1):
            here = [one.percent for one in seen if one.cell == (i, j)]
            table.append(
                ClassUse(
                    distance=_class_words(defaults.distance_class_m, i, "m"),
                    wind=_class_words(defaults.wind_class_ms, j, "m/s"),
                    drops=len(here),
                    percent=median(here) if here else None,
                    ratio=lesson.ratio((i, j)),
                )
            )
    return tuple(table)


def _source(drops: int, defaults: FlyingDefaults) -> str:
    needed = defaults.learn_after_drops
    if drops >= needed:
        return f"from your {drops} drop{'s' * (drops != 1)}"
    return f"from the model; your log takes over at {needed} drops and holds {drops}"


def _seen(
    craft: Craft, log: tuple[LoggedDrop, ...], defaults: FlyingDefaults
) -> tuple[list[_Seen], tuple[LogProblem, ...]]:
    first = max(len(log) - defaults.learn_newest_drops, 0)
    seen, problems = [], []
    for row, drop in enumerate(log[first:], start=first + 1):
        if not 0 < drop.used_percent <= 100:
            sentence = f"{drop.used_percent:g} % used is not above 0 and at most 100: correct it."
            problems.append(LogProblem(row, "used_percent", sentence))
            continue
        try:
            model_wh = sortie(craft, drop.flight, defaults).energy_wh
            used_wh = drop.used_percent / 100 * full_pack_wh(drop.pack, defaults)
        except ValueError as refusal:
            problems.append(LogProblem(row, "flight", f"Left out of the average. {refusal}"))
            continue
        cell = _cell(drop.flight, defaults)
        seen.append(_Seen(used_wh / model_wh, drop.used_percent, cell))
    return seen, tuple(problems)


def _cell(flight: DropFlight, defaults: FlyingDefaults) -> tuple[int, int]:
    """Which class of distance and of wind a drop is in; a border belongs to the class below."""
    return (
        bisect_left(defaults.distance_class_m, flight.distance_m),
        bisect_left(defaults.wind_class_ms, flight.wind_ms),
    )


def _class_words(borders: tuple[float, ...], index: int, unit: str) -> str:
    if index == 0:
        return f"up to {borders[0]:g} {unit}"
    if index == len(borders):
        return f"over {borders[-1]:g} {unit}"
    return f"{borders[index - 1]:g} to {borders[index]:g} {unit}"


def _middle(ratios: list[float]) -> float:
    ends = math.floor(len(ratios) * _TRIMMED)
    return fmean(sorted(ratios)[ends : len(ratios) - ends])


def _spread(ratios: list[float], defaults: FlyingDefaults) -> float:
    """Scatter of single drops about their level, as a share of it.

    Each fifth at the ends is drawn in to its neighbour, so that a wild entry hardly widens it.
    """
    ends = math.floor(len(ratios) * _TRIMMED)
    kept = sorted(ratios)[ends : len(ratios) - ends]
    sigma = stdev([kept[0]] * ends + kept + [kept[-1]] * ends) / _DRAWN_IN_SIGMA
    return max(sigma / _middle(ratios), defaults.least_spread_share)


def _lesson(seen: list[_Seen], defaults: FlyingDefaults) -> _Lesson:
    whole = _middle([one.ratio for one in seen])
    by_class: dict[tuple[int, int], list[float]] = {}
    for one in seen:
        by_class.setdefault(one.cell, []).append(one.ratio)
    of_class = {}
    for cell, here in by_class.items():
        if len(here) >= defaults.class_min_drops:
            weight = len(here) / (len(here) + defaults.class_pull_drops)
            of_class[cell] = weight * _middle(here) + (1 - weight) * whole
    return _Lesson(whole, of_class)


def _level_wh(
    craft: Craft, flight: DropFlight, seen: list[_Seen], defaults: FlyingDefaults
) -> float:
    """The learned energy, never less than at any nearer and calmer drop.

    The ratio steps from class to class, so the largest of the classes below is taken, each at the
    farthest and windiest point that this drop passes: without that a long drop in a class with
    lucky entries would look cheaper than a short one.
    """
    lesson = _lesson(seen, defaults)
    far, windy = _cell(flight, defaults)
    distances = (*defaults.distance_class_m[:far], flight.distance_m)
    winds = (*defaults.wind_class_ms[:windy], flight.wind_ms)
    return max(
        lesson.ratio((i, j)) * sortie(craft, _nearer(flight, far_m, wind_ms), defaults).energy_wh
        for i, far_m in enumerate(distances)
        for j, wind_ms in enumerate(winds)
    )


def _nearer(flight: DropFlight, distance_m: float, wind_ms: float) -> DropFlight:
    """The same drop nearer and calmer, its line in a bow of the same shape."""
    bow_m = None if flight.bow_m is None else flight.bow_m * distance_m / flight.distance_m
    return replace(flight, distance_m=distance_m, wind_ms=wind_ms, bow_m=bow_m)


def _band(flight: DropFlight, seen: list[_Seen], defaults: FlyingDefaults) -> float:
    """Half width of the band round the level; never wider than the model's own.

    A drop of another class counts for less: it says how the craft differs from the model, but not
    quite how it does so here.
    """
    cell = _cell(flight, defaults)
    here = sum(one.cell == cell for one in seen)
    certain = here + defaults.other_class_weight * (len(seen) - here)
    free = len(seen) - 2 * math.floor(len(seen) * _TRIMMED) - 1
    # 95 % points of Student's t, Cornish and Fisher's series: within one per cent from 5 on
    student = 1.96 + 2.372 / free + 2.823 / free**2
    spread = _spread([one.ratio for one in seen], defaults)
    return min(student * spread / math.sqrt(certain), defaults.model_band_share)
