"""`manage.py sortie`: one drop from the gear list and the log, or one sentence."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from guiding.days.sheets.flying import craft_of
from guiding.flying.craft import Pack
from guiding.flying.estimate import drop_estimate
from guiding.flying.flight import DropFlight
from tests import factories_flights as flights
from tests.factories_equipment import CraftFactory

pytestmark = pytest.mark.django_db

ASKED = {
    "craft": "Gannet", "pack": "P1", "distance": "300", "bait-g": "400", "wind-ms": "5",
    "line-mm": "0.3", "on": "2026-06-13",
}  # fmt: skip


@pytest.fixture
def pack():
    craft = CraftFactory(label="Gannet", max_takeoff_kg=3.2)
    made = flights.pack(craft)
    made.label = "P1"
    made.save()
    return made


def sortie(*flags, **changes):
    out = StringIO()
    asked = ASKED | {name.replace("_", "-"): value for name, value in changes.items()}
    words = [word for name, value in asked.items() for word in (f"--{name}", value)]
    call_command("sortie", *words, *flags, stdout=out)
    return out.getvalue()


def facts(**changes):
    return json.loads(sortie("--json", **changes))


def test_prints_what_the_model_says_until_there_is_a_log(pack):
    found = facts()
    flight = DropFlight(distance_m=300, payload_g=400, wind_ms=5, line_mm=0.3, height_m=15)
    expected = drop_estimate(craft_of(pack.fits), Pack(74, 0.95, 15), flight)
    assert found["energy_wh"] == pytest.approx(expected.use.energy_wh, abs=0.01)
    assert found["drops_per_pack"] == expected.drops
    assert found["turn_back_percent"] == expected.turn_back_percent
    assert found["source"] == "from the model; your log takes over at 10 drops and holds 0"
    assert found["pack_health_share"] == 0.95


def test_prints_what_the_log_says_once_there_are_ten_drops(pack):
    for _ in range(10):
        flights.logged(pack.fits, pack, to_percent=60.0)
    found = facts()
    assert found["source"] == "from your 10 drops"
    assert found["energy_wh"] > found["model_energy_wh"]
    assert found["model_bias_share"] > 0.2
    assert facts(on="2026-05-01")["drops_logged"] == 0  # as it was known on that day


def test_says_it_in_words_and_gives_the_window_of_the_weak_link(pack):
    told = sortie(line_kgf="22.7")
    assert "Drops a pack:" in told
    assert "A weak link of 10.3 to 17.4 N (1.1 to 1.8 kgf) fits." in told
    assert "No weak link fits" in sortie(line_kgf="22.7", bait_g="800")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"wind_ms": "9"}, "The wind is 9.0 m/s and the airspeed 8.0 m/s"),
        ({"wind_ms": "13"}, "the maker of Gannet allows 12.0 m/s"),
        ({"bait_g": "1500"}, "take 500 g off the rig or the bait"),
        ({"distance": "5000"}, "The drop is 5000 m out and the plan's limit is 800 m"),
        ({"distance": "-5"}, "Distance is -5 m"),
        ({"line_mm": "0"}, "Line diameter is 0 mm"),
        ({"charged": "0"}, "Charge of the pack is 0 of full"),
        ({"pack_c": "-20"}, "Pack temperature is -20"),
        ({"wind_ms": "nan"}, "Wind is nan m/s"),
        ({"craft": "Albatross"}, "There is no craft 'Albatross'. Known: Gannet."),
        ({"pack": "P9"}, "There is no flight pack 'P9'. Known: P1."),
        ({"on": "yesterday"}, "'yesterday' is no date"),
        ({"line_kgf": "0"}, "Strength is 0 N"),
    ],
)
def test_bad_input_is_one_sentence(pack, changes, words):
    with pytest.raises(CommandError) as refusal:
        sortie(**changes)
    told = str(refusal.value)
    assert words in told
    assert "\n" not in told
    assert refusal.value.returncode == 1


def test_a_pack_too_small_gives_no_drop_and_says_what_to_do(pack):
    pack.rated_ah = 1.9
    pack.save()
    found = facts()
    assert found["drops_per_pack"] == 0
    assert "charge it, take a larger or healthier pack, or fish nearer" in found["note"]
    pack.rated_ah = 0.5
    pack.save()
    with pytest.raises(CommandError, match="more than the whole pack"):
        facts()
