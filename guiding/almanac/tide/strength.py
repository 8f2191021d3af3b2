"""Springs and neaps: the ranges of a day against the mean range of the place."""

from __future__ import annotations

from enum import StrEnum
from itertools import pairwise

from guiding.almanac.tide.source import Turn


class TideStrength(StrEnum):
    """How large the tides of a day are for their place."""

    SPRINGS = "springs"
    BETWEEN = "between springs and neaps"
    NEAPS = "neaps"


def tide_range_m(turns: tuple[Turn, ...]) -> float:
    """The mean range of turns that follow each other, in metres; at least two turns.

    ValueError for fewer.
    """
    if len(turns) < 2:
        raise ValueError("A range needs a high and a low: give at least two turns.")
    rises = [abs(b.height_m - a.height_m) for a, b in pairwise(turns)]
    return round(sum(rises) / len(rises), 4)


def tide_strength(
    range_m: float, mean_range_m: float, springs_share: float = 1.1, neaps_share: float = 0.9
) -> TideStrength:
    """Whether a range means springs or neaps at a place whose mean range is known.

    Springs from `springs_share` of the mean range upwards, neaps from `neaps_share` downwards;
    both shares are house defaults without a source. ValueError for a range below
    zero, a mean range of zero or less, and shares on the wrong side of 1.
    """
    if range_m < 0 or mean_range_m <= 0:
        raise ValueError(
            f"A range of {range_m} m against a mean of {mean_range_m} m cannot be judged: "
            "give metres above zero."
        )
    if not neaps_share <= 1 <= springs_share:
        raise ValueError(
            f"The shares must lie around 1: neaps {neaps_share}, springs {springs_share} given."
        )
    share = range_m / mean_range_m
    if share >= springs_share:
        return TideStrength.SPRINGS
    return TideStrength.NEAPS if share <= neaps_share else TideStrength.BETWEEN
