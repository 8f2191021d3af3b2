"""Which packs to fly as a pair: of one kind, and alike in health and resistance."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from equipment.rules.packs.electrics import Chemistry
from equipment.rules.packs.limits import PackLimits


@dataclass(frozen=True, slots=True)
class PairCandidate:
    """A pack that may fly: its label, its kind, and what makes it like another."""

    label: str
    chemistry: Chemistry
    cells_in_series: int
    rated_ah: float
    health_share: float
    cell_mohm: float | None = None


@dataclass(frozen=True, slots=True)
class PackPair:
    """Two packs that go together and how far they are apart."""

    first: str
    second: str
    health_apart_share: float
    resistance_factor: float | None


@dataclass(frozen=True, slots=True)
class PairingAdvice:
    """The pairs, and each pack left alone with the reason."""

    pairs: tuple[PackPair, ...]
    alone: tuple[tuple[str, str], ...]


def pack_pairs(
    *, packs: tuple[PairCandidate, ...], limits: PackLimits | None = None
) -> PairingAdvice:
    """Pairs of packs of one kind among neighbours in health: most pairs first, then most alike.

    Same chemistry, cells in series and rated capacity; health at most 5 points and resistance at
    most 1.25 times apart (house defaults in `PackLimits`). Raises ValueError for a label given
    twice.
    """
    labels = [pack.label for pack in packs]
    for label in labels:
        if labels.count(label) > 1:
            raise ValueError(f"{label} is in the list twice: give every pack once.")
    chosen = limits or PackLimits()
    pairs: list[PackPair] = []
    alone: list[tuple[str, str]] = []
    for _, same in groupby(sorted(packs, key=_rank), key=_kind):
        alike = tuple(same)
        found = _best_pairs(alike, chosen)
        pairs.extend(found)
        taken = {label for pair in found for label in (pair.first, pair.second)}
        reason = (
            "No other pack of its kind."
            if len(alike) == 1
            else "No pack of its kind is near enough in health and resistance, or it is one over."
        )
        alone.extend((pack.label, reason) for pack in alike if pack.label not in taken)
    return PairingAdvice(tuple(pairs), tuple(alone))


def _kind(pack: PairCandidate) -> tuple[str, int, float]:
    return pack.chemistry.value, pack.cells_in_series, pack.rated_ah


def _rank(pack: PairCandidate) -> tuple[tuple[str, int, float], float, str]:
    return _kind(pack), -pack.health_share, pack.label


def _best_pairs(ranked: tuple[PairCandidate, ...], limits: PackLimits) -> tuple[PackPair, ...]:
    """Most pairs, then least difference of health, over neighbours in the ranking."""
    # best[i]: the best way to pair what stands from rank i on, filled from the end.
    best: list[tuple[int, float, tuple[PackPair, ...]]] = [(0, 0.0, ())] * (len(ranked) + 2)
    for start in range(len(ranked) - 2, -1, -1):
        best[start] = best[start + 1]
        pair = _pair(ranked[start], ranked[start + 1], limits)
        if pair is not None:
            count, apart, rest = best[start + 2]
            taken = (count + 1, apart + pair.health_apart_share, (pair, *rest))
            best[start] = max(taken, best[start], key=lambda way: (way[0], -way[1]))
    return best[0][2]


def _pair(first: PairCandidate, second: PairCandidate, limits: PackLimits) -> PackPair | None:
    # Shares are read from meters with two or three digits: dust must not part a pair.
    apart = round(abs(first.health_share - second.health_share), 9)
    factor = None
    if first.cell_mohm is not None and second.cell_mohm is not None:
        low, high = sorted((first.cell_mohm, second.cell_mohm))
        factor = high / low
    if apart > limits.pair_health_share:
        return None
    if factor is not None and factor > limits.pair_resistance_factor:
        return None
    return PackPair(first.label, second.label, apart, factor)
