"""The drops of a day: the gate by place and date, every check, the weather they are planned in."""

import datetime
from dataclasses import replace

import pytest
from django.core.exceptions import ValidationError

from equipment.actions.defects import ground
from guiding.almanac.windows import Windows
from guiding.days.actions.permits import restore_permit, save_permit, withdraw_permit
from guiding.days.actions.plans import change_plan
from guiding.days.actions.prep import ChosenRig, plan_drops
from guiding.days.models import DropPermit, DropSetup, Forecast, ForecastHour
from guiding.days.queries.drops import permission_on
from guiding.days.queries.plans import plan_of, spots
from guiding.days.rules.shore import angle_between_deg, clear_of_path_m, shore_layout
from guiding.days.rules.weather import WeatherHour
from guiding.days.sheets.day import cast_only_reason, spot_day, strip_facts
from guiding.days.sheets.drop_drawing import drop_plan_facts
from guiding.days.sheets.drops import drops_of_day
from guiding.desk.sheets.drops import trip_drops
from guiding.desk.sheets.gather import gather
from guiding.drawings.drop_plan import drop_plan_rows, drop_plan_svg
from guiding.flying.checks.findings import Verdict
from tests import factories_flights as flights
from tests.factories_days import SpotFactory
from tests.factories_equipment import CraftFactory

pytestmark = pytest.mark.django_db

DAY = flights.DAY
ONE_DAY = datetime.timedelta(days=1)


def light(plan):
    return Windows.of((plan.session_start, plan.session_end))


def judged(plan, **more):
    """The drops of a plan as its page reads it."""
    found = plan_of(plan.trip)
    return drops_of_day(
        plan=found, on=DAY, zone="Europe/Dublin", light=more.pop("light", light(found)), **more
    )


def check(drops, name):
    return next(one for one in drops.findings if one.check == name)


# ---------------------------------------------------------------- the gate


def test_two_papers_open_the_gate_on_their_days_only():
    spot = SpotFactory(name="North Strand")
    assert cast_only_reason(spot, DAY) == (
        "Cast only: no aviation permission is on record for North Strand; no fishery permission is "
        "on record for North Strand. Check with your own authority."
    )
    flights.permit("aviation", spot, valid_until=DAY)
    flights.permit("fishery", spot)
    assert cast_only_reason(spot, DAY) is None
    told = cast_only_reason(spot, DAY + ONE_DAY)
    assert (
        "the aviation permission (Invented aviation board A-26) was valid to 13 June 2026" in told
    )


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"covers_dropping": False}, "does not cover dropping bait"),
        ({"copy_kept": "  "}, "has no copy on file"),
        ({"valid_from": DAY + ONE_DAY}, "is only valid from 14 June 2026"),
    ],
)
def test_a_paper_that_falls_short_proves_nothing(change, words):
    spot = SpotFactory()
    flights.permit("aviation", spot, **change)
    flights.permit("fishery", spot)
    assert words in cast_only_reason(spot, DAY)


def test_a_paper_for_another_spot_proves_nothing_here():
    spot = SpotFactory()
    flights.permitted(SpotFactory())
    assert "no aviation permission is on record" in cast_only_reason(spot, DAY)


def test_a_withdrawn_paper_holds_until_the_day_before():
    spot = flights.permitted(SpotFactory())
    paper = DropPermit.objects.get(kind="fishery")
    withdraw_permit(permit=paper, on=DAY, reason="letter of the office")
    assert cast_only_reason(spot, DAY - ONE_DAY) is None
    assert "was valid to 12 June 2026" in cast_only_reason(spot, DAY)
    restore_permit(permit=paper)
    assert cast_only_reason(spot, DAY) is None


def test_the_tightest_limits_of_the_papers_hold():
    spot = flights.permitted(SpotFactory())
    flights.permit("aviation", spot, number="A-27", height_limit_m=30, people_distance_m=100)
    gate = permission_on(spot=spot, on=DAY)
    assert (gate.height_limit_m, gate.people_distance_m) == (30, 100)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"valid_until": datetime.date(2025, 1, 1)}, "valid_until"),
        ({"valid_from": datetime.date(1890, 1, 1)}, "valid_from"),
        ({"number": ""}, "number"),
        ({"number": "n" * 300}, "number"),
        ({"height_limit_m": -3}, "height_limit_m"),
        ({"kind": "harbour"}, "kind"),
    ],
)
def test_an_impossible_paper_is_refused(change, field):
    with pytest.raises(ValidationError) as refusal:
        flights.permit("aviation", SpotFactory(), **change)
    assert field in refusal.value.message_dict
    assert not DropPermit.objects.exists()


def test_a_paper_names_its_spots_and_a_withdrawal_its_reason():
    with pytest.raises(ValidationError, match="Tick the spots"):
        save_permit(spots=[], kind="aviation", authority="a", number="1",
                    valid_from=DAY, valid_until=DAY)  # fmt: skip
    paper = flights.permit("aviation", SpotFactory())
    with pytest.raises(ValidationError, match="Say who withdrew it"):
        withdraw_permit(permit=paper, on=DAY, reason=" ")


def test_the_gate_of_many_spots_asks_for_their_papers_once(django_assert_num_queries):
    for _ in range(5):
        flights.permitted(SpotFactory())
    found = list(spots())
    with django_assert_num_queries(0):
        assert [cast_only_reason(spot, DAY) for spot in found] == [None] * 5


# ---------------------------------------------------------------- checks of a day


def test_a_day_with_everything_in_place_is_a_go():
    drops = judged(flights.flown_plan())
    assert [one.sentence for one in drops.spoke_up] == []
    assert drops.verdict is Verdict.GO
    assert drops.cast_only == ""
    assert {
        "permission", "flying light", "height", "people", "fall energy", "minors", "wind",
        "way home", "charge", "packs", "load", "line pull", "weak link", "spool", "free spool",
        "strength order", "dropper spacing", "hooks", "hook width", "bearing", "drops",
        "pilot's eyes",
    } <= {one.check for one in drops.goes}  # fmt: skip
    assert drops.estimate.drops >= 1
    assert drops.estimate.use.source.startswith("from the model; your log takes over at 10 drops")


def test_every_stop_names_its_number_and_its_fix():
    plan = flights.flown_plan(packs=2, spooled_m=420)
    plan_drops(plan=plan, wind_ms=7.1, gust_ms=11.0, people_aside_m=5, people_back_m=15)
    drops = judged(plan)
    told = {one.check: one for one in drops.stops}
    assert {"packs", "spool", "wind", "people", "weak link"} <= set(told)
    assert "The reel holds 420 m of line and the drop needs 475 m." in told["spool"].sentence
    assert "gust 11.0 of 9.6 m/s" in told["wind"].sentence
    assert "12 drops need" in told["packs"].sentence
    assert all(one.fix for one in drops.spoke_up)
    assert drops.verdict is Verdict.STOP


def test_the_weak_link_is_judged_by_the_wind_of_the_day():
    plan = flights.flown_plan()
    assert check(judged(plan), "weak link").verdict is Verdict.GO
    plan_drops(plan=plan, wind_ms=7.0, gust_ms=8.0, wind_from_deg=195.0)  # square across the path
    finding = check(judged(plan), "weak link")
    assert finding.verdict is Verdict.STOP
    assert "holds 13.7 N (1.4 kgf)" in finding.sentence
    assert finding.fix.startswith("Tie one of 15.")
    planned = plan.planned_rigs.get()
    plan_drops(plan=plan, rigs=[ChosenRig(planned.rig, 4, 1.7)])
    assert check(judged(plan), "weak link").verdict is Verdict.GO


def test_one_bad_reel_is_named_by_its_rod():
    plan = flights.flown_plan()
    line = plan.reels.get(label="Reel 3").spoolings.get().line
    line.spooled_m = 450
    line.save()
    finding = check(judged(plan), "spool")
    assert finding.sentence.startswith("Rod 3: The reel holds 450 m")


def test_hooks_beyond_the_law_of_the_place_stop_the_day():
    plan = flights.flown_plan()
    plan.spot.hook_limit = 1
    plan.spot.save()
    assert check(judged(plan), "hooks").fix == "Take off 1. Check with your own authority."
    plan.spot.hook_limit = None
    plan.spot.save()
    assert check(judged(plan), "hooks").verdict is Verdict.CAUTION


def test_minors_need_an_adult_who_does_not_fly():
    plan = flights.flown_plan()
    assert check(judged(plan, minors=2), "minors").verdict is Verdict.STOP
    assert check(judged(plan, minors=2, watching_adults=1), "minors").verdict is Verdict.GO


def test_nobody_having_looked_is_a_caution_and_not_a_go():
    plan = flights.flown_plan()
    plan_drops(plan=plan, people_aside_m=None)
    drops = judged(plan)
    assert check(drops, "people").verdict is Verdict.CAUTION
    assert "nobody has looked" in check(drops, "people").sentence


def test_a_way_out_along_the_beach_is_stopped():
    plan = flights.flown_plan()
    plan_drops(plan=plan, bearing_deg=200)
    finding = check(judged(plan), "bearing")
    assert (finding.verdict, finding.value) == (Verdict.STOP, 85)


def test_grounded_gear_is_left_at_home_and_said():
    plan = flights.flown_plan(packs=3)
    first = plan.packs.order_by("label").first()
    ground(thing=first, what="swollen", found_at=flights.FLOWN_AT)
    drops = judged(plan)
    finding = check(drops, "gear")
    assert finding.sentence.startswith(f"{first.label} is grounded")
    assert next(line for line in drops.packs if line.label == first.label).drops == 0
    assert drops.pack_plan.owned == 2


def test_a_pack_retired_since_it_was_chosen_is_said():
    plan = flights.flown_plan(packs=3)
    first = plan.packs.order_by("label").first()
    first.retired_on = DAY - ONE_DAY
    first.save()
    assert f"{first.label} is retired" in check(judged(plan), "gear").sentence


def test_what_is_not_chosen_yet_is_reckoned_with_a_stand_in_and_stopped():
    plan = flights.flown_plan(rods=4)
    change_plan(plan=plan, craft=plan.craft, reels=[], packs=[])
    plan_drops(plan=plan, rigs=[])
    stops = {one.check: one.sentence for one in judged(plan).stops}
    assert stops["reels"].startswith("Rods 1, 2, 3 and 4 of 4: no reel with line is chosen")
    assert stops["rigs"].startswith("No rig is chosen")
    assert "No fit pack is carried" in stops["way home"]


def test_drops_outside_the_flying_light_do_not_count():
    plan = flights.flown_plan()
    late = Windows.of((plan.session_start + datetime.timedelta(hours=5), plan.session_end))
    drops = judged(plan, light=late)
    assert drops.drops_fit == 4
    assert check(drops, "drops").fix == "Plan 4 drops, and cast outside those hours."
    dark = judged(plan, light=Windows.of())
    assert check(dark, "flying light").verdict is Verdict.STOP
    assert dark.drops_fit == 0


def test_a_charger_on_the_beach_saves_packs():
    plan = flights.flown_plan(packs=4)
    plan.drops = 20
    plan.save()
    before = judged(plan)
    assert not before.pack_plan.enough
    flights.charger(label="Truck charger", place="beach", power_w=320)
    after = judged(plan)
    assert after.charges > 0
    assert after.rods_served > before.rods_served
    flights.charger(label="Bench", place="home", power_w=500, slots=4)
    assert judged(plan).charges == after.charges  # what stays at home charges nothing here


def test_ten_logged_drops_replace_the_model_on_the_page():
    plan = flights.flown_plan()
    used = plan.packs.first()
    for n in range(12):
        flights.logged(
            plan.craft, used, at=flights.FLOWN_AT + datetime.timedelta(minutes=n), to_percent=60.0
        )
    use = judged(plan).estimate.use
    assert use.source == "from your 12 drops"
    assert use.energy_wh > use.model_energy_wh


def test_worse_never_means_more_drops():
    plan = flights.flown_plan()
    counts = []
    for wind_ms in (1.0, 3.0, 5.0, 7.0):
        plan_drops(plan=plan, wind_ms=wind_ms, gust_ms=wind_ms + 1)
        counts.append(judged(plan).estimate.drops)
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[-1]


def test_a_day_costs_the_same_queries_whatever_it_takes(django_assert_max_num_queries):
    plan = flights.flown_plan(packs=8)
    found = plan_of(plan.trip)
    with django_assert_max_num_queries(22):
        drops_of_day(plan=found, on=DAY, zone="Europe/Dublin", light=light(found))


# ---------------------------------------------------------------- cast only


def test_a_day_without_permission_is_cast_only_and_says_so_in_its_strip_and_its_drawing():
    plan = flights.flown_plan()
    DropPermit.objects.filter(kind="fishery").delete()
    drops = judged(plan)
    assert drops.cast_only.startswith("Cast only: no fishery permission is on record")
    assert drops.estimate is None
    assert drops.layout is None
    facts = drop_plan_facts(drops)
    assert facts.release is None
    assert drops.cast_only in {row.value for row in drop_plan_rows(facts)}
    assert "cast only" in drop_plan_svg(facts)
    nature = spot_day(spot=plan.spot, day=DAY, zone="Europe/Dublin")
    assert strip_facts(nature, plan=plan).cast_only == drops.cast_only


def test_a_day_for_casting_still_checks_its_rigs():
    plan = flights.flown_plan()
    DropPermit.objects.all().delete()
    plan.spot.hook_limit = 1
    plan.spot.save()
    assert [one.check for one in judged(plan).spoke_up] == ["hooks"]


def test_no_craft_or_an_impossible_one_is_cast_only():
    plan = flights.flown_plan()
    change_plan(plan=plan, craft=None)
    assert judged(plan).cast_only == "Cast only: no craft is chosen for this day."
    change_plan(plan=plan, craft=CraftFactory(mass_kg=2.2, max_takeoff_kg=2.2))
    assert "it may carry nothing" in judged(plan).cast_only


# ---------------------------------------------------------------- weather


def hours(plan, *winds):
    calm = {"wind_from_deg": 200, "wave_m": 1.0, "air_c": 12}
    return [
        WeatherHour(
            plan.session_start + datetime.timedelta(hours=n), wind_ms=wind, gust_ms=wind + 1, **calm
        )
        for n, wind in enumerate(winds)
    ]


def untyped(plan):
    plan_drops(plan=plan, **dict.fromkeys(flights.CALM))
    return plan


def test_without_a_forecast_the_strongest_wind_that_may_be_flown_is_planned():
    drops = judged(untyped(flights.flown_plan()))
    assert drops.weather.wind_ms == pytest.approx(6.84)  # 57 % of the maker's 12 m/s
    assert not drops.weather.known
    assert "No wind is forecast yet: planned in 6.8 m/s" in drops.weather.told
    assert drops.weather.wave_height_m == 1.5  # the spot's caution
    wind = check(drops, "wind")
    assert wind.verdict is Verdict.STOP
    assert wind.sentence.startswith("No wind is forecast or entered for this flight")


def test_the_windiest_hour_that_may_be_flown_decides_and_the_others_are_not_flown():
    plan = untyped(flights.flown_plan())
    drops = judged(plan, hours=hours(plan, 3, 6, 9, 11, 5, 4))
    assert drops.weather.wind_ms == 6
    assert "that may be flown, 08:30; 2.0 h of the session are too windy" in drops.weather.told
    assert drops.weather.flyable.total_min == 240
    assert drops.drops_fit == 24
    assert check(drops, "wind").verdict is Verdict.GO


def test_a_session_too_windy_throughout_is_stopped_by_its_calmest_hour():
    plan = untyped(flights.flown_plan())
    drops = judged(plan, hours=hours(plan, 12, 10, 9))
    assert drops.weather.wind_ms == 9
    assert check(drops, "wind").verdict is Verdict.STOP


def test_a_reading_holds_until_the_next_one():
    plan = untyped(flights.flown_plan())
    half = datetime.timedelta(minutes=30)
    first, later = hours(plan, 9, 5)
    drops = judged(plan, hours=[first, replace(later, at=plan.session_start + half)])
    assert drops.weather.flyable.total_min == 330  # only the first half hour is too windy


def test_the_forecast_of_the_spot_reaches_the_trips_drops(business):
    plan = untyped(flights.flown_plan())
    issued = plan.session_start - datetime.timedelta(hours=20)
    forecast = Forecast.objects.create(
        spot=plan.spot, kind="typed", source="invented", issued_at=issued, entered_at=issued,
        first_at=plan.session_start, last_at=plan.session_end, digest="d",
    )  # fmt: skip
    for n in range(7):
        ForecastHour.objects.create(
            forecast=forecast, at=plan.session_start + n * datetime.timedelta(hours=1),
            wind_ms=3 + n % 3, gust_ms=7, wind_from_deg=210, wave_m=0.6, air_c=11,
        )  # fmt: skip
    file = gather(plan.trip_id, business=business)
    before = trip_drops(file, at=issued - datetime.timedelta(hours=1))
    assert not before.weather.known
    after = trip_drops(file, at=issued)
    assert (after.weather.wind_ms, after.weather.wave_height_m) == (5, 0.6)
    assert after.weather.told.startswith("The windiest forecast hour of the session, ")


def test_what_was_typed_wins_over_the_forecast():
    plan = flights.flown_plan()
    assert judged(plan, hours=hours(plan, 9, 9, 9)).weather.wind_ms == 4.0


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"wind_ms": 61, "gust_ms": None}, "wind_ms"),
        ({"wind_ms": None, "gust_ms": 5}, "wind_ms"),
        ({"wind_ms": 6, "gust_ms": 5}, "gust_ms"),
        ({"bearing_deg": 400}, "bearing_deg"),
        ({"height_m": 0}, "height_m"),
    ],
)
def test_impossible_conditions_are_refused(values, field):
    plan = flights.flown_plan()
    with pytest.raises(ValidationError) as refusal:
        plan_drops(plan=plan, **values)
    assert field in refusal.value.message_dict
    assert DropSetup.objects.get(plan=plan).wind_ms == 4.0


def test_rigs_for_more_rods_than_there_are_or_one_rig_twice_are_refused():
    plan = flights.flown_plan(rods=2)
    chosen = plan.planned_rigs.get().rig
    with pytest.raises(ValidationError, match="3 rods are given a rig, and 2 are planned"):
        plan_drops(plan=plan, rigs=[ChosenRig(chosen, 3)])
    with pytest.raises(ValidationError, match="chosen twice"):
        plan_drops(plan=plan, rigs=[ChosenRig(chosen, 1), ChosenRig(chosen, 1)])
    assert plan.planned_rigs.get().rods == 2


# ---------------------------------------------------------------- places


def layout(**changes):
    facts = {
        "seaward_deg": 285.0, "bearing_deg": 285.0, "drop_m": 300.0, "rods": 4,
        "people_aside_m": 45.0, "people_back_m": 20.0, "wind_from_deg": 200.0,
    }  # fmt: skip
    return shore_layout(**facts | changes)


def test_everybody_stands_upwind_of_the_path_and_behind_the_rods():
    for wind_from_deg, side in ((200.0, -1), (10.0, 1)):  # from the left, from the right
        found = layout(wind_from_deg=wind_from_deg)
        assert found.pad.along_m * side > 0
        assert found.people.along_m * side > found.pad.along_m * side
        assert found.people.out_m < found.keep_behind_m
        assert found.path_out[0] == found.pad == found.path_home[-1]


def test_the_release_lies_at_its_distance_and_bearing():
    found = layout(bearing_deg=315.0)
    pad, release = found.path_out
    along, out = release.along_m - pad.along_m, release.out_m - pad.out_m
    assert (along**2 + out**2) ** 0.5 == pytest.approx(300)
    assert along == pytest.approx(150)  # 30 degrees to the right of seaward


def test_distance_to_a_path_is_to_its_nearest_point():
    found = layout()
    path = found.path_out
    beside = replace(found.pad, along_m=found.pad.along_m + 7, out_m=100.0)
    assert clear_of_path_m(place=beside, path=path) == pytest.approx(7)
    behind = replace(found.pad, out_m=found.pad.out_m - 9)
    assert clear_of_path_m(place=behind, path=path) == pytest.approx(9)


@pytest.mark.parametrize(
    ("first", "second", "angle"), [(350, 10, 20), (10, 350, 20), (0, 180, 180), (285, 285, 0)]
)
def test_angles_go_the_short_way_round(first, second, angle):
    assert angle_between_deg(first, second) == pytest.approx(angle)


def test_the_drawing_shows_the_same_numbers_as_the_checks():
    drops = judged(flights.flown_plan())
    facts = drop_plan_facts(drops)
    assert facts.fall_radius_m == drops.zone_radius_m == 30
    assert facts.clear_m == pytest.approx(check(drops, "people").value)
    assert facts.ceiling_m == 50
    assert facts.heights[-1].height_m == drops.flight.height_m >= drops.least_height_m
    assert [mark.label for mark in facts.marks][:4] == ["rod 1", "rod 2", "rod 3", "rod 4"]
