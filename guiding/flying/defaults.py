"""Every figure of this room that is a choice and not physics, in one place, each with its mark."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from itertools import pairwise

GRAVITY_MS2 = 9.80665
"""Standard gravity, exact by definition."""

DEEPEST_BOW_SHARE = 1 / 8
"""Bow over distance beyond which a line is no longer a shallow bow; its formula ends there."""


@dataclass(frozen=True, slots=True)
class FlyingDefaults:
    """What the guide may change in Setup.

    Marks: [house] a default of ours, no source; [common] common practice, no source;
    [pub] a published figure, named. Shares run 0..1; units stand in the names.

    Flight:
    reserve_share                 [house] part of the pack that no plan touches
    out_speed_min_ms              [house] slowest ground speed out that still counts as making way
    return_speed_min_ms           [house] slowest ground speed home that is accepted
    turn_back_factor              [house] energy home is counted this many times
    wind_energy_share             [house] extra energy in the strongest wind that may be flown
    mean_wind_share               [house] mean wind allowed, part of the maker's wind limit: so
                                  much that the usual gust over it is allowed as well
    gust_share                    [house] gust allowed, part of the maker's wind limit
    gust_factor                   [common] gust over mean wind where no gust is forecast
    distance_max_m                [house] farthest drop planned at all
    climb_ms                      [house] climb with the load
    descent_ms                    [house] descent home
    landing_s                     [house] last metres and touch-down
    place_s                       [house] hover over the spot until the clip is empty
    thrust_to_weight              [house] full thrust over empty weight where the maker gives none
    health_watch_share            [pub, convention] health from which a pack is near retirement

    Temperature of the pack (retail cold-weather notes give 20 to 30 % less below 15 °C):
    warm_c                        [house] from here up a pack gives its full energy
    cool_c                        [house] middle point of the loss
    cool_share                    [pub, shape house] energy left at cool_c
    cold_c                        [house] coldest point with a figure
    cold_share                    [pub, shape house] energy left at cold_c

    Charging:
    charge_share                  [house] part of the charger's power that ends in the pack
    charge_c_rate                 [common] charge current as a multiple of the pack's capacity
    cool_down_min                 [house] rest of a flown pack before it may be charged
    spare_packs                   [house] packs carried beyond the plan

    Line and weak link:
    line_drag_coefficient         [house] drag of a round line across the wind
    bow_share                     [house] depth of the line's bow, part of the distance
    line_wind_share               [house] least part of the wind taken across the line
    link_safety_factor            [house] between load and weak link, and between link and limit
    knot_share                    [pub] rule of thumb of an angling article: a knot costs 30 %

    Spool:
    slack_share                   [house] line paid out beyond the straight distance
    fight_reserve_m               [house] line kept for a running fish
    wraps_m                       [house] last wraps that stay on the spool

    Height and fall:
    wave_clearance_m              [house] air between the rig and the highest wave
    highest_wave_factor           [pub] national weather office: highest wave of a day, times Hs
    zone_margin_m                 [house] added to the drift of a falling load
    people_distance_m             [house] clearance where no legal distance is entered
    injury_energy_j               [pub] EU 2019/945 class C1, head impact

    Rig and trip:
    dropper_spacing_factor        [common] spacing over dropper length, so that hooks cannot meet
    knot_allowance_m              [house] line lost in the knots of one tied piece
    rigs_per_rod                  [house] rigs ready for each rod
    rig_loss_share                [house] rigs lost per drop until the log says otherwise
    rig_loss_factor               [house] safety on that loss
    bait_spare_share              [house] bait beyond the plan
    pilot_share_max               [house] part of the session the pilot's eyes are off the party

    Learning from the log:
    learn_after_drops             [house] logged drops from which the log replaces the model
    learn_newest_drops            [house] older drops than this many are left out
    class_min_drops               [house] drops from which a class of distance and wind counts
    class_pull_drops              [house] weight of the whole log against one class, in drops
    other_class_weight            [house] what a drop of another class adds to certainty
    model_band_share              [house] band round the model before anything is learned
    least_spread_share            [house] spread never taken below this
    distance_class_m              [house] borders of the distance classes
    wind_class_ms                 [house] borders of the wind classes
    """

    reserve_share: float = 0.30
    out_speed_min_ms: float = 1.0
    return_speed_min_ms: float = 4.0
    turn_back_factor: float = 1.5
    wind_energy_share: float = 0.6
    mean_wind_share: float = 0.57
    gust_share: float = 0.80
    gust_factor: float = 1.4
    distance_max_m: float = 800.0
    climb_ms: float = 1.0
    descent_ms: float = 1.0
    landing_s: float = 10.0
    place_s: float = 20.0
    thrust_to_weight: float = 2.0
    health_watch_share: float = 0.80

    warm_c: float = 20.0
    cool_c: float = 10.0
    cool_share: float = 0.80
    cold_c: float = -10.0
    cold_share: float = 0.60

    charge_share: float = 0.85
    charge_c_rate: float = 1.0
    cool_down_min: float = 20.0
    spare_packs: int = 1

    line_drag_coefficient: float = 1.3
    bow_share: float = 1 / 15
    line_wind_share: float = 0.5
    link_safety_factor: float = 2.0
    knot_share: float = 0.70

    slack_share: float = 0.05
    fight_reserve_m: float = 150.0
    wraps_m: float = 10.0

    wave_clearance_m: float = 5.0
    highest_wave_factor: float = 2.0
    zone_margin_m: float = 10.0
    people_distance_m: float = 30.0
    injury_energy_j: float = 80.0

    dropper_spacing_factor: float = 2.0
    knot_allowance_m: float = 0.20
    rigs_per_rod: int = 2
    rig_loss_share: float = 0.10
    rig_loss_factor: float = 1.5
    bait_spare_share: float = 0.15
    pilot_share_max: float = 0.60

    learn_after_drops: int = 10
    learn_newest_drops: int = 200
    class_min_drops: int = 8
    class_pull_drops: int = 8
    other_class_weight: float = 0.25
    model_band_share: float = 0.30
    least_spread_share: float = 0.03
    distance_class_m: tuple[float, ...] = (150.0, 250.0, 350.0, 500.0)
    wind_class_ms: tuple[float, ...] = (3.0, 6.0, 9.0)

    def __post_init__(self) -> None:
        """ValueError names the field that a guide has set to something impossible."""
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, tuple):
                _rising(field.name, value)
            else:
                _usable(field.name, value)
        if self.bow_share > DEEPEST_BOW_SHARE:
            raise ValueError(
                f"bow_share is {self.bow_share:g}: the figure for the line's pull only holds up to "
                f"{DEEPEST_BOW_SHARE:g} of the distance."
            )
        if not self.cold_c < self.cool_c < self.warm_c:
            raise ValueError("The temperatures must rise from cold_c over cool_c to warm_c.")
        if not 0 < self.cold_share <= self.cool_share <= 1:
            raise ValueError(
                "A colder pack cannot give more: cold_share must not exceed cool_share."
            )


# Zero is a meaningful choice for these; for every other field it would switch a safeguard off
# or divide by nothing.
_MAY_BE_ZERO = {
    "reserve_share", "return_speed_min_ms", "wind_energy_share", "landing_s", "place_s",
    "cool_down_min", "spare_packs", "line_wind_share", "slack_share", "fight_reserve_m", "wraps_m",
    "wave_clearance_m", "zone_margin_m", "knot_allowance_m", "rig_loss_share", "bait_spare_share",
    "other_class_weight",
}  # fmt: skip
_MAY_BE_NEGATIVE = {"warm_c", "cool_c", "cold_c"}


def _usable(name: str, value: float) -> None:
    if not math.isfinite(value):
        raise ValueError(f"{name} must be a finite number.")
    if name in _MAY_BE_NEGATIVE:
        return
    if value < 0 or (value == 0 and name not in _MAY_BE_ZERO):
        raise ValueError(f"{name} is {value:g}: enter a number above zero.")
    if name.endswith("_share") and value > 1:
        raise ValueError(f"{name} is {value:g}: a share lies between 0 and 1 (30 % is 0.3).")
    if name == "reserve_share" and value >= 1:
        raise ValueError("reserve_share is 1: nothing of the pack would be left to fly on.")
    if name == "learn_after_drops" and value < 3:
        raise ValueError(f"{name} is {value:g}: fewer than 3 drops show no spread to learn from.")
    if name in {"link_safety_factor", "turn_back_factor"} and value < 1:
        raise ValueError(f"{name} is {value:g}: a safety factor below 1 takes safety away.")


def _rising(name: str, borders: tuple[float, ...]) -> None:
    if not borders or borders[0] <= 0 or any(b <= a for a, b in pairwise(borders)):
        raise ValueError(f"{name}: the borders of classes must be above zero and rise.")


HOUSE = FlyingDefaults()
