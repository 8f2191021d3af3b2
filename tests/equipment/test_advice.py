"""What to take, what is due, how packs lie and fade, what gear costs."""

from __future__ import annotations

import datetime
import json
import uuid
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command

from equipment.actions.checks import put_at_charge
from equipment.actions.choices import overrule
from equipment.actions.defects import ground
from equipment.actions.service import record_service, save_rule
from equipment.actions.use import record_use
from equipment.queries.booked import booked_days
from equipment.queries.due import due_groups, due_list
from equipment.queries.export import label_facts
from equipment.queries.forecast import trend
from equipment.queries.packs import pack_sheets
from equipment.queries.storage import pairs, stored, travel
from equipment.queries.suggest import suggest
from equipment.queries.wear import book_list, line_costs, wear_list
from tests.factories_equipment import (
    CraftFactory,
    FlightPackFactory,
    LineFactory,
    PackCheckFactory,
    SpoolingFactory,
    ThingFactory,
)
from tests.reference import published

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 6, 14)
AT = datetime.datetime(2026, 6, 1, 8, 0, tzinfo=datetime.UTC)


def plugged(*, on):
    """Stands in for the bookings: two trips."""
    return [day for day in (datetime.date(2026, 6, 27), datetime.date(2026, 6, 20)) if day >= on]


# ---------------------------------------------------------------- what to take


def names(suggestions):
    return [one.fitness.label for one in suggestions if one.take]


def test_packs_are_taken_fit_first_then_least_flown():
    for label, cycles, capacity in (("A", 60, 4.7), ("B", 20, 4.75), ("C", 5, 4.3), ("D", 90, 4.8)):
        check = PackCheckFactory(pack__label=label, capacity_ah=capacity)
        record_use(thing=check.pack, kind="cycle", amount=cycles, at=AT)
    ground(thing=PackCheckFactory(pack__label="E").pack, what="wrap torn", found_at=AT)
    found = suggest(on=TODAY, packs=3)
    assert names(found.packs) == ["B", "D", "A"]  # 95 and 96 % are alike: the least flown goes
    assert [one.place for one in found.packs if one.take] == [1, 2, 3]
    assert found.packs[-1].reason.startswith("Stays: Defect")


def test_the_guides_word_goes_before_the_advice_and_fills_a_place():
    trip = uuid.uuid4()
    first = PackCheckFactory(pack__label="A", capacity_ah=4.9).pack
    PackCheckFactory(pack__label="B", capacity_ah=4.7)
    last = PackCheckFactory(pack__label="C", capacity_ah=4.5).pack
    overrule(thing=first, trip_uid=trip, on=TODAY, take=False, reason="for Sunday")
    overrule(thing=last, trip_uid=trip, on=TODAY, take=True, reason="to wear it out")
    found = suggest(on=TODAY, trip_uid=trip, packs=2)
    assert names(found.packs) == ["B", "C"]
    assert found.packs[0].reason == "Your own word: for Sunday"
    assert names(suggest(on=TODAY, packs=2).packs) == ["A", "B"]


def test_the_shortest_line_that_serves_goes_first_and_a_short_one_stays():
    for label, metres in (("Long", 900), ("Short", 400), ("Right", 520)):
        SpoolingFactory(reel__label=label, line=LineFactory(spooled_m=metres), on_from=TODAY)
    found = suggest(on=TODAY, reels=2, drop_m=300)
    assert names(found.reels) == ["Right", "Long"]
    short = suggest(on=TODAY, craft=0, reels=3, drop_m=300).short
    assert short == ("3 reels needed, 2 may go along.",)


# ---------------------------------------------------------------- due


def test_the_due_list_names_the_trip_it_is_due_before(settings):
    settings.GEAR_BOOKED_DAYS = "tests.equipment.test_advice.plugged"
    booked = booked_days(on=TODAY)
    assert booked == (datetime.date(2026, 6, 20), datetime.date(2026, 6, 27))
    craft = CraftFactory()
    save_rule(kind="craft", name="Airframe", every_trips=2)
    record_service(thing=craft, rule_name="Airframe", done_at=AT)
    record_use(
        thing=craft, kind="flight", at=AT + datetime.timedelta(days=1), trip_uid=uuid.uuid4()
    )
    item = next(one for one in due_list(on=TODAY, booked=booked) if one.thing_id == craft.pk)
    assert item.before_trip_on == datetime.date(2026, 6, 27)
    assert (item.used, item.limit, item.measure) == (1, 2, "trips")


def test_what_a_later_trip_asks_for_waits_behind_what_the_next_one_does(settings):
    settings.GEAR_BOOKED_DAYS = "tests.equipment.test_advice.plugged"
    booked = booked_days(on=TODAY)
    soon, late, over = CraftFactory(), CraftFactory(), CraftFactory()
    save_rule(kind="craft", name="Airframe", every_trips=2)
    for craft, trips in ((late, 1), (soon, 2), (over, 3)):
        record_service(thing=craft, rule_name="Airframe", done_at=AT)
        for day in range(1, trips + 1):
            at = AT + datetime.timedelta(days=day)
            record_use(thing=craft, kind="flight", at=at, trip_uid=uuid.uuid4())
    bad = ThingFactory(label="Rod 7")
    ground(thing=bad, what="ring cracked", found_at=AT)
    items = due_list(on=TODAY, booked=booked)
    now, later = due_groups(items, booked=booked)
    assert (now.later, now.before) == (False, datetime.date(2026, 6, 20))
    assert {item.thing_id for item in now.items} == {soon.pk, over.pk, bad.pk}
    assert (later.later, later.before) == (True, datetime.date(2026, 6, 27))
    assert [item.thing_id for item in later.items] == [late.pk]
    assert [*now.items, *later.items] == sorted(items, key=[*now.items, *later.items].index)
    (only,) = due_groups(due_list(on=TODAY))
    assert (only.later, only.before) == (False, None)
    assert due_groups([]) == ()


def test_the_due_command_prints_facts_and_takes_days(capsys):
    ground(thing=ThingFactory(label="Rod 7"), what="ring cracked", found_at=AT)
    call_command("due", "--on", "2026-06-14", "--json", "--booked", "2026-06-20")
    item = json.loads(capsys.readouterr().out)[0]
    assert (item["label"], item["state"]) == ("Rod 7", "grounded")
    assert item["before_trip_on"] == "2026-06-20"
    call_command("due", "--on", "2026-06-14")
    assert "ring cracked" in capsys.readouterr().out
    for arguments in (("--on", "soon"), ("--booked", "later")):
        with pytest.raises(CommandError):
            call_command("due", *arguments)


# ---------------------------------------------------------------- packs at rest


def test_a_pack_left_full_is_brought_to_storage_charge_unless_it_flies_soon():
    pack = PackCheckFactory().pack
    put_at_charge(packs=[pack], full=True, at=AT + datetime.timedelta(days=1))
    sheets = pack_sheets(on=TODAY)
    lies = stored(sheets=sheets, on=TODAY)[0]
    assert lies.act
    assert "full for 12 days" in lies.reason
    soon = stored(sheets=sheets, on=datetime.date(2026, 6, 5), booked=[datetime.date(2026, 6, 7)])
    assert not soon[0].act
    put_at_charge(packs=[pack], full=False, at=AT + datetime.timedelta(days=2))
    assert not stored(sheets=sheets, on=TODAY)[0].act


def test_a_pack_flown_since_its_charge_was_noted_is_to_be_measured():
    pack = PackCheckFactory().pack
    record_use(thing=pack, kind="cycle", at=AT + datetime.timedelta(days=1))
    lies = stored(sheets=pack_sheets(on=TODAY), on=TODAY)[0]
    assert lies.act
    assert "No charge noted for 12 days" in lies.reason
    assert any(item.what == "Storage charge" for item in due_list(on=TODAY))


def test_pairs_and_travel_come_from_the_rules():
    PackCheckFactory(pack__label="A", capacity_ah=4.8)
    PackCheckFactory(pack__label="B", capacity_ah=4.7)
    PackCheckFactory(pack__label="C", pack__rated_ah=7.0)
    sheets = pack_sheets(on=TODAY)
    found = pairs(sheets=sheets)
    assert [(pair.first, pair.second) for pair in found.pairs] == [("A", "B")]
    assert [label for label, _ in found.alone] == ["C"]
    energies = {sheet.label: air.band.value for sheet, air in travel(sheets=sheets)}
    assert energies == {"A": "up_to_100_wh", "B": "up_to_100_wh", "C": "over_100_to_160_wh"}


# ---------------------------------------------------------------- fade


def faded(pack, cycles):
    for number in cycles:
        PackCheckFactory(
            pack=pack,
            cycles=number,
            at=AT - datetime.timedelta(days=200 - number),
            capacity_ah=5.0 - 0.006 * number,
        )


def test_a_pack_with_few_checks_has_no_number_and_says_why():
    pack = FlightPackFactory()
    faded(pack, range(0, 30, 10))
    found = trend(pack=pack, on=TODAY)
    assert len(found.points) == 3
    assert found.forecast.cycles_left is None
    assert "too few checks" in found.left_words
    assert found.band == ()


def test_a_fading_pack_is_forecast_with_a_band_and_a_booked_day():
    pack = FlightPackFactory()
    faded(pack, range(0, 120, 10))
    for number in range(10):
        record_use(thing=pack, kind="cycle", amount=6, at=AT, trip_uid=uuid.UUID(int=number + 1))
    booked = [TODAY + datetime.timedelta(days=7 * week) for week in range(1, 40)]
    found = trend(pack=pack, on=TODAY, booked=booked)
    low, left, high = found.forecast.low, found.forecast.cycles_left, found.forecast.high
    assert low < left < high
    assert found.dates.on in booked
    assert found.band[0].low_share == found.band[0].high_share
    assert found.band[-1].high_share == pytest.approx(0.8)
    assert found.band[-1].low_share == pytest.approx(0.77)
    assert f"{low} to {high}" in found.left_words


def test_the_forecast_command_prints_the_six_facts(capsys):
    file = str(published.path("battery_cell_B0005"))
    call_command("pack_forecast", "--cycles", file, "--upto", "60", "--json")
    facts = json.loads(capsys.readouterr().out)
    assert list(facts) == ["health", "cycles_left", "low", "high", "method", "why"]
    assert facts["low"] <= facts["cycles_left"] <= facts["high"]
    call_command("pack_forecast", "--cycles", file, "--upto", "3", "--json")
    facts = json.loads(capsys.readouterr().out)
    assert facts["cycles_left"] is None
    assert "too few checks" in facts["why"]


def test_the_forecast_command_says_what_rating_it_took(tmp_path, capsys):
    lines = ["cycle,capacity_ah,outlier", *(f"{n},{1.86 - 0.004 * n},0" for n in range(1, 40))]
    lines.append("40,0.2,1")  # disturbed: left out
    file = tmp_path / "cell.csv"
    file.write_text("\n".join(lines), encoding="utf-8")
    call_command("pack_forecast", "--cycles", str(file), "--json")
    facts = json.loads(capsys.readouterr().out)
    assert "taken as 2 Ah" in facts["why"]
    assert facts["health"] == pytest.approx((1.86 - 0.004 * 38) / 2.0, abs=0.001)
    call_command("pack_forecast", "--cycles", str(file), "--rated", "1.86", "--json")
    assert "taken as 2 Ah" not in json.loads(capsys.readouterr().out)["why"]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("cycle,capacity\n1,2\n", "no column capacity_ah"),
        ("cycle,capacity_ah\n1,two\n", "Row 2, capacity_ah"),
        ("cycle,capacity_ah\n1,-2\n", "cannot be"),
        ("cycle,capacity_ah\n1\n", "Row 2 has 1 columns"),
        ("cycle,capacity_ah\n1,2\n1,2\n", "Two checks at one cycle"),
        ("", "no column"),
        ("cycle,capacity_ah\n", "no cycle"),
    ],
)
def test_the_forecast_command_refuses_with_one_sentence(tmp_path, content, words):
    file = tmp_path / "cell.csv"
    file.write_text(content, encoding="utf-8")
    with pytest.raises(CommandError, match=words):
        call_command("pack_forecast", "--cycles", str(file))


def test_the_report_prints_the_table_of_published_cells(capsys):
    call_command("pack_forecast", "--report")
    table = capsys.readouterr().out
    assert "ours, without this cell" in table
    assert "line through all checks" in table


# ---------------------------------------------------------------- what it costs


def test_wear_is_price_less_worth_over_the_whole_life():
    craft = CraftFactory(price=Decimal(1300), salvage=Decimal(300), expected_uses=500)
    record_use(thing=craft, kind="flight", amount=100, at=AT)
    pack = PackCheckFactory(pack__price=Decimal(190)).pack  # 180 cycles expected
    rod = ThingFactory(price=None)
    found = {wear.thing_id: wear for wear in wear_list(on=TODAY)}
    assert found[craft.pk].rate.per_unit == Decimal(2)
    assert found[pack.pk].rate.per_unit == Decimal(190) / Decimal(180)
    assert found[rod.pk].why == "No price is entered."


def test_service_counts_among_the_costs():
    craft = CraftFactory()
    record_use(thing=craft, kind="flight", amount=10, at=AT)
    record_service(thing=craft, rule_name="Motors", cost=Decimal(60), done_at=AT)
    wear = wear_list(on=TODAY)[0]
    assert (wear.spent, wear.service_per_unit) == (Decimal(60), Decimal(6))


def test_line_costs_a_metre_and_a_trip():
    spooling = SpoolingFactory(line=LineFactory(price_per_m=Decimal("0.09")))
    for number in range(3):
        record_use(
            thing=spooling.reel,
            kind="cut_back_m",
            amount=10,
            at=AT + datetime.timedelta(days=number),
            trip_uid=uuid.UUID(int=number + 1),
        )
    cost = line_costs(on=TODAY)[0]
    assert (cost.per_metre, cost.per_trip) == (Decimal("0.0900"), Decimal("0.900"))


def test_books_write_a_thing_off_by_the_days_held():
    ThingFactory(
        price=Decimal(1000), salvage=Decimal(100), bought_on=datetime.date(2025, 7, 2),
        book_life_years=3,
    )  # fmt: skip
    ThingFactory(price=Decimal(1000), book_life_years=None)
    first = book_list(year=2025)
    assert len(first) == 1
    assert first[0].this_year.depreciation == Decimal("150.41")  # 300 a year, 183 of 365 days
    years = first[0].years
    assert years[-1].year == 2028
    assert years[-1].closing == Decimal("100.00")
    assert sum(one.depreciation for one in years) == Decimal("900.00")


def test_a_label_leads_to_the_page_of_its_thing():
    craft = CraftFactory(label="Craft A")
    found = label_facts(on=TODAY)
    assert [(one.label, one.path) for one in found] == [("Craft A", f"/gear/craft/{craft.pk}/")]
