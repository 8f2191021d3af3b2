"""What is fit on a day, and the number that decides."""

from __future__ import annotations

import datetime
import json
import uuid
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command

from equipment.actions.checks import record_check, set_pack_limits, strike_out_check
from equipment.actions.choices import follow_advice, overrule
from equipment.actions.defects import ground, sign_off
from equipment.actions.service import record_service, record_services, save_rule
from equipment.actions.things import add_thing, edit_thing, retire, take_back
from equipment.actions.use import record_use, reverse_use
from equipment.models import PackCheck, ServiceRecord, ServiceRule, Thing
from equipment.queries.gear import fit_for, gear_list
from equipment.queries.packs import pack_sheets
from tests.factories_equipment import (
    CraftFactory,
    FlightPackFactory,
    LineFactory,
    PackCheckFactory,
    ReelFactory,
    SpoolingFactory,
    ThingFactory,
)

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 6, 14)
AT = datetime.datetime(2026, 6, 1, 8, 0, tzinfo=datetime.UTC)


def state_of(thing, on=TODAY, **more):
    return next(one for one in gear_list(on=on, **more) if one.thing_id == thing.pk)


def fitness_of(thing, on=TODAY, **more):
    return next(one for one in fit_for(on=on, **more) if one.thing_id == thing.pk)


# ---------------------------------------------------------------- packs


def test_a_checked_pack_is_fit_and_says_its_numbers():
    check = PackCheckFactory()
    found = state_of(check.pack)
    assert found.state == "fit"
    assert "95.0% of rated" in found.reason
    assert found.pack.health_share == pytest.approx(0.95)
    assert found.pack.rated_wh == pytest.approx(74)


def test_a_pack_without_a_check_is_watched():
    found = state_of(FlightPackFactory())
    assert (found.state, found.reason) == ("watch", "No check on record.")


def test_spread_of_cells_grounds_with_its_number():
    check = PackCheckFactory(cells_v=[3.80, 3.80, 3.80, 3.65])
    found = fitness_of(check.pack)
    assert found.state == "grounded"
    assert (found.measure, found.value, found.limit) == ("spread", 150, 100)


def test_a_crash_puts_a_pack_into_quarantine_until_signed_off():
    pack = PackCheckFactory().pack
    record_use(thing=pack, kind="crash", at=AT)
    found = state_of(pack)
    assert found.state == "grounded"
    assert "crash" in found.reason
    defect = pack.defects.get()
    sign_off(defect=defect, by="Orla Tern", reason="cells within 5 mV after a night", at=AT)
    assert state_of(pack).state == "fit"
    with pytest.raises(ValidationError, match="signed this off already"):
        sign_off(defect=defect, by="Orla Tern", reason="again", at=AT)


def test_a_swollen_pack_is_quarantined_and_a_struck_out_check_frees_it():
    pack = FlightPackFactory()
    record_check(pack=pack, at=AT, cells_v=[3.8] * 4, capacity_ah=4.8)
    wrong = record_check(pack=pack, at=AT + datetime.timedelta(hours=2), swollen=True)
    assert state_of(pack).state == "grounded"
    strike_out_check(check=wrong, reason="it was P9")
    assert state_of(pack).state == "fit"
    assert PackCheck.objects.count() == 2


def test_past_its_life_by_the_numbers_is_grounded_until_retired():
    pack = PackCheckFactory(capacity_ah=3.9).pack
    found = state_of(pack)
    assert found.state == "grounded"
    assert "retire it" in found.reason
    retire(thing=Thing.objects.get(pk=pack.pk), reason="78 % left", on=TODAY)
    assert [one.thing_id for one in gear_list(on=TODAY)] == []
    assert state_of(pack, with_retired=True).state == "retired"
    assert state_of(pack, on=TODAY - datetime.timedelta(days=1)).state == "grounded"
    take_back(thing=Thing.objects.get(pk=pack.pk))
    assert state_of(pack).state == "grounded"


def test_limits_can_be_set_apart_from_the_defaults():
    pack = PackCheckFactory(capacity_ah=3.9).pack
    set_pack_limits(values={"retire_health_share": 0.7, "watch_health_share": 0.75})
    assert state_of(pack).state == "fit"
    with pytest.raises(ValidationError, match="wrong way round"):
        set_pack_limits(values={"watch_cycles": 400})
    assert state_of(pack).state == "fit"


def test_readings_that_contradict_each_other_ground_the_pack():
    pack = PackCheckFactory(cells_mohm=[4.0, 4.0]).pack
    found = state_of(pack)
    assert found.state == "grounded"
    assert "2 readings" in found.reason


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        ({"cells_v": [5.0, 3.8, 3.8, 3.8]}, "Cell 1 reads 5 V"),
        ({"cells_v": [3.8, 3.8]}, "2 readings for 4 cells"),
        ({"cells_mohm": [0, 4, 4, 4]}, "Cell 1 reads 0"),
        ({"capacity_ah": 48.0}, "check both figures"),
        ({"capacity_ah": -1.0}, "above zero"),
        ({"temperature_c": 400.0}, "temperature"),
        ({"cycles": -3, "capacity_ah": 4.5}, "cycles"),
        ({}, "Nothing was measured"),
        ({"capacity_ah": 4.5, "at": AT.replace(year=2024)}, "bought on 1 March 2025"),
        ({"capacity_ah": 4.5, "at": AT.replace(year=1890)}, "too long ago"),
        ({"capacity_ah": 4.5, "at": AT.replace(year=2090)}, "still to come"),
    ],
)
def test_a_check_that_cannot_be_right_is_refused(figures, words):
    pack = FlightPackFactory()
    with pytest.raises(ValidationError) as refusal:
        record_check(pack=pack, **({"at": AT} | figures))
    assert words in str(refusal.value)
    assert not PackCheck.objects.exists()


def test_a_check_sent_twice_is_entered_once():
    pack = FlightPackFactory()
    record_check(pack=pack, at=AT, capacity_ah=4.5)
    record_check(pack=pack, at=AT, capacity_ah=4.5)
    assert PackCheck.objects.count() == 1
    with pytest.raises(ValidationError, match="other figures"):
        record_check(pack=pack, at=AT, capacity_ah=4.6)


def test_a_check_takes_its_cycles_from_the_log():
    pack = FlightPackFactory(cycles_before=10)
    record_use(thing=pack, kind="cycle", amount=7, at=AT)
    assert record_check(pack=pack, at=AT, capacity_ah=4.5).cycles == 17


# ---------------------------------------------------------------- line


def test_a_reel_is_judged_by_the_metres_a_drop_needs():
    short = SpoolingFactory(line=LineFactory(spooled_m=430, used_m=0))
    found = state_of(short.reel)
    assert found.state == "due"
    assert "430 m left, 475 m needed" in found.reason
    assert fitness_of(short.reel).state == "grounded"
    assert fitness_of(short.reel, drop_m=200).state != "grounded"


def test_a_reel_without_line_cannot_go_along():
    reel = ReelFactory()
    assert fitness_of(reel).state == "grounded"
    assert state_of(reel).reason.startswith("No line on it")


# ---------------------------------------------------------------- service and defects


def test_a_first_thing_of_a_kind_brings_the_default_rules_once():
    add_thing(kind="clip", label="Clip 1")
    add_thing(kind="clip", label="Clip 2")
    names = ServiceRule.objects.filter(kind="clip").values_list("name", flat=True)
    assert "Five dry releases" in names
    assert len(names) == len(set(names))


def test_service_comes_due_by_flights_and_a_record_starts_the_count_anew():
    craft = CraftFactory()
    save_rule(kind="craft", name="Props", every_flights=20)
    record_use(thing=craft, kind="flight", amount=21, at=AT)
    found = state_of(craft)
    assert found.state == "grounded"
    assert (found.measure, found.value, found.limit) == ("flights", 21, 20)
    record_service(thing=craft, rule_name="Props", done_at=AT, done_by="Orla Tern")
    assert state_of(craft).state == "fit"
    # An older use entered late counts before the service, not after it.
    record_use(thing=craft, kind="flight", amount=30, at=AT - datetime.timedelta(days=9))
    assert state_of(craft).state == "fit"
    assert ServiceRecord.objects.get().flights == 51


def test_service_is_forecast_against_booked_days():
    craft = CraftFactory()
    save_rule(kind="craft", name="Motors", every_flights=100)
    for day in range(3):
        record_use(
            thing=craft,
            kind="flight",
            amount=30,
            at=AT + datetime.timedelta(days=day),
            trip_uid=uuid.UUID(int=day + 1),
        )
    booked = [datetime.date(2026, 6, 20), datetime.date(2026, 6, 21)]
    found = state_of(craft, booked=booked)
    assert found.next_due.before_trip_on == booked[0]
    assert "20 June" in found.next_due.reason


def test_a_printed_date_decides_where_there_is_one():
    add_thing(kind="safety", label="Flares", expires_on=datetime.date(2026, 6, 1))
    other = add_thing(kind="safety", label="Rope", bought_on=datetime.date(2026, 5, 1))
    flares = Thing.objects.get(label="Flares")
    assert state_of(flares).state == "grounded"
    assert state_of(other).state == "fit"
    record_service(
        thing=flares,
        rule_name="Printed date",
        done_at=AT,
        new_printed_date=datetime.date(2029, 6, 1),
    )
    assert state_of(flares).state == "fit"


def test_a_rule_of_one_thing_stands_in_place_of_that_of_its_kind():
    gentle, hard = ThingFactory(), ThingFactory()
    save_rule(kind="rod", name="Rings", every_trips=1, lead_percent=0)
    save_rule(kind="rod", thing=gentle, name="rings", every_trips=50)
    for rod in (gentle, hard):
        for trip in (1, 2):
            record_use(thing=rod, kind="trip", at=AT, trip_uid=uuid.UUID(int=trip))
    assert state_of(gentle).state == "fit"
    assert state_of(hard).state == "grounded"


def test_many_things_are_served_in_one_go_or_not_at_all():
    old, new = ThingFactory(), ThingFactory(bought_on=datetime.date(2026, 6, 10))
    with pytest.raises(ValidationError, match="had not been bought"):
        record_services(done=[(old, "Rings"), (new, "Rings")], done_at=AT)
    assert not ServiceRecord.objects.exists()


def test_a_rule_without_a_limit_is_refused():
    with pytest.raises(ValidationError, match="at least one limit"):
        save_rule(kind="rod", name="Look at it")


def test_a_defect_grounds_until_signed_off_with_name_and_reason():
    craft = CraftFactory()
    defect = ground(thing=craft, what="motor 3 grinds", found_at=AT)
    assert "motor 3 grinds" in fitness_of(craft).reason
    assert fitness_of(craft).state == "grounded"
    with pytest.raises(ValidationError):
        sign_off(defect=defect, by="", reason="", at=AT)
    sign_off(defect=defect, by="Orla Tern", reason="bearing changed", at=AT)
    assert state_of(craft).state == "fit"


# ---------------------------------------------------------------- for a trip


def test_the_guide_may_leave_or_take_a_watched_pack_but_no_grounded_one():
    trip = uuid.uuid4()
    watched = FlightPackFactory()
    overrule(thing=watched, trip_uid=trip, on=TODAY, take=False, reason="kept for Sunday")
    found = fitness_of(watched, trip_uid=trip)
    assert (found.take, found.overruled) == (False, "kept for Sunday")
    assert fitness_of(watched).take is None
    follow_advice(thing=watched, trip_uid=trip)
    assert fitness_of(watched, trip_uid=trip).take is None
    ground(thing=watched, what="wrap torn", found_at=AT)
    with pytest.raises(ValidationError, match="cannot go along"):
        overrule(thing=watched, trip_uid=trip, on=TODAY, take=True, reason="short of packs")


def test_editing_keeps_the_log_and_checks_the_figures():
    pack = FlightPackFactory()
    record_use(thing=pack, kind="cycle", amount=2, at=AT)
    edit_thing(thing=Thing.objects.get(pk=pack.pk), label="P77", rated_ah=6.0)
    assert pack_sheets(on=TODAY)[0].rated_ah == 6.0
    with pytest.raises(ValidationError):
        edit_thing(thing=Thing.objects.get(pk=pack.pk), cells_series=0)
    with pytest.raises(ValidationError):
        edit_thing(thing=Thing.objects.get(pk=pack.pk), price=Decimal(-1))


def test_the_list_asks_the_database_a_fixed_number_of_times(django_assert_max_num_queries):
    def everything():
        with django_assert_max_num_queries(14) as seen:
            gear_list(on=TODAY, booked=[TODAY])
        return len(seen)

    for _ in range(2):
        PackCheckFactory()
        SpoolingFactory()
        record_use(thing=CraftFactory(), kind="flight", at=AT)
        ground(thing=ThingFactory(), what="cracked", found_at=AT)
    few = everything()
    for _ in range(8):
        PackCheckFactory()
        SpoolingFactory()
        record_use(thing=CraftFactory(), kind="flight", at=AT)
    assert everything() == few


# ---------------------------------------------------------------- commands


def test_packs_and_lines_print_facts(capsys):
    check = PackCheckFactory()
    spooling = SpoolingFactory()
    entry = record_use(thing=spooling.reel, kind="cut_back_m", amount=20, at=AT)
    call_command("packs", "--on", "2026-06-14", "--json")
    pack = json.loads(capsys.readouterr().out)[0]
    assert (pack["label"], pack["state"], pack["cycles"]) == (check.pack.label, "fit", 0)
    assert pack["health_share"] == pytest.approx(0.95)
    call_command("lines", "--on", "2026-06-14", "--json")
    line = json.loads(capsys.readouterr().out)[0]
    assert (line["left_m"], line["need_m"]) == (580, pytest.approx(475))
    reverse_use(entry=entry, reason="other reel", at=AT)
    call_command("lines", "--on", "2026-06-14")
    assert "600 m left" in capsys.readouterr().out


@pytest.mark.parametrize(
    "arguments",
    [
        ("packs", "--on", "14.6.2026"),
        ("packs", "--on", "1890-01-01"),
        ("lines", "--drop", "far"),
        ("lines", "--drop", "-3"),
        ("lines", "--drop", "nan"),
    ],
)
def test_a_command_refuses_bad_input_with_one_sentence(arguments):
    with pytest.raises(CommandError) as refusal:
        call_command(*arguments)
    assert refusal.value.returncode == 1
    assert str(refusal.value).count("\n") == 0
