"""What cannot be is answered with a sentence, never with a number that looks fine."""

import math
from dataclasses import replace

import pytest

from guiding.flying import (
    atmosphere,
    fall,
    hover,
    learned,
    line_pull,
    pack_plan,
    rig_lists,
    rigs,
    sortie,
    spool,
    strength,
)
from guiding.flying.craft import MainLine, Pack
from guiding.flying.defaults import FlyingDefaults
from guiding.flying.estimate import drop_estimate
from guiding.flying.flight import DropFlight
from guiding.flying.ranges import RefusedError
from tests.flying.example import CRAFT, FLIGHT, PACK, RIG, set_part


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"wind_ms": 9.0}, ["9.0 m/s", "8.0 m/s", "blown away", "wait"]),
        ({"wind_ms": 11.0}, ["11.0 m/s", "10.0 m/s", "do not fly"]),
        ({"payload_g": 1200}, ["1200 g", "1000 g", "take 200 g off"]),
        ({"distance_m": 5000}, ["5000 m", "800 m", "drop nearer", "own authority"]),
    ],
)
def test_what_must_not_be_flown_is_refused_with_number_and_fix(changes, words):
    with pytest.raises(RefusedError) as refused:
        drop_estimate(CRAFT, PACK, replace(FLIGHT, **changes))
    for word in words:
        assert word in str(refused.value)


@pytest.mark.parametrize("wh", [0, -74, math.nan, math.inf])
def test_a_pack_without_energy(wh):
    with pytest.raises(ValueError, match=r"Rated energy of the pack is .* label"):
        Pack(rated_wh=wh)


@pytest.mark.parametrize("line_mm", [0, -0.3, math.nan])
def test_a_line_without_a_diameter(line_mm):
    with pytest.raises(ValueError, match=r"Line diameter is .*more than 0.*spool label"):
        replace(FLIGHT, line_mm=line_mm)
    with pytest.raises(ValueError, match="Line diameter"):
        MainLine(diameter_mm=line_mm, strength_n=200, spooled_m=500)
    with pytest.raises(ValueError, match="Line diameter"):
        line_pull.line_pull_n(300, line_mm, 8, 20)


@pytest.mark.parametrize(
    "call",
    [
        lambda: DropFlight(0, 400, 3, 0.3),
        lambda: DropFlight(300, -1, 3, 0.3),
        lambda: DropFlight(300, 400, math.nan, 0.3),
        lambda: DropFlight(300, 400, 3, 0.3, wind_off_path_deg=200),
        lambda: DropFlight(300, 400, 3, 0.3, bow_m=60),
        lambda: replace(PACK, health_share=85),
        lambda: replace(PACK, pack_c=-30),
        lambda: replace(CRAFT, takeoff_limit_kg=2.0),
        lambda: replace(CRAFT, wind_limit_ms=0),
        lambda: replace(CRAFT, rotor_count=0),
        lambda: line_pull.line_pull_n(300, 0.3, 8, 40),
        lambda: line_pull.weak_link_window(CRAFT, FLIGHT, 0),
        lambda: sortie.ground_speed_ms(8, 0, 8),
        lambda: sortie.drops_from_energy(0, 40),
        lambda: sortie.drops_from_energy(9, -1),
        lambda: sortie.drops_in_session(0, 360, 30, 10),
        lambda: sortie.drops_in_session(4, 360, 30, 0),
        lambda: pack_plan.packs_needed(10, 0),
        lambda: pack_plan.Charger(power_w=0),
        lambda: pack_plan.charges_possible(PACK, pack_plan.Charger(150), -1),
        lambda: hover.hover_endurance_min(74, 1.0, 1.0, 2.2, 0.4, 250),
        lambda: hover.hover_power_w(0, 0.2),
        lambda: atmosphere.isa_density_kg_m3(20_000),
        lambda: atmosphere.dry_air_density_kg_m3(101_325, 15),
        lambda: fall.drop_fall(0.001, 20, 8, 1.5, 0.5),
        lambda: fall.injury_height_m(0),
        lambda: fall.fall_zone_radius_m(15, 8, legal_distance_m=-1),
        lambda: spool.spool_need_m(0, 15),
        lambda: strength.strength_n_from_kgf(0),
        lambda: rigs.two_dropper_rig(0),
        lambda: rig_lists.bait_kg(30, 0, 80),
        lambda: rig_lists.rigs_to_have(4, 30, loss_share=10),
        lambda: rig_lists.shopping_list(
            (rig_lists.RigPlan(RIG, 222.4, 4, 30),), (rig_lists.Stock("trace line", 10, 0),)
        ),
    ],
)
def test_nonsense_is_answered_with_one_sentence(call):
    with pytest.raises(ValueError, match=r"^[A-Z0-9'-].*[:;,] .*\.$"):
        call()


def test_a_load_and_line_beyond_the_thrust_are_refused():
    weak = replace(CRAFT, thrust_max_n=26.0)
    with pytest.raises(RefusedError, match=r"thrust.*26\.0 N.*lighten"):
        sortie.sortie(weak, replace(FLIGHT, wind_ms=7, wind_off_path_deg=90))


def test_a_bad_entry_of_the_log_is_named_and_the_rest_is_used():
    good = learned.LoggedDrop(FLIGHT, PACK, 20.0)
    log = (good, replace(good, used_percent=0), good, replace(good, used_percent=250))
    too_windy = replace(good, flight=replace(FLIGHT, wind_ms=12))
    use = learned.learned_use(CRAFT, PACK, FLIGHT, (*log, too_windy))
    assert use.drops == 2
    assert [(p.row, p.column) for p in use.problems] == [
        (2, "used_percent"),
        (4, "used_percent"),
        (5, "flight"),
    ]
    assert "250 %" in use.problems[1].sentence


@pytest.mark.parametrize(
    "change",
    [
        {"reserve_share": 30},
        {"reserve_share": 1.0},
        {"return_speed_min_ms": -1},
        {"climb_ms": 0},
        {"link_safety_factor": 0.5},
        {"bow_share": 0.5},
        {"distance_class_m": (250.0, 150.0)},
        {"wind_class_ms": ()},
        {"warm_c": 5.0},
        {"cold_share": 0.9},
        {"mean_wind_share": math.nan},
    ],
)
def test_a_house_figure_that_takes_a_safeguard_away_is_refused(change):
    with pytest.raises(ValueError, match=r"\.$"):
        FlyingDefaults(**change)


@pytest.mark.parametrize("size", ["", "0", "3", "33", "21/0", "1/1", "x", "6/0/0", "-2"])
def test_no_hook_size(size):
    with pytest.raises(ValueError, match="is no hook size"):
        rigs.hook_size_rank(size)


def test_a_rig_that_cannot_be_tied_as_written():
    with pytest.raises(ValueError, match="lowest dropper"):
        replace(RIG, dropper_spacing_m=5)
    with pytest.raises(ValueError, match="has no hook"):
        replace(RIG, parts=tuple(p for p in RIG.parts if p.kind is not rigs.PartKind.HOOK))
    with pytest.raises(ValueError, match="length of a piece and its strength"):
        set_part(RIG, rigs.PartKind.TRACE, strength_n=None)
    with pytest.raises(ValueError, match="has no name"):
        set_part(RIG, rigs.PartKind.SINKER, name=" ")
