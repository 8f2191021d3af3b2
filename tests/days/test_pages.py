"""Spots, tides and rates as a person enters them, and as a slip of the finger meets them."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from guiding.days.models import CostBasis, CostRate, Spot, TideSource
from tests.factories_days import SpotFactory, TideSourceFactory
from tests.season import row_counts
from tests.visit import Visitor

NASTY = "<script>alert(1)</script> & <b>Sker</b>"
SPOT = {
    "name": "North Strand",
    "place": "53.281, -10.521",
    "seaward_deg": "285",
    "meeting_place": "Car park above the slip",
}
CONSTANTS = "M2 1.34 146\ns2 0.47 178.5\nK1 0.09 61"
TABLE = """2026-06-12 20:31 4.1 high
2026-06-13 02:49 0.5 low
2026-06-13 08:57 4.1 high
2026-06-13 15:11 0.8 low
2026-06-13 21:23 4.2 high
2026-06-14 03:41 0.5 low"""


@pytest.fixture
def visitor(desk: Browser) -> Visitor:
    return Visitor(desk)


def entered(visitor: Visitor, name: str, typed: dict[str, str], **arguments: int) -> Any:
    visitor.go(reverse(name, kwargs=arguments or None))
    return visitor.send(**typed)


def test_empty_lists_say_what_to_do_first(visitor: Visitor) -> None:
    assert "No spot yet." in visitor.go(reverse("spot_list")).text
    assert "No tide yet." in visitor.go(reverse("tide_list")).text
    assert "No rate yet." in visitor.go(reverse("rate_list")).text
    assert "No season yet" in visitor.go(reverse("rate_list")).text


def test_a_spot_is_entered_changed_and_shown(visitor: Visitor) -> None:
    page = entered(visitor, "spot_new", SPOT)
    assert "North Strand saved." in page.told, page.problems
    spot = Spot.objects.get()
    assert page.address == reverse("spot", args=[spot.pk])
    assert "has no tide source yet" in page.text
    assert "Cast only" in page.text
    page = entered(visitor, "spot_edit", {"sill_m": "3.7", "walk_out_min": "25"}, pk=spot.pk)
    spot.refresh_from_db()
    assert (spot.sill_m, spot.walk_out_min, spot.latitude) == (3.7, 25, 53.281)
    assert "1 spot" in visitor.go(reverse("spot_list")).text


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"name": ""}, "This field is required."),
        ({"name": "N" * 300}, "at most 80 characters (it has 300)"),
        ({"place": "91, 0"}, "is not between -90 and 90"),
        ({"place": "53, -200"}, "180 is the most there is"),
        ({"place": "north"}, "cannot be read as a place"),
        ({"place": "nan, nan"}, "cannot be read as a place"),
        ({"place": ""}, "This field is required."),
        ({"meeting_at": "over there"}, "cannot be read as a place"),
        ({"sill_m": "high"}, "is no number"),
        ({"period_stop_s": "5"}, "lies below the caution limit"),
        ({"fish_over_m": "3", "fish_under_m": "2"}, "No tide is over the first"),
        ({"seaward_deg": "400"}, "less than or equal to 360"),
        ({"meeting_place": ""}, "This field is required."),
        ({"wave_caution_m": "3", "wave_stop_m": "1"}, "lies below the caution limit"),
        ({"walk_out_min": "-5"}, "greater than or equal to 0"),
        ({"drive_km": "-1"}, "Give 0 km or more."),
        ({"drop_m": "0"}, "Give 1 m or more."),
        ({"max_party": "0"}, "greater than or equal to 1"),
        ({"walked_on": "1890-02-30"}, "Enter a valid date."),
        ({"tide_source": "424242"}, "Select a valid choice."),
        ({"ground": "moon"}, "Select a valid choice."),
    ],
)
def test_a_wrong_spot_is_refused_and_kept(
    visitor: Visitor, change: dict[str, str], says: str
) -> None:
    before = row_counts()
    page = entered(visitor, "spot_new", SPOT | {"access": "Down the slip"} | change)
    assert page.status == 422
    assert says in page.problems
    assert "onstraint" not in page.problems, "a rule of the database is told in our words"
    assert "Down the slip" in page.form("access").values["access"]
    assert row_counts() == before


@pytest.mark.parametrize(
    "change", [{"wind_stop_ms": "0"}, {"wave_caution_m": "0"}, {"wave_caution_m": "-2"}]
)
def test_a_limit_of_nothing_is_refused_in_words(visitor: Visitor, change: dict[str, str]) -> None:
    page = entered(visitor, "spot_new", SPOT | change)
    assert page.status == 422
    assert page.problems
    assert "onstraint" not in page.problems
    assert not Spot.objects.exists()


def test_two_spots_of_one_name_are_refused(visitor: Visitor) -> None:
    SpotFactory(name="North Strand")
    page = entered(visitor, "spot_new", SPOT)
    assert page.status == 422
    assert "already exists" in page.problems
    assert Spot.objects.count() == 1


@pytest.mark.parametrize("name", ["spot_new", "tide_new", "rate_new", "cost_basis"])
def test_an_empty_form_names_what_is_missing(desk: Browser, name: str) -> None:
    before = row_counts()
    answer = desk.post(reverse(name), {})
    assert answer.status_code == 422
    assert "This field is required." in answer.content.decode()
    assert row_counts() == before


def test_markup_in_a_spot_is_shown_as_typed(visitor: Visitor) -> None:
    page = entered(visitor, "spot_new", SPOT | {"name": NASTY, "access": NASTY, "hazards": NASTY})
    for html in (page.html, visitor.go(reverse("spot_list")).html, visitor.go("/").html):
        assert "<script>alert" not in html
        assert "<b>Sker" not in html
    assert "&lt;b&gt;Sker&lt;/b&gt;" in page.html


DAYS = [
    ("2026-06-13", 200),
    ("1890-06-13", 200),
    ("0001-01-01", 200),
    ("9999-12-31", 200),
    ("2026-02-30", 200),
    ("tomorrow", 200),
    ("", 200),
    ("2026-06-13T12:00", 200),
]


@pytest.mark.parametrize(("day", "status"), DAYS)
def test_any_day_may_be_asked_of_a_spot(visitor: Visitor, day: str, status: int) -> None:
    spot = SpotFactory()
    page = visitor.go(reverse("spot", args=[spot.pk]), day=day)
    assert page.status == status
    if day != "2026-06-13":
        assert page.told or "known from" in page.text or spot.name in page.text
    assert "Traceback" not in page.text


def test_a_day_out_of_reach_is_told(visitor: Visitor) -> None:
    spot = SpotFactory()
    for day in ("0001-01-01", "9999-12-31", "2026-02-30", "yesterday"):
        page = visitor.go(reverse("spot", args=[spot.pk]), day=day)
        assert "That day is out of reach" in page.told, day


@pytest.mark.parametrize("name", ["spot", "spot_edit", "tide", "rate"])
@pytest.mark.parametrize("number", [424242, 99999999999999999999999])
def test_rows_that_do_not_exist_are_not_found(desk: Browser, name: str, number: int) -> None:
    assert desk.get(reverse(name, args=[number])).status_code == 404


TIDE = {"name": "Marram Head", "source": "An invented list, seen 1 June 2026"}


def test_a_tide_is_entered_from_constants_and_changed(visitor: Visitor) -> None:
    page = entered(visitor, "tide_new", TIDE | {"constants": CONSTANTS})
    assert "Tide of Marram Head saved." in page.told, page.problems
    tide = TideSource.objects.get()
    assert tide.kind == "constants"
    assert list(tide.constants.values_list("name", flat=True)) == ["M2", "S2", "K1"]
    form = visitor.go(reverse("tide", args=[tide.pk])).form("constants")
    assert form.values["constants"].split() == ["M2", "1.34", "146", "S2", "0.47", "178.5", *(
        "K1", "0.09", "61",
    )]  # fmt: skip
    entered(visitor, "tide", {"constants": "M2 1.5 140"}, pk=tide.pk)
    assert list(tide.constants.values_list("name", "amplitude_m")) == [("M2", 1.5)]


def test_a_tide_is_entered_from_a_printed_table(visitor: Visitor) -> None:
    entered(visitor, "tide_new", TIDE | {"table": TABLE, "clock": "UTC"})
    tide = TideSource.objects.get()
    assert tide.kind == "table"
    assert tide.turns.count() == 6
    first = tide.turns.first()
    assert first
    assert first.at == datetime.datetime(2026, 6, 12, 20, 31, tzinfo=datetime.UTC)
    assert first.high
    spot = SpotFactory(tide_source=tide)
    page = visitor.go(reverse("spot", args=[spot.pk]), day="2026-06-13")
    for clock in ("03:49", "09:57", "16:11", "22:23"):
        assert clock in page.text


def test_a_table_is_typed_as_it_is_printed_a_day_a_line_in_local_time(visitor: Visitor) -> None:
    lines = (
        "2026-10-24 02:10 0.6 low 08:20 3.9 high 14:31 0.7 low 20:42 3.8 high\n"
        "2026-10-25 02:15 0.6 low 08:25 3.9 high"  # the clocks went back at 2
    )
    page = entered(visitor, "tide_new", TIDE | {"table": lines, "clock": "Europe/Dublin"})
    assert "saved." in page.told, page.problems
    tide = TideSource.objects.get()
    at = [f"{turn.at:%d %H:%M}" for turn in tide.turns.all()]
    assert at == ["24 01:10", "24 07:20", "24 13:31", "24 19:42", "25 02:15", "25 08:25"]
    form = visitor.go(reverse("tide", args=[tide.pk])).form("constants")
    assert (form.values["clock"], form.values["table"]) == ("Europe/Dublin", lines)
    page = visitor.send(clock="UTC")  # it was the other clock: the same lines, read anew
    assert f"{tide.turns.all()[0].at:%d %H:%M}" == "24 02:10", page.problems


def test_of_fifty_one_wrong_rows_five_and_the_count_are_told(visitor: Visitor) -> None:
    tide = TideSourceFactory(kind="table")
    rows = "\n".join(f"2026-06-{n % 30 + 1:02d} noon,{n}" for n in range(51))
    visitor.go(reverse("tide_table", args=[tide.pk]))
    page = visitor.send(
        "text", text=f"time,height\n{rows}", table_source="Invented", zone="Europe/Dublin"
    )
    assert page.status == 422
    assert page.html.count("is not a time in the form") == 10  # at the head, and at its box
    assert "And 46 more: 51 problems in all" in page.problems
    visitor.go(reverse("tide", args=[tide.pk]))
    page = visitor.send("constants", constants="", table=rows, clock="UTC")
    assert "And 46 more: 51 problems in all" in page.problems


def test_the_clock_of_a_table_is_asked_for_and_never_guessed(visitor: Visitor) -> None:
    page = visitor.go(reverse("tide_table", args=[TideSourceFactory(kind="table").pk]))
    assert page.form("text").values["zone"] == ""
    assert '<option value="Europe/Dublin">' in page.html
    page = visitor.send("text", text="time,height\n2026-06-01 06:00,3", table_source="Invented")
    assert page.status == 422
    assert "Clock of the table" in page.problems


def test_a_tide_is_entered_as_differences_from_another(visitor: Visitor) -> None:
    known = TideSourceFactory(name="Marram Head")
    visitor.go(reverse("tide_new"))
    page = visitor.send(
        name="Sker Ledge",
        source="Invented differences",
        reference=str(known.pk),
        high_minutes="12",
        low_minutes="18",
    )
    assert "Tide of Sker Ledge saved." in page.told, page.problems
    assert TideSource.objects.get(name="Sker Ledge").kind == "secondary"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({}, "Give either constants or a table"),
        ({"constants": "M2 1.34"}, "Line 1"),
        ({"constants": f"{CONSTANTS}\nM2 1 2"}, "Line 4, 'M2 1 2': M2 stands here twice"),
        ({"constants": "MOON 1 2"}, "Line 1, 'MOON 1 2'"),
        ({"constants": "M2 -1 2"}, "amplitude 0 to 20 m"),
        ({"constants": "M2 1 400"}, "phase 0 to 360 degrees"),
        ({"constants": "M2 nan 40"}, "Line 1"),
        ({"constants": "M2 one 40"}, "Line 1"),
        ({"table": "2026-06-13 02:49 0.5 middling"}, "neither high nor low"),
        ({"table": "31.6.2026 02:49 0.5 low"}, "Line 1"),
        (
            {"table": "2026-06-13 low 0.5 02:49"},
            "low 0.5 02:49': write the day",
        ),
        ({"table": TABLE, "clock": ""}, "Say which clock the times below are written in."),
        ({"table": TABLE, "clock": "Europe/Atlantis"}, "Europe/Atlantis"),
        ({"table": "2026-06-13 02:49 0.5 low\n2026-06-13 08:57 0.4 low"}, ""),
        ({"table": "2026-06-13 08:57 4.1 high\n2026-06-13 02:49 0.5 low"}, ""),
        ({"table": "2026-06-13 02:49 nan low\n2026-06-13 08:57 4 high"}, "Line 1"),
        ({"table": "2026-06-13 02:49 900 low\n2026-06-13 08:57 4000 high"}, "Line 2"),
        ({"table": "2026-06-13 02:49 0.5 low"}, ""),
        ({"name": "M" * 300, "constants": CONSTANTS}, "at most 100 characters"),
        ({"source": "", "constants": CONSTANTS}, "This field is required."),
        ({"mean_range_m": "0", "constants": CONSTANTS}, ""),
    ],
)
def test_a_wrong_tide_is_refused_and_kept(
    visitor: Visitor, typed: dict[str, str], says: str
) -> None:
    page = entered(visitor, "tide_new", TIDE | {"clock": "UTC"} | typed)
    assert page.status == 422
    assert page.problems
    assert says in page.problems
    assert "onstraint" not in page.problems
    for name in ("constants", "table"):
        assert page.form("constants").values[name] == typed.get(name, "")
    assert not TideSource.objects.exists()


def test_a_tide_is_not_measured_from_itself(visitor: Visitor) -> None:
    tide = TideSourceFactory()
    visitor.go(reverse("tide", args=[tide.pk]))
    page = visitor.send(constants=None, reference=str(tide.pk))
    assert page.status == 422
    assert "onstraint" not in page.problems
    tide.refresh_from_db()
    assert tide.kind == "constants"
    assert tide.constants.exists()


def test_rates_are_entered_and_a_season_is_told_what_it_carries(visitor: Visitor) -> None:
    page = entered(
        visitor,
        "rate_new",
        {
            "driver": "pack_cycle",
            "label": "Flight packs",
            "amount": "190",
            "per": "180",
            "valid_from": "2026-01-01",
        },
    )
    assert "Rate saved." in page.told, page.problems
    rate = CostRate.objects.get()
    assert (rate.amount, rate.per) == (Decimal(190), Decimal(180))
    page = entered(visitor, "rate", {"valid_until": "2026-12-31"}, pk=rate.pk)
    rate.refresh_from_db()
    assert rate.valid_until == datetime.date(2026, 12, 31)
    page = entered(visitor, "cost_basis", {"valid_from": "2026-01-01", "guide_rate": "22"})
    assert "€22.00" in page.text, page.problems
    entered(visitor, "cost_basis", {"valid_from": "2026-01-01", "guide_rate": "24"})
    assert [basis.guide_rate for basis in CostBasis.objects.all()] == [Decimal(24)]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"amount": "-1"}, "greater than or equal to 0"),
        ({"amount": "free"}, "Enter a number."),
        ({"amount": "1" * 30}, "digits"),
        ({"amount": "NaN"}, "Enter a number."),
        ({"per": "0"}, "A rate is for more than 0 units."),
        ({"per": "-4"}, "A rate is for more than 0 units."),
        ({"valid_until": "2025-01-01"}, "The rate ends before it begins."),
        ({"valid_from": "1st of May"}, "Enter a valid date."),
        ({"label": "L" * 300}, "at most 80 characters"),
        ({"driver": "wishes"}, "Select a valid choice."),
    ],
)
def test_a_wrong_rate_is_refused(visitor: Visitor, change: dict[str, str], says: str) -> None:
    good = {"driver": "trip", "label": "Access", "amount": "12", "valid_from": "2026-01-01"}
    page = entered(visitor, "rate_new", good | change)
    assert page.status == 422
    assert says in page.problems
    assert "onstraint" not in page.problems
    assert not CostRate.objects.exists()


@pytest.mark.parametrize(
    "change",
    [
        {"guide_rate": "-1"},
        {"days_run": "0"},
        {"days_run": "-3"},
        {"fee_percent": "100"},
        {"fee_percent": "-1"},
        {"wished_margin_percent": "100"},
        {"overhead": "-7300"},
        {"call_off_cost": "-1"},
        {"fee_fixed": "-0.3"},
        {"valid_from": ""},
        {"days_called_off": "99999999"},
    ],
)
def test_a_season_that_cannot_be_is_refused_in_words(
    visitor: Visitor, change: dict[str, str]
) -> None:
    good = {"valid_from": "2026-01-01", "guide_rate": "22"}
    page = entered(visitor, "cost_basis", good | change)
    assert page.status == 422
    assert page.problems
    assert "onstraint" not in page.problems
    assert not CostBasis.objects.exists()
