"""From an empty database to the papers of a day, through HTTP alone, everything typed by hand."""

from __future__ import annotations

import datetime
from decimal import Decimal
from io import BytesIO
from typing import Any

import pypdf
import pytest
import time_machine
import vobject
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from bookings.models import Booking, Business, Trip
from guiding.days.models import DayPlan
from tests.papers.reading import text
from tests.visit import Visitor

NOON = datetime.datetime(2026, 6, 1, 12, 0, tzinfo=datetime.UTC)
PASSWORD = "far-beach-at-low-water"
# A table of highs and lows as a guide would copy it, in UTC; the figures are invented.
TABLE = """
2026-06-11 01:05 0.7 low
2026-06-11 07:14 3.9 high
2026-06-11 13:27 0.9 low
2026-06-11 19:38 4.0 high
2026-06-12 01:58 0.6 low
2026-06-12 08:06 4.0 high
2026-06-12 14:19 0.8 low
2026-06-12 20:31 4.1 high
2026-06-13 02:49 0.5 low
2026-06-13 08:57 4.1 high
2026-06-13 15:11 0.8 low
2026-06-13 21:23 4.2 high
2026-06-14 03:41 0.5 low
2026-06-14 09:48 4.1 high
2026-06-14 16:02 0.9 low
2026-06-14 22:14 4.1 high
2026-06-15 04:32 0.6 low
2026-06-15 10:40 4.0 high
"""
# The turns of 13 June in Irish summer time, an hour before UTC says them.
TURNS = (("03:49", "0.5"), ("09:57", "4.1"), ("16:11", "0.8"), ("22:23", "4.2"))
PEOPLE = ("Maeve", "Żaneta", "Ελένη", "Оля")


@pytest.fixture
def visitor(db: None, client: Client) -> Any:
    with time_machine.travel(NOON, tick=False):
        yield Visitor(client)


def test_the_first_day_from_an_empty_database_to_its_papers(visitor: Visitor) -> None:
    open_the_desk(visitor)
    enter_tide_and_spot(visitor)
    enter_offer_and_rates(visitor)
    party = take_the_enquiry(visitor)
    trip = plan_a_day_for_them(visitor, party)
    send_the_price_and_hear_yes(visitor, party)
    name_the_people(visitor, party)
    gear = enter_gear(visitor)
    choose_gear(visitor, trip, gear)
    look_at_the_trip(visitor, trip)
    read_the_trip_sheet(visitor, trip)
    read_the_run_sheet(visitor, trip)
    read_the_cost(visitor, trip)
    read_the_invite(visitor, trip)
    call_command("check_books")


def open_the_desk(visitor: Visitor) -> None:
    page = visitor.go("/")
    assert page.address == reverse("first_run")
    page = visitor.send("country", country="IE")
    page = visitor.send(
        name="Marram Head Shore Days",
        guide_name="Orla Tern",
        email="orla@marramhead.example",
        phone="020 910 0100",
        country="IE",
        zone="Europe/Dublin",
        currency="EUR",
        locale="en_IE",
        password=PASSWORD,
    )
    assert page.address == reverse("setup")
    assert "The desk is open." in page.told
    assert Business.objects.get().zone == "Europe/Dublin"
    assert visitor.go(reverse("first_run")).address != reverse("first_run"), "closed for good"
    visitor.client.logout()
    assert visitor.go("/").address.startswith(reverse("account_login"))
    page = visitor.send("login", login="orla@marramhead.example", password=PASSWORD)
    assert page.address == reverse("today")


def enter_tide_and_spot(visitor: Visitor) -> None:
    visitor.go(reverse("tide_new"))
    page = visitor.send(
        name="Marram Head", source="Copied from an invented table", clock="UTC", table=TABLE
    )
    assert page.address == reverse("tide_list"), page.problems
    visitor.go(reverse("spot_new"))
    form = visitor.page.form()  # type: ignore[union-attr]
    page = visitor.send(
        name="North Strand",
        place="53.281, -10.521",
        seaward_deg="285",
        tide_source=form.choice("tide_source", "Marram Head"),
        sill_m="3.7",
        meeting_place="Car park above the slip, Marram Head",
        meeting_at="53.272, -10.47",
        drive_km="62",
        drive_min="80",
        sand_km="8",
        coverage="none",
        signal_point="The head of the slip.",
        nearest_help="Invented district hospital, 48 km",
    )
    assert "North Strand saved." in page.told, page.problems
    assert "Cast only" in page.text, "nobody has allowed dropping here"


def enter_offer_and_rates(visitor: Visitor) -> None:
    visitor.go(reverse("offer_new"))
    page = visitor.send(
        name="Family day",
        summary="Two rods, rock pools between bites, and home before anybody is tired.",
        bring="Warm layers\nBoots",
        supplied="Rods, rigs and bait",
        hours="12",
        fishing_hours="4",
        places="6",
        price="150",
        deposit_percent="30",
    )
    assert page.address == reverse("offer_list"), page.problems
    rates = (("km_road", "Road", "0.42"), ("kg_bait", "Bait", "9"), ("head", "Lunch", "15"))
    for driver, label, amount in rates:
        visitor.go(reverse("rate_new"))
        page = visitor.send(driver=driver, label=label, amount=amount, valid_from="2026-01-01")
        assert page.address == reverse("rate_list"), page.problems
    visitor.go(reverse("cost_basis"))
    page = visitor.send(
        valid_from="2026-01-01", guide_rate="22", overhead="7300", days_run="48", fee_percent="2"
    )
    assert page.address == reverse("rate_list"), page.problems


def take_the_enquiry(visitor: Visitor) -> str:
    visitor.go("/")
    visitor.follow("Parties")
    visitor.follow("New enquiry")
    form = visitor.page.form()  # type: ignore[union-attr]
    page = visitor.send(
        given_name="Maeve",
        family_name="Skerry",
        email="maeve@example.org",
        heads="4",
        minors="1",
        offer=form.choice("offer", "Family day"),
        day_from="2026-06-13",
        wishes="First light, if we may.",
    )
    assert "Enquiry of Maeve Skerry saved." in page.told, page.problems
    return page.address


def plan_a_day_for_them(visitor: Visitor, party: str) -> Trip:
    visitor.go(party)
    page = visitor.follow("Plan a day")
    form = page.form("spot")
    assert form.values["day"] == "2026-06-13", "the day they wish for"
    page = visitor.send("spot", spot=form.choice("spot", "North Strand"))
    assert "Sat 13 Jun 2026" in page.text, page.problems
    assert not Trip.objects.exists(), "looking plans nothing"
    page = visitor.send("Plan it, hold it for Maeve and draft the price")
    assert page.address == party
    assert "The day is planned." in page.told
    assert "Held for the party, with a price note to send." in page.told
    trip = Trip.objects.get()
    assert (trip.status, trip.places_taken) == ("tentative", 4)
    return trip


def send_the_price_and_hear_yes(visitor: Visitor, party: str) -> None:
    page = visitor.go(party)
    [note] = [words for words in page.links if words.startswith("No.")]
    page = visitor.follow(note)
    assert "€600.00" in page.text
    assert "€180.00" in page.text, "the deposit"
    visitor.send("Note it as sent")
    visitor.follow(note)
    page = visitor.send("They said yes")
    assert "accepted" in page.text
    booking = Booking.objects.get()
    assert (booking.status, booking.price) == ("confirmed", Decimal(600))
    assert booking.trip.status == "confirmed"


def name_the_people(visitor: Visitor, party: str) -> None:
    typed: tuple[dict[str, str], ...] = (
        {"given_name": "Maeve", "family_name": "Skerry", "born_on": "1984-02-29", "swims": "yes"},
        {"given_name": "Żaneta", "born_on": "1986-10-03", "swims": "no"},
        {"given_name": "Ελένη", "born_on": "1991-01-20", "swims": "yes"},
        {"given_name": "Оля", "born_on": "2016-07-09", "swims": "unknown"},
    )
    for person in typed:
        visitor.go(party)
        page = visitor.follow("Name a person")
        if person["given_name"] == "Оля":
            person = person | {"guardian": page.form().choice("guardian", "Maeve Skerry")}
        page = visitor.send(**person)
        assert page.address == party, page.problems
    assert "Everybody is named." in page.text


def enter_gear(visitor: Visitor) -> dict[str, str]:
    things: dict[str, dict[str, str]] = {
        "craft": {
            "label": "Gannet",
            "mass_kg": "2.2",
            "max_takeoff_kg": "3.2",
            "rotor_diameter_m": "10 in",
            "wind_limit_ms": "12",
        },
        "pack": {"label": "P1", "chemistry": "lipo", "cells_series": "4", "rated_ah": "5000 mAh"},
        "reel": {"label": "Reel 1", "rated_m": "800", "rated_mm": "0.3"},
    }
    found = {}
    for kind, typed in things.items():
        visitor.go(reverse("thing_new_of", args=[kind]))
        page = visitor.send("label", **typed)
        assert f"{typed['label']} is entered." in page.told, page.problems
        found[kind] = page.address
    pk = int(found["reel"].strip("/").split("/")[-1])
    visitor.go(reverse("reel_spool", args=[pk]))
    page = visitor.send(
        "spooled_m", spooled_m="600", diameter_mm="0.3", strength_kgf="50 lb", price_per_m="0.09"
    )
    assert page.address == found["reel"], page.problems
    return found


def choose_gear(visitor: Visitor, trip: Trip, gear: dict[str, str]) -> None:
    page = visitor.go(reverse("plan_edit", args=[trip.pk]))
    form = page.form("craft")
    page = visitor.send(
        "craft",
        craft=form.choice("craft", "Gannet"),
        packs=[form.choice("packs", "P1")],
        reels=[form.choice("reels", "Reel 1")],
        rods="1",
    )
    assert "Plan saved." in page.told, page.problems
    plan = DayPlan.objects.get()
    assert (str(plan.craft), [str(each) for each in plan.packs.all()]) == ("Gannet", ["P1"])


def look_at_the_trip(visitor: Visitor, trip: Trip) -> None:
    page = visitor.go("/")
    assert "Family day" in page.text, "the next day stands on Today"
    page = visitor.go(reverse("trip", args=[trip.pk]))
    for name in PEOPLE:
        assert name in page.text
    for at, height in TURNS:
        assert at in page.text
        assert f"{height}" in page.text
    assert "not named" not in page.text
    assert "no guardian" not in page.text
    assert "no reels chosen" not in page.text


def paper(visitor: Visitor, trip: Trip, name: str) -> bytes:
    answer = visitor.client.get(reverse("trip_paper", args=[trip.pk, name]))
    assert answer.status_code == 200
    assert "attachment" in answer.headers["Content-Disposition"]
    assert "no-store" in answer.headers["Cache-Control"]
    return b"".join(answer) if answer.streaming else answer.content


def read_the_trip_sheet(visitor: Visitor, trip: Trip) -> None:
    data = paper(visitor, trip, "trip-sheet.pdf")
    words = text(data)
    assert "Saturday, 13 June 2026" in words or "Saturday 13 June 2026" in words
    for instant in (trip.starts_at, trip.ends_at):
        local = instant.astimezone(Business.objects.get().tz)
        assert f"{local:%H:%M}" in words
    assert "Car park above the slip, Marram Head" in words
    for at, height in TURNS:
        assert at in words
        assert f"{height} m" in words or f"{height}\N{NO-BREAK SPACE}m" in words
    for rule in (
        "Stay behind the rods unless the guide walks with you.",
        "Face the sea. When the guide calls, drop what you hold and come up.",
        "Before any cast, look behind you and wait for the guide's word.",
    ):
        assert rule in words
    for caution in (
        "Check with your own authority",
        "not for navigation",
        "Nobody goes into the water after anybody.",
        "112",
        "Cast only",
    ):
        assert caution in words
    for name in PEOPLE:
        assert name in words
    assert "Maeve" in words[words.index("minute by minute") :]
    assert "Copied from an invented table" in words
    assert len(pypdf.PdfReader(BytesIO(data)).pages) <= 3  # two, and the child's own


def read_the_run_sheet(visitor: Visitor, trip: Trip) -> None:
    words = text(paper(visitor, trip, "run-sheet.pdf"))
    for each in (*PEOPLE, "Reel 1", "North Strand", "does not swim", "Cast only"):
        assert each in words


def read_the_cost(visitor: Visitor, trip: Trip) -> None:
    # 124 km at 0.42 by hand; the card fee is 2 % of 150.
    assert "52.08" in text(paper(visitor, trip, "cost-sheet.pdf"))
    rows = paper(visitor, trip, "cost.csv").decode()
    assert "52.08" in rows
    assert "Road" in rows


def read_the_invite(visitor: Visitor, trip: Trip) -> None:
    data = paper(visitor, trip, "invite.ics").decode()
    calendar = vobject.readOne(data)
    event = calendar.vevent
    assert calendar.method.value == "REQUEST"
    assert event.dtstart.value == trip.starts_at
    assert event.dtend.value == trip.ends_at
    assert str(trip.uid) in event.uid.value
    assert event.sequence.value == str(Trip.objects.get().sequence)
    assert event.status.value == "CONFIRMED"
    assert "Car park above the slip" in event.location.value
    assert [float(each) for each in event.geo.value.split(";")] == [53.272, -10.47]
    assert "maeve@example.org" in data
    assert len(list(event.valarm_list)) >= 1
