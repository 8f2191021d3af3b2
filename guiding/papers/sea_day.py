"""The day strip on paper, its text twin, and times told by the tide."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from reportlab.graphics.shapes import Drawing
from reportlab.platypus import Flowable, KeepTogether

from guiding.drawings.strip import (
    HeightUnit,
    StripFacts,
    StripRow,
    TideTurn,
    TurnKind,
    day_strip,
    strip_rows,
)
from guiding.papers.records import Units
from guiding.papers.setting import Typesetter

_AT_TURN = timedelta(minutes=8)
_FAR = timedelta(hours=7)
_MOST_COLUMNS = 9


class SeaDay:
    """One day at one spot as a paper tells it."""

    def __init__(self, setter: Typesetter, facts: StripFacts) -> None:
        self.setter = setter
        imperial = setter.letterhead.units is Units.IMPERIAL
        self.facts = replace(
            facts,
            words=replace(setter.words.strip, decimal_mark=setter.decimal_mark),
            height_unit=HeightUnit.FOOT if imperial else HeightUnit.METRE,
            halves=setter.halves,
            now=None,
            title="",
            tide_note="",
            notes=(),
        )
        self._tide_note = facts.tide_note

    def drawing(self, width: float | None = None) -> Drawing:
        """The strip, as wide as the text."""
        return self.setter.embedded(day_strip(self.facts, width=width or self.setter.width))

    def twin(self, plan_told: bool = False) -> list[Flowable]:
        """The facts of the strip as words: one line a thing, and a table of wind and waves.

        `plan_told` leaves the plan out where the paper tells it in a table of its own.
        """
        words = self.facts.words
        rows = strip_rows(replace(self.facts, words=replace(words, wind_from="")))
        sampled = {words.wind: f"{words.wind} {words.wind_from}", words.waves: words.waves}
        setter = self.setter
        gathered: dict[str, list[str]] = {}
        for row in rows:
            if not (row.what in sampled and row.time):
                topic, told = self._topic(row)
                if plan_told and topic == words.plan:
                    continue
                gathered.setdefault(topic, []).append(setter.safe(told))
        first = (words.light, words.moon, words.high_water, words.low_water)
        order = sorted(gathered, key=lambda what: what not in first)
        lines = [
            f"<b>{setter.safe(what[:1].upper() + what[1:])}</b> "
            + " · ".join(one for one in gathered[what] if one)
            for what in order
        ]
        return [*setter.columns(lines, 3), *self._by_hours(rows, sampled)]

    def _topic(self, row: StripRow) -> tuple[str, str]:
        """The line a fact stands in: sky with sky, moon with moon, the plan with the plan."""
        words = self.facts.words
        families = {
            words.light: (words.dawn, words.sunrise, words.sunset, words.dusk),
            words.moon: (words.moonrise, words.moonset),
            words.plan: (words.drive, words.set_up, words.session, words.pack_down),
        }
        told = "\u00a0".join(part for part in (row.time, row.value) if part)
        for topic, members in families.items():
            if row.what in members:
                return topic, f"{row.what}\u00a0{told}"
        return row.what, told

    def _by_hours(self, rows: Sequence[StripRow], sampled: Mapping[str, str]) -> list[Flowable]:
        """Wind and waves, hour by hour as the twin thins them."""
        setter = self.setter
        found = {(row.what, row.time): row.value for row in rows if row.what in sampled}
        times = list(dict.fromkeys(time for _what, time in found if time))
        if not times:
            return []
        times = times[:: -(-len(times) // _MOST_COLUMNS)]
        body = [
            [
                setter.label(label),
                *(setter.small(" ".join(found.get((what, time), "").split())) for time in times),
            ]
            for what, label in sampled.items()
            if any((what, time) in found for time in times)
        ]
        head = ["", *(setter.safe(time) for time in times)]
        return [KeepTogether([setter.table(body, [0.8] + [1.0] * len(times), head, pad=0.1)])]

    def by_the_tide(self, instant: datetime) -> str:
        """How an instant stands to the nearest turn, '1 h 20 min before low water'."""
        nearest = _nearest(self.facts.turns, instant)
        if nearest is None or abs(instant - nearest.at) > _FAR:
            return ""
        kind = "low" if nearest.kind is TurnKind.LOW else "high"
        away = instant - nearest.at
        if abs(away) <= _AT_TURN:
            return self.setter.word(f"tide.at_{kind}")
        side = "before" if away < timedelta() else "after"
        return self.setter.word(f"tide.{side}_{kind}", span=self.setter.span(away))

    def sources(
        self, tide_source: str, forecast_source: str, issued_at: datetime | None
    ) -> Flowable:
        """Where the figures come from, and what they are not for."""
        say = self.setter.word
        parts = []
        if self.facts.turns:
            parts.append(say("trip.tide_source", source=tide_source or self._tide_note or "–"))
        else:
            parts.append(say("trip.tide_source_none"))
        if forecast_source and issued_at:
            parts.append(
                say("trip.forecast", source=forecast_source, when=self.setter.when(issued_at))
            )
        elif forecast_source:
            parts.append(say("trip.forecast_plain", source=forecast_source))
        parts.append(say("trip.not_for_navigation"))
        parts.append(say("trip.clock", zone=self.setter.letterhead.zone))
        return self.setter.para(" ".join(parts), "small")


def _nearest(turns: Sequence[TideTurn], instant: datetime) -> TideTurn | None:
    return min(turns, key=lambda turn: abs(turn.at - instant), default=None)
