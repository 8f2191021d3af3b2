"""Prep: what is bought, tied, thawed, charged and loaded, in order, and ticked."""

import datetime
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError

from equipment.actions.defects import ground
from guiding.almanac.windows import Windows
from guiding.days.actions.prep import (
    ChosenRig,
    assign_prep,
    copy_house_load,
    mark_prep,
    plan_drops,
    save_charger,
    save_load_line,
)
from guiding.days.actions.rigs import save_tackle
from guiding.days.models import Charger, DropPermit, LoadLine, PrepMark
from guiding.days.queries.plans import plan_of
from guiding.days.rules.prep import (
    HOUSE_LOAD,
    LoadEntry,
    LoadGroup,
    load_count,
    load_order,
    prep_times,
)
from guiding.days.sheets.drops import drops_of_day
from guiding.days.sheets.prep import day_prep
from tests import factories_flights as flights
from tests.factories_equipment import ThingFactory

ZONE = "Europe/Dublin"
LEAVE = datetime.datetime(2026, 6, 13, 4, 0, tzinfo=datetime.UTC)  # five in the morning in Dublin


def prepared(plan, *, heads=3, minors=0, at=None):
    found = plan_of(plan.trip)
    light = Windows.of((found.session_start, found.session_end))
    drops = drops_of_day(plan=found, on=flights.DAY, zone=ZONE, light=light)
    return day_prep(drops=drops, zone=ZONE, heads=heads, minors=minors, at=at)


def section(prep, name):
    return next(one for one in prep.sections if one.name == name)


def texts(prep, name):
    return [item.text for item in section(prep, name).items]


# ---------------------------------------------------------------- rules


def test_the_steps_are_due_in_their_order():
    times = prep_times(leave_at=LEAVE, zone=ZONE)
    shown = {
        name: f"{getattr(times, name):%a %H:%M}"
        for name in ("bought_by", "tied_by", "thaw_from", "charged_by", "loaded_by")
    }
    assert shown == {
        "bought_by": "Wed 18:00",
        "tied_by": "Fri 20:00",
        "thaw_from": "Fri 05:00",
        "charged_by": "Fri 22:00",
        "loaded_by": "Sat 04:30",
    }


def test_packs_for_an_afternoon_are_charged_that_day():
    noon = LEAVE.replace(hour=14)  # three in Dublin
    assert f"{prep_times(leave_at=noon, zone=ZONE).charged_by:%a %H:%M}" == "Sat 14:00"


def test_the_clock_of_the_business_counts_across_the_change_of_clocks():
    after = datetime.datetime(2026, 3, 29, 5, 0, tzinfo=datetime.UTC)  # the day clocks go forward
    times = prep_times(leave_at=after, zone=ZONE)
    assert (times.charged_by.day, times.charged_by.hour) == (28, 22)
    assert after - times.thaw_from.astimezone(datetime.UTC) == datetime.timedelta(hours=24)


def test_a_time_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="has no zone"):
        prep_times(leave_at=LEAVE.replace(tzinfo=None), zone=ZONE)


def test_what_saves_people_is_loaded_first():
    entries = tuple(
        LoadEntry(f"{group}{rank}", group, rank, f"{group} {rank}")
        for group in reversed(LoadGroup)
        for rank in (1, 0)
    )
    ordered = load_order(entries=entries)
    assert [one.group for one in ordered[:2]] == [LoadGroup.PEOPLE] * 2
    assert ordered[0].rank == 0
    assert [one.group for one in ordered][::2] == list(LoadGroup)


def test_counts_go_by_trip_head_and_minor():
    assert load_count(count=2, per="trip", heads=4, minors=1) == 2
    assert load_count(count=2, per="head", heads=4, minors=1) == 10  # the guide drinks too
    assert load_count(count=1, per="minor", heads=4, minors=1) == 1
    for wrong in ({"heads": -1, "minors": 0}, {"heads": 2, "minors": 3}):
        with pytest.raises(ValueError, match="not possible"):
            load_count(count=1, per="head", **wrong)
    with pytest.raises(ValueError, match="not known"):
        load_count(count=1, per="boat", heads=1, minors=0)


# ---------------------------------------------------------------- the lists


@pytest.mark.django_db
def test_rigs_are_tied_bait_is_thawed_and_tackle_is_bought():
    plan = flights.flown_plan()  # 4 rods, 12 drops, 3 rigs tied
    save_tackle(name="hook 6/0", unit="pieces", quantity=3, sold_in=10)
    save_tackle(name="three-way swivel", unit="pieces", quantity=50, sold_in=10)
    prep = prepared(plan)
    # two a rod, and 12 drops at 10 % lost times 1.5, rounded up: ten, less the three tied
    assert texts(prep, "tie")[0] == "Two droppers: 7 to tie (10 wanted, 3 lie ready)"
    assert texts(prep, "tie")[1] == "Weak links of 13.7 N (1.4 kgf), one a drop"
    lines = {line.name: line for line in prep.shopping}
    assert (lines["hook 6/0"].need, lines["hook 6/0"].buy) == (14, 20)
    assert lines["three-way swivel"].buy == 0
    assert "hook 6/0: 20 (needed 14, in the box 3)" in texts(prep, "buy")
    assert not any("three-way" in text for text in texts(prep, "buy"))
    # 12 drops, two hooks, 80 g and 15 % more
    assert prep.bait_kg == pytest.approx(12 * 2 * 0.08 * 1.15)
    assert texts(prep, "thaw") == ["2.2 kg of bait"]


@pytest.mark.django_db
def test_drops_are_shared_out_over_the_rigs_whole_and_adding_up():
    plan = flights.flown_plan(rods=3)
    plan.drops = 11
    plan.save()
    other = flights.rig(name="Big bait", bait_g=200)
    plan_drops(
        plan=plan, rigs=[ChosenRig(plan.planned_rigs.get().rig, 2, 1.4), ChosenRig(other, 1, 1.4)]
    )
    prep = prepared(plan)
    # 8 drops with 80 g and 3 with 200 g, two hooks each
    assert prep.bait_kg == pytest.approx((8 * 2 * 0.08 + 3 * 2 * 0.2) * 1.15)


@pytest.mark.django_db
def test_a_rig_too_strong_for_a_reel_is_not_tied_and_says_why():
    plan = flights.flown_plan()
    line = plan.reels.get(label="Reel 2").spoolings.get().line
    line.strength_kgf = 15
    line.save()
    prep = prepared(plan)
    assert prep.tie == ()
    (note,) = section(prep, "tie").notes
    assert "The rig 'Two droppers' is not to be tied." in note
    assert "main line only 147 N (15 kgf)" in note


@pytest.mark.django_db
def test_every_fit_pack_gets_its_turn_at_home():
    plan = flights.flown_plan(packs=4)
    flights.charger()
    flights.charger(label="Truck", place="beach", power_w=900, slots=6)
    prep = prepared(plan)
    assert len(prep.charge.turns) == 4
    assert {turn.charger for turn in prep.charge.turns} == {"Bench charger"}
    by = prep.times.charged_by
    assert all(turn.full_at <= by for turn in prep.charge.turns)
    first = min(prep.charge.turns, key=lambda turn: turn.begin_at)
    begin = f"{first.begin_at.astimezone(ZoneInfo(ZONE)):%H:%M}"
    assert any(f"{first.pack} in Bench charger" in text and begin in text
               for text in texts(prep, "charge"))  # fmt: skip
    assert "Never leave packs alone" in section(prep, "charge").notes[-1]


@pytest.mark.django_db
def test_a_pack_charged_full_lately_is_ticked_and_a_grounded_one_stays_at_home():
    plan = flights.flown_plan(packs=3)
    flights.charger()
    full, bad, _third = plan.packs.order_by("label")
    full.charged_full_at = LEAVE - datetime.timedelta(days=1)
    full.save()
    ground(thing=bad, what="swollen", found_at=flights.FLOWN_AT)
    items = {item.key: item for item in section(prepared(plan), "charge").items}
    assert items[f"charge:{full.label}"].done_at == full.charged_full_at
    assert items[f"charge:{bad.label}"].text == f"{bad.label} stays at home"
    assert "swollen" in items[f"charge:{bad.label}"].warning
    full.stored_at = LEAVE - datetime.timedelta(hours=5)  # put back to storage since
    full.save()
    items = {item.key: item for item in section(prepared(plan), "charge").items}
    assert items[f"charge:{full.label}"].done_at is None


@pytest.mark.django_db
def test_charging_too_late_names_the_minutes():
    plan = flights.flown_plan(packs=4)
    flights.charger()
    by = prep_times(leave_at=plan.trip.starts_at, zone=ZONE).charged_by
    prep = prepared(plan, at=by - datetime.timedelta(minutes=20))
    assert any("min too late" in note for note in section(prep, "charge").notes)


@pytest.mark.django_db
def test_without_a_charger_the_list_says_what_to_enter():
    prep = prepared(flights.flown_plan(packs=2))
    assert "No charger is entered: enter one with its power." in section(prep, "charge").notes
    assert all("no charger for it" in text for text in texts(prep, "charge"))


@pytest.mark.django_db
def test_the_load_list_holds_the_kit_the_plan_and_the_house_list():
    plan = flights.flown_plan(rods=2, packs=3)
    for kind, label in (("beacon", "Beacon"), ("first_aid", "First-aid kit"), ("rod", "Rod 1"),
                        ("rod", "Rod 2"), ("rod", "Rod 3"), ("vehicle", "Truck")):  # fmt: skip
        ThingFactory(kind=kind, label=label)
    flights.charger(label="Truck charger", place="beach")
    load = section(prepared(plan, heads=3, minors=1), "load").items
    told = [item.text for item in load]
    assert told[:2] == ["First-aid kit", "Beacon"]
    assert {"Gannet", "Truck charger", "Reel 1", "Reel 2", "Rod 1", "Rod 2"} <= set(told)
    assert not {"Rod 3", "Truck", "Reel 3"} & set(told)  # two rods, and the truck is not loaded
    assert any(text.startswith("Copy of the permission, aviation") for text in told)
    counts = {item.text: item.count for item in load}
    assert counts["Litres of drinking water"] == 8  # two for each of three heads and the guide
    assert counts["Bright vest in a child's size"] == 1
    assert counts["Rigs, Two droppers"] == 6
    groups = [item.group for item in load]
    assert groups == sorted(groups, key=list(dict.fromkeys(groups)).index)  # each group in one run
    assert groups[0] == "People first"


@pytest.mark.django_db
def test_grounded_kit_is_left_out_but_never_silently_what_saves_people():
    plan = flights.flown_plan()
    for kind, label in (("beacon", "Beacon"), ("clip", "Clip 1")):
        thing = ThingFactory(kind=kind, label=label)
        ground(thing=thing, what="battery flat", found_at=flights.FLOWN_AT)
    load = {item.text: item for item in section(prepared(plan), "load").items}
    assert load["Beacon"].warning.startswith("grounded:")
    assert "battery flat" in load["Beacon"].warning
    assert "Clip 1" not in load


@pytest.mark.django_db
def test_a_day_for_casting_loads_and_charges_nothing_that_flies():
    plan = flights.flown_plan()
    flights.charger()
    ThingFactory(kind="clip", label="Clip 1")
    DropPermit.objects.all().delete()
    prep = prepared(plan)
    assert section(prep, "charge").items == ()
    assert section(prep, "charge").notes[0].startswith("Cast only: no aviation permission")
    load = section(prep, "load").items
    assert "Flying" not in {item.group for item in load}
    assert not any("permission" in item.text for item in load)
    assert not any("Weak links" in text for text in texts(prep, "tie"))
    assert texts(prep, "tie")[0].startswith("Two droppers")  # the rigs are still fished


@pytest.mark.django_db
def test_own_lines_take_the_place_of_the_house_list():
    assert copy_house_load() == len(HOUSE_LOAD)
    assert copy_house_load() == 0  # done again it adds nothing
    line = LoadLine.objects.get(text="Landing mat")
    save_load_line(line=line, in_use=False)
    save_load_line(group="people", text="Whistles", count=1, per="head", position=1)
    told = texts(prepared(flights.flown_plan()), "load")
    assert "Whistles" in told
    assert "Landing mat" not in told


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("changes", "field"),
    [({"text": ""}, "text"), ({"count": 0}, "count"), ({"per": "boat"}, "per"),
     ({"text": "x" * 300}, "text"), ({"group": "galley"}, "group")],
)  # fmt: skip
def test_an_impossible_line_is_refused(changes, field):
    fields = {"group": "people", "text": "Water", "count": 1, "per": "trip", "position": 1}
    with pytest.raises(ValidationError) as refusal:
        save_load_line(**fields | changes)
    assert field in refusal.value.message_dict
    assert not LoadLine.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("changes", "field"),
    [({"power_w": 0}, "power_w"), ({"slots": 0}, "slots"), ({"slots": 50}, "slots"),
     ({"source_wh": -1}, "source_wh"), ({"label": ""}, "label"), ({"place": "moon"}, "place")],
)  # fmt: skip
def test_an_impossible_charger_is_refused(changes, field):
    fields = {"label": "Bench", "place": "home", "power_w": 200, "slots": 2}
    with pytest.raises(ValidationError) as refusal:
        save_charger(**fields | changes)
    assert field in refusal.value.message_dict
    assert not Charger.objects.exists()


# ---------------------------------------------------------------- ticks


@pytest.mark.django_db
def test_a_tick_set_twice_is_one_tick_and_can_be_taken_back():
    plan = flights.flown_plan()
    first = mark_prep(plan=plan, item="thaw", done=True, at=LEAVE)
    again = mark_prep(plan=plan, item="thaw", done=True, at=LEAVE + datetime.timedelta(hours=1))
    assert first.pk == again.pk
    assert again.done_at == LEAVE
    assert section(prepared(plan), "thaw").items[0].done_at == LEAVE
    mark_prep(plan=plan, item="thaw", done=False)
    assert section(prepared(plan), "thaw").items[0].done_at is None
    assert PrepMark.objects.count() == 1


@pytest.mark.django_db
def test_what_went_out_is_counted_back():
    plan = flights.flown_plan()
    mark_prep(plan=plan, item="bait", done=True, at=LEAVE)
    mark_prep(plan=plan, item="bait", back=True, at=LEAVE + datetime.timedelta(hours=12))
    item = next(one for one in section(prepared(plan), "load").items if one.key == "bait")
    assert item.back_at - item.done_at == datetime.timedelta(hours=12)


@pytest.mark.django_db
def test_who_takes_what_is_written_together_and_keeps_the_ticks():
    plan = flights.flown_plan()
    mark_prep(plan=plan, item="bait", done=True, at=LEAVE)
    assign_prep(plan=plan, who={"bait": " Bríd  Tern ", "thaw": "", "reel:Reel 1": "Orla"})
    marks = {mark.item: mark for mark in plan.prep_marks.all()}
    assert marks["bait"].who == "Bríd Tern"
    assert marks["bait"].done_at == LEAVE
    assert marks["reel:Reel 1"].who == "Orla"
    assert "thaw" not in marks  # nothing said, nothing written
    assign_prep(plan=plan, who={"bait": ""})
    assert plan.prep_marks.get(item="bait").who == ""
    with pytest.raises(ValidationError):
        assign_prep(plan=plan, who={"bait": "x" * 300})


@pytest.mark.django_db
def test_ticks_of_one_day_are_not_those_of_another():
    plan = flights.flown_plan()
    mark_prep(plan=plan, item="thaw", done=True)
    prep = prepared(plan)
    assert prep.open == sum(len(one.items) for one in prep.sections) - 1
