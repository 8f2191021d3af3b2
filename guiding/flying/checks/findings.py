"""What a check says, and what it looks at."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property

from guiding.flying.craft import Craft, MainLine, Pack
from guiding.flying.defaults import FlyingDefaults
from guiding.flying.estimate import DropEstimate, drop_estimate
from guiding.flying.flight import DropFlight
from guiding.flying.learned import LoggedDrop
from guiding.flying.permission import DropPermission
from guiding.flying.rigs import Rig, rig_payload_g
from guiding.flying.sortie import usable_wh

# What a check says that hangs on another one which refuses: the cause stands there.
NOT_WORKED_OUT = "Not worked out: the flight is refused."


class Verdict(StrEnum):
    """What a finding means for the flight."""

    GO = "go"
    CAUTION = "caution"
    STOP = "stop"


@dataclass(frozen=True, slots=True)
class Finding:
    """One check's answer.

    `value` is the number found and `limit` the one it is held against, both in `unit`; None where
    a check has no number. `fix` is empty on go.
    """

    check: str
    verdict: Verdict
    sentence: str
    fix: str = ""
    value: float | None = None
    limit: float | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class DropPlan:
    """A planned drop with all that it depends on.

    `flight.payload_g` is what the plan reckons with; the rig says what it really weighs. `packs`
    are those that will be carried and are fit; the weakest decides. `people_m` is the nearest
    person's distance from the path, None where nobody has looked. `in_flying_light` None: not
    worked out. Limits of the place are None where they have not been entered. `watching_adults`
    are adults other than the pilot who mind the minors. `wind_known` is False where the flight is
    reckoned in a wind that nobody has forecast or measured.
    """

    craft: Craft
    packs: tuple[Pack, ...]
    flight: DropFlight
    line: MainLine
    rig: Rig
    drops: int
    permission: DropPermission
    charges: int = 0
    gust_ms: float | None = None
    wind_known: bool = True
    wave_height_m: float = 0.0
    people_m: float | None = None
    in_flying_light: bool | None = None
    hook_limit: int | None = None
    hook_inside_limit_mm: float | None = None
    minors: int = 0
    watching_adults: int = 0
    log: tuple[LoggedDrop, ...] = ()

    def __post_init__(self) -> None:
        if self.flight.line_mm != self.line.diameter_mm:
            raise ValueError(
                f"The flight is planned on a line of {self.flight.line_mm:g} mm and the reel "
                f"holds {self.line.diameter_mm:g} mm: make them the same."
            )


class Asked:
    """A plan under check, with what several checks need worked out once."""

    def __init__(self, plan: DropPlan, defaults: FlyingDefaults) -> None:
        self.plan = plan
        self.defaults = defaults

    @cached_property
    def flight(self) -> DropFlight:
        """The flight with what will really hang from the clip: the rig's mass where it is more."""
        planned = self.plan.flight
        return replace(planned, payload_g=max(planned.payload_g, rig_payload_g(self.plan.rig)))

    @cached_property
    def weakest(self) -> Pack:
        """The carried pack with the least energy above its reserve; ValueError where none is."""
        if not self.plan.packs:
            raise ValueError("No fit pack is carried: charge or borrow one, or cast.")
        return min(self.plan.packs, key=lambda pack: usable_wh(pack, self.defaults))

    @cached_property
    def answer(self) -> DropEstimate | str:
        """The estimate on the weakest pack, or the sentence with which it is refused."""
        plan = self.plan
        try:
            return drop_estimate(plan.craft, self.weakest, self.flight, plan.log, self.defaults)
        except ValueError as refusal:
            return str(refusal)
