"""The log against the model: how fast it learns, what it shrugs off, what it says."""

import random
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.flying.defaults import HOUSE
from guiding.flying.estimate import drop_estimate
from guiding.flying.learned import LoggedDrop, learned_use, use_by_class
from guiding.flying.sortie import full_pack_wh, sortie
from tests.flying.example import CRAFT, FLIGHT, PACK

PLANNED = replace(FLIGHT, distance_m=280, wind_ms=4, payload_g=500, wind_off_path_deg=60)


def _flown(flight, ratio, pack=PACK):
    """A drop of a craft that takes `ratio` times what the model says."""
    percent = sortie(CRAFT, flight).energy_wh * ratio / full_pack_wh(pack) * 100
    return LoggedDrop(flight, pack, percent)


def _season(seed, drops, truth=1.3, noise=0.08):
    """A season's log: drops of all kinds and packs, and a truth that the model does not know."""
    chance = random.Random(seed)  # noqa: S311
    log = []
    for _ in range(drops):
        flight = replace(
            FLIGHT,
            distance_m=chance.uniform(80, 450),
            wind_ms=chance.uniform(0, 6.5),
            payload_g=chance.uniform(250, 700),
            wind_off_path_deg=chance.uniform(0, 180),
        )
        pack = replace(PACK, health_share=chance.uniform(0.8, 1), pack_c=chance.uniform(8, 25))
        share = truth(flight) if callable(truth) else truth
        log.append(_flown(flight, share * chance.gauss(1, noise), pack))
    return tuple(log)


def test_below_ten_drops_the_model_stands_and_says_so():
    use = learned_use(CRAFT, PACK, PLANNED, _season(1, 9))
    assert not use.from_log
    assert use.energy_wh == use.model_energy_wh
    assert use.band_share == HOUSE.model_band_share
    assert use.source == "from the model; your log takes over at 10 drops and holds 9"


def test_from_ten_drops_the_log_stands_and_says_so():
    use = learned_use(CRAFT, PACK, PLANNED, _season(1, 38))
    assert use.from_log
    assert use.source == "from your 38 drops"
    assert use.energy_wh > use.model_energy_wh * 1.2
    assert use.low_percent < use.percent < use.high_percent


@pytest.mark.parametrize("seed", range(40))
def test_thirty_per_cent_off_the_model_is_learned_within_ten_in_twenty_drops(seed):
    truth = sortie(CRAFT, PLANNED).energy_wh * 1.3
    use = learned_use(CRAFT, PACK, PLANNED, _season(seed, 20))
    assert use.energy_wh == pytest.approx(truth, rel=0.10)
    assert use.model_bias_share == pytest.approx(0.30, abs=0.10)
    # the model was a quarter too low on the typical drop of such a craft
    assert use.model_miss_share == pytest.approx(0.3 / 1.3, abs=0.06)


@pytest.mark.parametrize("truth", [0.7, 1.3])
def test_a_craft_may_also_be_better_than_the_model(truth):
    wanted = sortie(CRAFT, PLANNED).energy_wh * truth
    found = learned_use(CRAFT, PACK, PLANNED, _season(3, 20, truth)).energy_wh
    assert found == pytest.approx(wanted, rel=0.10)


ratios = st.lists(st.floats(1.18, 1.42), min_size=10, max_size=40)


@given(ratios, st.floats(0.05, 100), st.integers(0, 39), st.booleans())
def test_one_wild_entry_moves_the_figure_by_at_most_five_per_cent(truths, percent, at, spread):
    kinds = [replace(PLANNED, distance_m=d) for d in ((100, 280, 420) if spread else (280,))]
    log = [_flown(kinds[i % len(kinds)], ratio) for i, ratio in enumerate(truths)]
    before = learned_use(CRAFT, PACK, PLANNED, tuple(log)).energy_wh
    wild = replace(log[at % len(log)], used_percent=percent)
    added = learned_use(CRAFT, PACK, PLANNED, (*log, wild)).energy_wh
    assert added == pytest.approx(before, rel=0.05)
    log[at % len(log)] = wild
    swapped = learned_use(CRAFT, PACK, PLANNED, tuple(log)).energy_wh
    assert swapped == pytest.approx(before, rel=0.05)


@given(st.lists(st.floats(0.8, 1.6), min_size=10, max_size=25))
def test_the_band_narrows_as_drops_like_these_are_logged(truths):
    log = tuple(_flown(PLANNED, ratio) for ratio in truths)
    bands = [learned_use(CRAFT, PACK, PLANNED, log * times).band_share for times in (1, 2, 4, 8)]
    assert bands == sorted(bands, reverse=True)
    assert bands[-1] < bands[0] or bands[-1] == HOUSE.model_band_share


def test_the_band_narrows_through_a_season():
    season = _season(5, 160)
    bands = [learned_use(CRAFT, PACK, PLANNED, season[:n]).band_share for n in (9, 20, 60, 160)]
    assert all(wide > narrow for wide, narrow in pairwise(bands))


def test_the_band_holds_the_truth_about_as_often_as_it_says():
    truth = sortie(CRAFT, PLANNED).energy_wh * 1.3
    held = 0
    for seed in range(120):
        use = learned_use(CRAFT, PACK, PLANNED, _season(seed, 14))
        held += abs(use.energy_wh - truth) <= use.band_share * use.energy_wh
    assert held >= 0.92 * 120


def test_a_class_with_drops_of_its_own_gets_its_own_figure():
    # a craft that the model fits near the beach and misses by 30 % far out
    def truth(flight):
        return 1.3 if flight.distance_m > 350 else 1.0

    log = _season(8, 160, truth, noise=0.05)
    far = replace(PLANNED, distance_m=420)
    near = replace(PLANNED, distance_m=140)
    for flight in (near, far):
        wanted = sortie(CRAFT, flight).energy_wh * truth(flight)
        assert learned_use(CRAFT, PACK, flight, log).energy_wh == pytest.approx(wanted, rel=0.12)


@pytest.mark.parametrize(
    ("what", "below", "above"), [("distance_m", 149, 152), ("wind_ms", 2.95, 3.05)]
)
def test_lucky_drops_far_out_do_not_make_a_farther_drop_look_cheaper(what, below, above):
    # dear in the near and calm class, cheap in the next one
    dear = replace(PLANNED, distance_m=120, wind_ms=2)
    cheap = replace(dear, **{what: {"distance_m": 200, "wind_ms": 5}[what]})
    log = tuple(_flown(dear, 1.6) for _ in range(20)) + tuple(_flown(cheap, 0.8) for _ in range(20))
    before = learned_use(CRAFT, PACK, replace(dear, **{what: below}), log).energy_wh
    after = learned_use(CRAFT, PACK, replace(dear, **{what: above}), log).energy_wh
    assert after >= before
    # beyond the border the dear class no longer sets the figure for good
    wide = learned_use(CRAFT, PACK, replace(cheap, distance_m=249, wind_ms=5.9), log)
    assert wide.energy_wh < 1.4 * wide.model_energy_wh


flights = st.builds(
    replace,
    st.just(PLANNED),
    distance_m=st.floats(30, 700),
    wind_ms=st.floats(0, 7.5),
    payload_g=st.floats(100, 900),
)


@given(
    st.integers(0, 10_000),
    st.integers(10, 80),
    flights,
    st.sampled_from(["distance_m", "wind_ms", "payload_g", "line_mm"]),
    st.floats(1, 2),
)
def test_whatever_was_logged_more_never_allows_more_drops(seed, drops, flight, what, by):
    chance = random.Random(seed)  # noqa: S311
    log = _season(seed, drops, lambda _: chance.uniform(0.6, 1.8))
    more = replace(flight, **{what: getattr(flight, what) * by})
    try:
        harder = drop_estimate(CRAFT, PACK, more, log)
    except ValueError:
        return
    easier = drop_estimate(CRAFT, PACK, flight, log)
    assert harder.drops <= easier.drops
    assert harder.use.energy_wh >= easier.use.energy_wh * (1 - 1e-9)


def test_a_worn_pack_shows_more_percent_for_the_same_drop():
    log = _season(2, 30)
    fresh = learned_use(CRAFT, replace(PACK, health_share=1.0), PLANNED, log)
    worn = learned_use(CRAFT, replace(PACK, health_share=0.8), PLANNED, log)
    assert worn.energy_wh == fresh.energy_wh
    assert worn.percent == pytest.approx(fresh.percent / 0.8)


def test_old_drops_are_left_behind():
    log = _season(4, 60, 1.6) + _season(5, HOUSE.learn_newest_drops, 1.1)
    use = learned_use(CRAFT, PACK, PLANNED, log)
    assert use.drops == HOUSE.learn_newest_drops
    assert use.energy_wh == pytest.approx(1.1 * use.model_energy_wh, rel=0.05)


def test_the_table_of_classes_counts_every_drop_once():
    log = _season(6, 50)
    table = use_by_class(CRAFT, log)
    assert sum(one.drops for one in table) == 50
    assert (table[0].distance, table[0].wind) == ("up to 150 m", "up to 3 m/s")
    assert (table[-1].distance, table[-1].wind) == ("over 500 m", "over 9 m/s")
    assert table[-1].drops == 0
    assert table[-1].percent is None
    near, far = table[0], next(t for t in table if t.distance == "350 to 500 m" and t.drops)
    assert near.percent < far.percent
    assert use_by_class(CRAFT, ()) == ()


def test_the_estimate_gives_drops_at_both_ends_of_the_band():
    log = _season(7, 40, 1.0)
    estimate = drop_estimate(CRAFT, PACK, PLANNED, log)
    assert estimate.drops_low <= estimate.drops <= estimate.drops_high
    model = drop_estimate(CRAFT, PACK, PLANNED)
    assert model.drops_low < model.drops_high
