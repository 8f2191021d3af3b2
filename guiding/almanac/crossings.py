"""One root search for every 'when does this reach that': light, moon and tide all use it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from guiding.almanac.instants import instant_of
from guiding.almanac.windows import Windows

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

_TOLERANCE_S = 0.01
_ROUNDS = 60


@dataclass(frozen=True, slots=True)
class Curve:
    """A function of time, with the step in seconds at which it must be looked at.

    `value` takes an array of POSIX seconds and returns an array of the same length. Two crossings
    closer together than `step_s` are still found when the curve is smooth: wherever three
    samples show a peak or a hollow near the level, its summit is looked up as well. It is therefore
    asked up to a step before the start and after the end of a search.
    """

    value: Callable[[Floats], Floats]
    step_s: float

    def crossings(self, level: float, start_s: float, end_s: float) -> tuple[Floats, Flags]:
        """When the curve crosses the level from start (included) to end (not included).

        Returns the POSIX seconds in order, to about 0.02 s, and for each whether it rises there.
        A curve that only touches the level does not cross it.
        """
        times, values = self._sampled(start_s, end_s, level)
        over = values >= level
        at = np.flatnonzero(over[1:] != over[:-1])
        if not len(at):
            return np.empty(0), np.empty(0, dtype=bool)
        roots = self._roots(level, times[at], times[at + 1], values[at], values[at + 1])
        rising = ~over[at]
        inside = (roots >= start_s) & (roots < end_s)
        return roots[inside], rising[inside]

    def above(self, level: float, start_s: float, end_s: float) -> Windows:
        """The time from start to end in which the curve is at or over the level."""
        times, rising = self.crossings(level, start_s, end_s)
        return Windows.from_crossings(
            instant_of(start_s),
            instant_of(end_s),
            ((instant_of(at), bool(up)) for at, up in zip(times, rising, strict=True)),
            inside_at_start=bool(self.value(np.array([start_s]))[0] >= level),
        )

    def _sampled(self, start_s: float, end_s: float, level: float) -> tuple[Floats, Floats]:
        count = max(int(np.ceil((end_s - start_s) / self.step_s)), 1)
        step = (end_s - start_s) / count
        # a step more on either side, for the summits of the first and the last
        times: Floats = start_s + step * np.arange(-1.0, count + 2)
        values = self.value(times)
        off = values - level
        before, here, after = off[:-2], off[1:-1], off[2:]
        # A summit between samples on the same side of the level hides two crossings when the
        # parabola through the three samples reaches over it.
        bend = before - 2 * here + after
        turn = ((here - before) * (after - here) <= 0) & (bend != 0)
        same = (np.sign(before) == np.sign(here)) & (np.sign(after) == np.sign(here))
        slope = (after - before) / 2
        divisor = np.where(bend == 0, 1.0, bend)
        peak, shift = here - slope**2 / (2 * divisor), -slope / divisor
        # 2 per cent of the bend covers what the parabola leaves out
        at = np.flatnonzero(turn & same & (np.sign(here) * peak <= 0.02 * np.abs(bend)))
        if not len(at):
            return times, values
        summits = self._summits(times[at + 1] + shift[at] * step, step, np.sign(bend[at]))
        times = np.concatenate([times, summits])
        values = np.concatenate([values, self.value(summits)])
        order = np.argsort(times, kind="stable")
        return times[order], values[order]

    def _summits(self, guess: Floats, step: float, sign: Floats) -> Floats:
        width = step / 4
        for _ in range(12):
            low, mid, high = (sign * self.value(guess + k * width) for k in (-1, 0, 1))
            bend = low - 2 * mid + high
            with np.errstate(divide="ignore", invalid="ignore"):
                move = np.where(bend > 0, (low - high) / (2 * bend), 0.0)
            guess = guess + np.clip(move, -2, 2) * width
            width /= 2
        return guess

    def _roots(self, level: float, a: Floats, b: Floats, fa: Floats, fb: Floats) -> Floats:
        """Ridders' method on all brackets at once; a step in the curve ends by halving."""
        fa, fb = fa - level, fb - level
        root = last = a
        for _ in range(_ROUNDS):
            mid = (a + b) / 2
            fm = self.value(mid) - level
            scale = np.sqrt(np.maximum(fm * fm - fa * fb, 0))
            with np.errstate(divide="ignore", invalid="ignore"):
                move = np.where(scale > 0, (mid - a) * np.sign(fa - fb) * fm / scale, 0.0)
            root = np.clip(mid + move, a, b)
            fr = self.value(root) - level
            # keep the tightest of a, mid, root, b that still holds the change of side
            low, flow = np.minimum(mid, root), np.where(mid <= root, fm, fr)
            high, fhigh = np.maximum(mid, root), np.where(mid <= root, fr, fm)
            left = (fa >= 0) != (flow >= 0)
            middle = ~left & ((flow >= 0) != (fhigh >= 0))
            a, fa, b, fb = (
                np.where(left, a, np.where(middle, low, high)),
                np.where(left, fa, np.where(middle, flow, fhigh)),
                np.where(left, low, np.where(middle, high, b)),
                np.where(left, flow, np.where(middle, fhigh, fb)),
            )
            if ((np.abs(root - last) < _TOLERANCE_S) | (b - a < _TOLERANCE_S)).all():
                break
            last = root
        return root
