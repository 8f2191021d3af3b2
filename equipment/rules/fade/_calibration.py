"""What finished cells teach: how far the shapes of fade are wrong, and which way.

A straight reading of the shapes is too sure of itself at both ends: a series that seems to have
all of its life behind it mostly has a fifth left, one that seems to have none behind it mostly has
a quarter. A least-squares line through share of life against what the shapes said corrects the
middle (plain regression to the mean), and two quantile lines give the band.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np

from equipment.rules.fade._method import Calibration, ShareLine

# Before that the fast first fade rules, and no middle is worth having. A lesson at three tenths of
# a life ends on the whole cycle before, hence the hundredth.
_MIDDLE_FROM_SHARE = 0.29
# Five per cent in each tail of a handful of cells, so that 80 % is held on a cell never seen.
_TAIL_SHARE = 0.05
_GRID_AT_ZERO = np.arange(-0.10, 1.001, 0.02)
_GRID_PER_SHARE = np.arange(-0.30, 1.001, 0.02)


@dataclass(frozen=True, slots=True)
class Lesson:
    """One finished cell met at a share of its life, and what the shapes said of that share."""

    cell: str
    kind: str
    life_share: float
    shapes_share: float


def calibrate(lessons: tuple[Lesson, ...]) -> Calibration:
    """The calibration that a set of lessons gives; every kind of cell counts the same."""
    middle = [lesson for lesson in lessons if lesson.life_share >= _MIDDLE_FROM_SHARE]
    if len({lesson.life_share for lesson in middle}) < 2:
        raise ValueError("Too few lessons to calibrate on: give finished cells.")
    actual, shapes, weight = _columns(middle)
    root = np.sqrt(weight)
    (at_zero, per_share), *_ = np.linalg.lstsq(
        np.column_stack((root, root * shapes)), root * actual, rcond=None
    )
    return Calibration(
        middle=ShareLine(float(at_zero), float(per_share)),
        early=_quantile_line(lessons, 1 - _TAIL_SHARE),
        late=_quantile_line(lessons, _TAIL_SHARE),
    )


def _columns(
    lessons: list[Lesson],
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    of_kind = Counter(lesson.kind for lesson in lessons)
    return (
        np.array([lesson.life_share for lesson in lessons]),
        np.array([lesson.shapes_share for lesson in lessons]),
        np.array([1 / of_kind[lesson.kind] for lesson in lessons]),
    )


def _quantile_line(lessons: tuple[Lesson, ...], quantile: float) -> ShareLine:
    """The line on a grid of two per cent with the least pinball loss."""
    actual, shapes, weight = _columns(list(lessons))
    at_zero, per_share = (
        grid.ravel() for grid in np.meshgrid(_GRID_AT_ZERO, _GRID_PER_SHARE, indexing="ij")
    )
    off = actual[:, None] - (at_zero[None, :] + shapes[:, None] * per_share[None, :])
    loss = weight @ np.where(off >= 0, quantile * off, (quantile - 1) * off)
    best = int(np.argmin(loss))
    return ShareLine(float(at_zero[best]), float(per_share[best]))
