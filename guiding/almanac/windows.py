"""Sets of half-open intervals of time, and their algebra."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise


def _utc(at: datetime, what: str) -> datetime:
    if at.tzinfo is UTC:
        return at
    if at.tzinfo is None:
        raise ValueError(f"The {what} {at.isoformat()} has no time zone: give an aware time.")
    return at.astimezone(UTC)


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """One interval: `start` belongs to it, `end` does not. Both are aware and kept in UTC.

    Raises ValueError for a time without a zone and for a span that does not end after its start.
    """

    start: datetime
    end: datetime

    def __post_init__(self) -> None:
        object.__setattr__(self, "start", _utc(self.start, "start"))
        object.__setattr__(self, "end", _utc(self.end, "end"))
        if self.end <= self.start:
            raise ValueError(
                f"A span must end after it starts: {self.start.isoformat()} to "
                f"{self.end.isoformat()}; exchange the two or leave it out."
            )

    @property
    def length_min(self) -> float:
        """Its length in minutes."""
        return (self.end - self.start).total_seconds() / 60

    def contains(self, at: datetime) -> bool:
        """Whether the instant lies in it."""
        return self.start <= at < self.end


@dataclass(frozen=True, slots=True)
class Windows:
    """An immutable set of instants, held as spans in order that neither overlap nor touch.

    `|` is union, `&` intersection, `-` difference. An empty set is false.
    """

    spans: tuple[Span, ...] = ()

    def __post_init__(self) -> None:
        if any(after.start <= before.end for before, after in pairwise(self.spans)):
            object.__setattr__(self, "spans", _merged(self.spans))

    @classmethod
    def of(cls, *pairs: tuple[datetime, datetime]) -> Windows:
        """The set of these (start, end) pairs; pairs of no length are left out."""
        return cls(tuple(Span(start, end) for start, end in pairs if start != end))

    @classmethod
    def from_crossings(
        cls,
        start: datetime,
        end: datetime,
        crossings: Iterable[tuple[datetime, bool]],
        *,
        inside_at_start: bool,
    ) -> Windows:
        """The time inside, from the (instant, enters) crossings in order between start and end."""
        pairs: list[tuple[datetime, datetime]] = []
        since = start if inside_at_start else None
        for at, enters in crossings:
            if enters and since is None:
                since = at
            elif not enters and since is not None:
                pairs.append((since, at))
                since = None
        if since is not None:
            pairs.append((since, end))
        return cls.of(*pairs)

    def __or__(self, other: Windows) -> Windows:
        return Windows(self.spans + other.spans)

    def __and__(self, other: Windows) -> Windows:
        return Windows(tuple(_common(self.spans, other.spans)))

    def __sub__(self, other: Windows) -> Windows:
        if not other.spans:
            return self
        return Windows(tuple(_remaining(self.spans, other.spans)))

    def __bool__(self) -> bool:
        return bool(self.spans)

    def __iter__(self) -> Iterator[Span]:
        return iter(self.spans)

    def __len__(self) -> int:
        return len(self.spans)

    @property
    def total_min(self) -> float:
        """The minutes of all spans together."""
        return sum(span.length_min for span in self.spans)

    @property
    def longest(self) -> Span | None:
        """The longest span, the earlier one of equals; None when empty."""
        return max(self.spans, key=lambda span: span.length_min, default=None)

    def contains(self, at: datetime) -> bool:
        """Whether the instant lies in one of the spans."""
        return any(span.contains(at) for span in self.spans)

    def clip(self, start: datetime, end: datetime) -> Windows:
        """What of it lies from start (included) to end (not included)."""
        return self & Windows.of((start, end))


def _merged(spans: Iterable[Span]) -> tuple[Span, ...]:
    merged: list[Span] = []
    for span in sorted(spans):
        if merged and span.start <= merged[-1].end:
            if span.end > merged[-1].end:
                merged[-1] = Span(merged[-1].start, span.end)
        else:
            merged.append(span)
    return tuple(merged)


def _common(ours: tuple[Span, ...], theirs: tuple[Span, ...]) -> Iterator[Span]:
    i = j = 0
    while i < len(ours) and j < len(theirs):
        start = max(ours[i].start, theirs[j].start)
        end = min(ours[i].end, theirs[j].end)
        if start < end:
            yield Span(start, end)
        if ours[i].end <= theirs[j].end:
            i += 1
        else:
            j += 1


def _remaining(ours: tuple[Span, ...], theirs: tuple[Span, ...]) -> Iterator[Span]:
    for span in ours:
        start = span.start
        for cut in theirs:
            if cut.end <= start or cut.start >= span.end:
                continue
            if cut.start > start:
                yield Span(start, cut.start)
            start = max(start, cut.end)
        if start < span.end:
            yield Span(start, span.end)
