"""The log of drops: written with its wear, idempotent, only ever added to, and learned from."""

import datetime
import uuid
from random import Random

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F

from equipment.models import Defect, UseEntry
from equipment.queries.use import counts
from guiding.days.actions.flights import record_drop, record_drops, reverse_drop
from guiding.days.models import Drop
from guiding.days.queries.flights import (
    UNMEASURED_HEALTH,
    drop_log,
    drops_with_wrong_wear,
    last_of_pack,
    logged_drops,
)
from guiding.days.sheets.flying import craft_of
from guiding.days.sheets.learning import craft_lesson
from guiding.desk.queries.books import broken
from guiding.flying.craft import Pack
from guiding.flying.flight import DropFlight
from guiding.flying.learned import learned_use
from guiding.flying.sortie import full_pack_wh, sortie
from tests import factories_flights as flights
from tests.factories_equipment import CraftFactory, FlightPackFactory, ReelFactory, ThingFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def craft():
    return CraftFactory(label="Gannet")


@pytest.fixture
def pack(craft):
    return flights.pack(craft)


def worn(thing, on=flights.DAY):
    sums = counts(on=on, things=[thing.pk]).get(thing.pk)
    return (sums.flights, sums.drops, sums.cycles) if sums else (0, 0, 0)


def test_a_drop_wears_craft_pack_clip_and_reel(craft, pack):
    clip, reel = ThingFactory(kind="clip", label="Clip 1"), ReelFactory()
    row = flights.logged(craft, pack, clip=clip, reel=reel, new_charge=True)
    assert row.used_percent == 22
    assert worn(craft) == (1, 1, 0)
    assert worn(pack) == (1, 0, 1)
    assert worn(clip) == (0, 1, 0)
    assert worn(reel) == (0, 1, 0)


def test_only_the_first_flight_on_a_charge_is_a_cycle(craft, pack):
    flights.logged(craft, pack, new_charge=True)
    flights.logged(craft, pack, from_percent=78, to_percent=55)
    assert worn(pack) == (2, 0, 1)


def test_the_same_key_twice_is_one_drop(craft, pack):
    drop = flights.new_drop(craft, pack)
    first = record_drop(drop=drop)
    assert record_drop(drop=drop) == first
    assert record_drops(drops=[drop, drop]) == []
    assert Drop.objects.count() == 1
    assert worn(craft) == (1, 1, 0)


def test_the_same_key_with_another_content_is_refused(craft, pack):
    drop = flights.new_drop(craft, pack)
    record_drop(drop=drop)
    other = flights.new_drop(craft, pack, key=drop.key, to_percent=50.0)
    with pytest.raises(ValidationError, match="another content"):
        record_drop(drop=other)
    twins = [flights.new_drop(craft, pack, key=uuid.UUID(int=1), wind_ms=n) for n in (1.0, 2.0)]
    with pytest.raises(ValidationError, match="same key but differ"):
        record_drops(drops=twins)
    assert Drop.objects.count() == 1


def test_a_batch_is_whole_or_absent(craft, pack):
    good, bad = flights.new_drop(craft, pack), flights.new_drop(craft, pack, to_percent=100.0)
    with pytest.raises(ValidationError, match="less after landing"):
        record_drops(drops=[good, bad])
    assert not Drop.objects.exists()
    assert not UseEntry.objects.exists()


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"to_percent": 100.0}, "to_percent", "must hold less after landing"),
        ({"from_percent": 130.0}, "from_percent", "less than or equal to 100"),
        ({"distance_m": 9000.0}, "distance_m", "less than or equal to 5000"),
        ({"distance_m": 0.0}, "distance_m", "greater than or equal to 1"),
        ({"wind_ms": -1.0}, "wind_ms", "greater than or equal to 0"),
        ({"line_mm": 0.0}, "line_mm", "greater than or equal to 0.01"),
        ({"wind_off_path_deg": 200.0}, "wind_off_path_deg", "less than or equal to 180"),
        ({"result": "sunk"}, "result", "not a valid choice"),
        ({"at": datetime.datetime(1890, 1, 1, tzinfo=datetime.UTC)}, "at", "too long ago"),
        ({"at": datetime.datetime(2199, 1, 1, tzinfo=datetime.UTC)}, "at", "still to come"),
        ({"at": datetime.datetime(2026, 5, 20, 9)}, "at", "has no zone"),  # noqa: DTZ001
        ({"note": "x" * 301}, "note", "300"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(craft, pack, changes, field, words):
    with pytest.raises(ValidationError) as refusal:
        flights.logged(craft, pack, **changes)
    assert words in " ".join(refusal.value.message_dict[field])
    assert not Drop.objects.exists()
    assert not UseEntry.objects.exists()


def test_a_pack_of_another_craft_and_a_thing_that_is_no_clip_are_refused(craft, pack):
    other = CraftFactory(label="Tern")
    with pytest.raises(ValidationError, match="fits Gannet, not Tern"):
        flights.logged(other, pack)
    with pytest.raises(ValidationError, match="is no release clip"):
        flights.logged(craft, pack, clip=ThingFactory(kind="rod"))


def test_the_pack_stands_in_the_log_as_it_was_on_the_day(craft, pack):
    row = flights.logged(craft, pack, at=datetime.datetime(2026, 6, 12, 9, tzinfo=datetime.UTC))
    assert (row.pack_rated_wh, row.pack_health_share) == (pytest.approx(74), pytest.approx(0.95))
    before = flights.logged(craft, pack)  # before its first check
    assert before.pack_health_share == UNMEASURED_HEALTH


@pytest.mark.parametrize(("result", "kind"), [("crashed", "crash"), ("ditched", "immersion")])
def test_a_crash_or_a_ditching_grounds_craft_and_pack(craft, pack, result, kind):
    flights.logged(craft, pack, result=result)
    assert set(UseEntry.objects.filter(kind=kind).values_list("thing_id", flat=True)) == {
        craft.pk, pack.pk
    }  # fmt: skip
    assert Defect.objects.filter(signed_off_at=None).count() == 2
    assert worn(craft) == (1, 0, 0)  # a flight, but no drop


def test_a_clip_that_did_not_open_is_grounded(craft, pack):
    clip = ThingFactory(kind="clip", label="Clip 1")
    flights.logged(craft, pack, clip=clip, result="stuck")
    assert Defect.objects.get(thing=clip).what == "Did not open over the spot."


# ---------------------------------------------------------------- taking out


def test_a_wrong_drop_is_taken_out_by_another_entry_with_all_its_wear(craft, pack):
    row = flights.logged(craft, pack, new_charge=True)
    out = reverse_drop(drop=row, reason="typed for the wrong pack")
    assert out.reverses == row
    assert (out.distance_m, out.at, out.note) == (300, row.at, "typed for the wrong pack")
    assert Drop.objects.count() == 2  # both stay readable
    assert worn(craft) == worn(pack) == (0, 0, 0)
    assert logged_drops(craft=craft.pk) == ()
    assert last_of_pack(pack=pack.pk) is None
    assert [drop.pk for drop in drop_log(craft=craft.pk)] == [out.pk, row.pk]


def test_taking_out_again_changes_nothing(craft, pack):
    row = flights.logged(craft, pack)
    key = uuid.uuid4()
    first = reverse_drop(drop=row, reason="wrong", key=key)
    assert reverse_drop(drop=row, reason="wrong", key=key) == first
    with pytest.raises(ValidationError, match="taken out of the log already"):
        reverse_drop(drop=row, reason="again")
    with pytest.raises(ValidationError, match="takes another one out"):
        reverse_drop(drop=first, reason="back again")
    with pytest.raises(ValidationError, match="Say why"):
        reverse_drop(drop=flights.logged(craft, pack), reason="  ")


def test_a_crash_taken_out_signs_its_defects_off(craft, pack):
    row = flights.logged(craft, pack, result="crashed")
    reverse_drop(drop=row, reason="it was only a hard landing")
    assert worn(craft) == (0, 0, 0)
    standing = Defect.objects.filter(signed_off_at=None, entry__reversed_by=None)
    assert not standing.exists()


def test_the_table_itself_keeps_impossible_drops_out(craft, pack):
    row = flights.logged(craft, pack)
    for change in ({"to_percent": F("from_percent")}, {"line_mm": 0}, {"result": "sunk"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Drop.objects.filter(pk=row.pk).update(**change)


def test_the_books_name_a_drop_whose_wear_does_not_fit(craft, pack):
    good, bad = flights.logged(craft, pack), flights.logged(craft, pack, new_charge=True)
    reverse_drop(drop=flights.logged(craft, pack), reason="wrong")
    assert drops_with_wrong_wear() == []
    UseEntry.objects.filter(kind="cycle").delete()
    assert drops_with_wrong_wear() == [bad]
    assert [sentence for sentence in broken() if "Drop" in sentence] == [
        f"Drop {bad.pk} (Gannet with {pack}, 300 m): its wear in the use log does not fit it."
    ]
    assert good.pk != bad.pk


# ---------------------------------------------------------------- learning


FLIGHT = DropFlight(distance_m=300, payload_g=350, wind_ms=4, line_mm=0.30)


def fly_season(craft, pack, drops, true_use, *, seed=7, wild=()):
    """Log drops of a craft whose use is not the model's, as gauges show it."""
    dice, made = Random(seed), craft_of(craft)  # noqa: S311  simulated gauges, no secret
    batch = []
    for number in range(drops):
        flight = DropFlight(
            distance_m=round(dice.uniform(180, 340)),
            payload_g=round(dice.uniform(300, 420)),
            wind_ms=round(dice.uniform(1, 6.5), 1),
            line_mm=0.30,
        )
        full_wh = full_pack_wh(Pack(74, UNMEASURED_HEALTH, 20))
        used = sortie(made, flight).energy_wh * true_use * dice.gauss(1, 0.05) / full_wh * 100
        used = wild[number] if number < len(wild) else min(round(used), 95)
        batch.append(
            flights.new_drop(
                craft,
                pack,
                at=flights.FLOWN_AT + datetime.timedelta(minutes=10 * number),
                to_percent=100.0 - used,
                distance_m=flight.distance_m,
                payload_g=flight.payload_g,
                wind_ms=flight.wind_ms,
            )
        )
    record_drops(drops=batch)


def learned(craft):
    return learned_use(craft_of(craft), Pack(74, 0.95), FLIGHT, logged_drops(craft=craft.pk))


@pytest.mark.parametrize("true_use", [1.3, 0.7])
def test_a_craft_off_the_model_by_30_percent_is_learned_within_10_after_20_drops(
    craft, pack, true_use
):
    truth_wh = sortie(craft_of(craft), FLIGHT).energy_wh * true_use
    fly_season(craft, pack, 9, true_use)
    assert not learned(craft).from_log  # nine drops: still the model
    Drop.objects.all().delete()
    fly_season(craft, pack, 20, true_use, seed=8)
    found = learned(craft)
    assert found.source == "from your 20 drops"
    assert found.energy_wh == pytest.approx(truth_wh, rel=0.10)
    assert found.model_bias_share == pytest.approx(true_use - 1, abs=0.08)


def test_one_wild_entry_moves_the_figure_by_five_percent_at_most(craft, pack):
    fly_season(craft, pack, 20, 1.3)
    sound = learned(craft).energy_wh
    Drop.objects.all().delete()
    for wild in ([96.0], [1.0]):
        fly_season(craft, pack, 20, 1.3, wild=wild)
        assert learned(craft).energy_wh == pytest.approx(sound, rel=0.05)
        Drop.objects.all().delete()


def test_the_band_narrows_as_drops_are_logged(craft, pack):
    bands = []
    for count in (0, 20, 60, 150):
        Drop.objects.all().delete()
        fly_season(craft, pack, count, 1.3)
        bands.append(learned(craft).band_share)
    assert bands == sorted(bands, reverse=True)
    assert bands[-1] < bands[0] / 3


def test_only_drops_let_go_where_planned_teach(craft, pack):
    for result in ("released", "early", "stuck", "parted", "turned back", "ditched"):
        flights.logged(craft, pack, result=result)
    assert len(logged_drops(craft=craft.pk)) == 1


def test_an_old_answer_can_be_repeated(craft, pack):
    flights.logged(craft, pack)
    later = flights.FLOWN_AT + datetime.timedelta(days=5)
    flights.logged(craft, pack, at=later)
    assert len(logged_drops(craft=craft.pk, on=flights.FLOWN_AT.date())) == 1
    assert len(logged_drops(craft=craft.pk)) == 2


def test_the_lesson_shows_the_models_error_and_only_classes_that_were_flown(craft, pack):
    fly_season(craft, pack, 40, 1.3)
    lesson = craft_lesson(craft=craft, log=logged_drops(craft=craft.pk))
    assert lesson.missing == 0
    assert lesson.use.model_bias_share == pytest.approx(0.3, abs=0.06)
    cells = [cell for _far, row in lesson.grid.rows for cell in row]
    assert sum(cell.drops for cell in cells) == 40
    assert all(any(cell.drops for cell in row) for _far, row in lesson.grid.rows)


def test_a_pack_that_was_never_measured_is_reckoned_a_little_worn(craft):
    row = flights.logged(craft, FlightPackFactory(fits=craft))
    assert row.pack_health_share == UNMEASURED_HEALTH < 1
