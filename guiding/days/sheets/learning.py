"""What a craft's log of drops teaches, as a page shows it."""

from __future__ import annotations

from dataclasses import dataclass

from equipment.models import Craft as CraftRow
from guiding.days.sheets.flying import craft_of
from guiding.flying.craft import Pack
from guiding.flying.defaults import HOUSE, FlyingDefaults
from guiding.flying.flight import DropFlight
from guiding.flying.learned import ClassUse, LearnedUse, LoggedDrop, learned_use, use_by_class

# The drop by which craft are compared, and the pack where none has been flown. House default.
_USUAL = DropFlight(distance_m=300, payload_g=400, wind_ms=5, line_mm=0.30)
_USUAL_PACK = Pack(rated_wh=74)


@dataclass(frozen=True, slots=True)
class UseGrid:
    """Percent per drop by distance (rows) and wind (columns); classes nobody flew are left out."""

    winds: tuple[str, ...]
    rows: tuple[tuple[str, tuple[ClassUse, ...]], ...]


@dataclass(frozen=True, slots=True)
class CraftLesson:
    """One craft's use for the usual drop, from its log once there is enough of it, and by class."""

    use: LearnedUse
    flight: DropFlight
    grid: UseGrid
    needed: int

    @property
    def missing(self) -> int:
        """Drops still to log before the log takes over."""
        return max(self.needed - self.use.drops, 0)

    @property
    def less_share(self) -> float | None:
        """How much less than the model the log shows, where it shows less."""
        bias = self.use.model_bias_share
        return None if bias is None else max(-bias, 0.0)


def craft_lesson(
    *, craft: CraftRow, log: tuple[LoggedDrop, ...], defaults: FlyingDefaults = HOUSE
) -> CraftLesson:
    """What the log teaches of a craft; ValueError where the craft's figures cannot be reckoned."""
    made = craft_of(craft)
    pack = log[-1].pack if log else _USUAL_PACK
    return CraftLesson(
        use=learned_use(made, pack, _USUAL, log, defaults),
        flight=_USUAL,
        grid=_grid(use_by_class(made, log, defaults)),
        needed=defaults.learn_after_drops,
    )


def _grid(classes: tuple[ClassUse, ...]) -> UseGrid:
    flown = [one for one in classes if one.drops]
    winds = [wind for wind in dict.fromkeys(one.wind for one in classes)
             if any(one.wind == wind for one in flown)]  # fmt: skip
    distances = [far for far in dict.fromkeys(one.distance for one in classes)
                 if any(one.distance == far for one in flown)]  # fmt: skip
    by_cell = {(one.distance, one.wind): one for one in classes}
    rows = tuple((far, tuple(by_cell[far, wind] for wind in winds)) for far in distances)
    return UseGrid(tuple(winds), rows)
