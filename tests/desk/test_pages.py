"""The desk's own pages: Today, Diary, a day planned, a trip, its plan; and what they refuse."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse

from bookings.models import Booking, Offer, Party, Quote, Trip
from guiding.days.models import DayPlan, Spot
from guiding.desk.queries.books import broken
from tests.factories import PartyFactory
from tests.season import NOON, row_counts
from tests.visit import Page, Visitor

NASTY = "<script>alert(1)</script> & <b>Séamus</b>"


@pytest.fixture
def visitor(season_desk: Browser) -> Visitor:
    return Visitor(season_desk)


def next_trip() -> Trip:
    return Trip.objects.filter(status="confirmed", starts_at__gt=NOON).order_by("starts_at")[0]


def trip_page(visitor: Visitor, trip: Trip) -> Page:
    return visitor.go(reverse("trip", args=[trip.pk]))


# ------------------------------------------------------------------ an empty desk


@pytest.mark.parametrize("name", ["today", "diary", "trip_new", "safety", "setup", "spot_list"])
def test_every_page_opens_on_an_empty_desk(desk: Browser, name: str) -> None:
    page = Visitor(desk).go(reverse(name))
    assert page.status == 200
    for raw in ("None", "datetime.", "Traceback", "0 trip "):
        assert raw not in page.text


def test_an_empty_today_says_what_to_do_first(desk: Browser) -> None:
    page = Visitor(desk).go("/")
    assert "No trip ahead. Plan a day, or answer an enquiry first." in page.text
    assert "Nothing is missing" in page.text
    assert "Everybody has an answer." in page.text


def test_before_the_first_run_every_page_leads_to_it(db: None, client: Browser) -> None:
    for name in ("today", "diary", "party_list", "gear", "setup", "account_login"):
        answer = client.get(reverse(name))
        assert answer.status_code == 302
        assert answer.headers["Location"] == reverse("first_run"), name
    assert client.get(reverse("healthy")).json()["database"] == {"ok": True}
    for name, kind in (("robots.txt", "text/plain"), ("favicon.ico", "image/")):
        answer = client.get(f"/{name}")
        assert answer.status_code == 200
        assert answer.headers["Content-Type"].startswith(kind)
    assert b"Disallow: /\n" in b"".join(client.get("/robots.txt"))


# ------------------------------------------------------------------ Today and the Diary


def test_today_shows_the_next_trip_its_strip_and_what_is_missing(visitor: Visitor) -> None:
    page = visitor.go("/")
    trip = next_trip()
    assert f"Next out: {trip.offer}" in page.text
    assert trip.meeting_place in page.text
    assert "Mon 1 Jun 2026" in page.text
    assert page.html.count("day-strip-full") >= 1
    assert "not named" in page.text
    assert "wants a date and a price" in page.text
    assert "confirmed" in page.text


def test_the_same_day_in_words_stands_under_its_strip(visitor: Visitor) -> None:
    page = visitor.go("/")
    assert "The same day in words" in page.text
    for word in ("sunrise", "sunset", "high", "low", "session"):
        assert word in page.text.lower()


def test_a_trip_that_begins_today_is_still_the_next(season: Any, season_desk: Browser) -> None:
    trip = next_trip()
    with time_machine.travel(trip.starts_at + datetime.timedelta(hours=1), tick=False):
        page = Visitor(season_desk).go("/")
        assert f"Next out: {trip.offer}" in page.text
        assert page.address == "/"


def test_the_diary_shows_a_month_and_its_neighbours(visitor: Visitor) -> None:
    page = visitor.go(reverse("diary"))
    assert "June 2026" in page.text
    first = datetime.datetime(2026, 6, 1, tzinfo=datetime.UTC)
    count = Trip.objects.filter(
        starts_at__gte=first, starts_at__lt=first + datetime.timedelta(days=34)
    ).count()
    assert page.html.count("day-strip-mini") >= min(count, 5)
    page = visitor.follow("May")
    assert "May 2026" in page.text
    page = visitor.follow("April")
    assert page.address == f"{reverse('diary')}?month=2026-04"


@pytest.mark.parametrize(
    "month", ["1890-06", "2026-13", "June", "2026", "9999-12", "0001-01", "<script>", "2026-6-1"]
)
def test_a_month_that_cannot_be_is_this_one(visitor: Visitor, month: str) -> None:
    page = visitor.go(reverse("diary"), month=month)
    assert page.status == 200
    assert "June 2026" in page.text


@pytest.mark.parametrize("month", ["2026-03", "2026-10", "2024-02", "2000-01", "2099-12"])
def test_months_with_clock_changes_leap_days_and_ends_of_time_open(
    visitor: Visitor, month: str
) -> None:
    assert visitor.go(reverse("diary"), month=month).status == 200


# ------------------------------------------------------------------ a day is planned


def plan_form(**change: Any) -> dict[str, Any]:
    good = {
        "offer": str(Offer.objects.get(name="Open day").pk),
        "spot": str(Spot.objects.get(name="Wreck Bay").pk),
        "day": "2026-06-20",
        "places": "5",
    }
    return good | change


def test_looking_at_a_day_plans_nothing(visitor: Visitor) -> None:
    before = row_counts()
    page = visitor.go(reverse("trip_new"), **plan_form())
    assert page.status == 200
    assert "Sat 20 Jun 2026 at Wreck Bay" in page.text
    assert "Pick-up" in page.text
    assert row_counts() == before


def test_a_planned_day_is_for_sale(visitor: Visitor) -> None:
    page = visitor.go(reverse("trip_new"), **plan_form())
    page = visitor.send("Plan this day")
    assert "The day is planned." in page.told
    trip = Trip.objects.latest("pk")
    assert page.address == reverse("trip", args=[trip.pk])
    assert (trip.places, trip.status, trip.plan.spot.name) == (5, "tentative", "Wreck Bay")
    assert trip.starts_at < trip.plan.session_start < trip.plan.session_end < trip.ends_at
    assert broken() == []


def test_a_party_gets_its_day_its_hold_and_its_price_in_one_go(visitor: Visitor) -> None:
    party = PartyFactory(offer=Offer.objects.get(name="Open day"), heads=3)
    before = Quote.objects.count()
    page = visitor.go(reverse("trip_new"), party=str(party.pk), **plan_form())
    page = visitor.send(f"Plan it, hold it for {party.client.given_name} and draft the price")
    assert page.address == reverse("party", args=[party.pk])
    assert "Held for the party, with a price note to send." in page.told
    booking = Booking.objects.get(party=party)
    assert (booking.status, booking.heads, booking.trip.places_taken) == ("tentative", 3, 3)
    quote = Quote.objects.get(party=party)
    assert Quote.objects.count() == before + 1
    assert quote.total == Decimal(540)
    assert quote.cost_estimate["before_heads"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"offer": ""}, "This field is required."),
        ({"spot": "424242"}, "Select a valid choice."),
        ({"day": ""}, "This field is required."),
        ({"day": "20 June"}, "Enter a valid date."),
        ({"day": "1890-06-20"}, "has passed"),
        ({"day": "2026-05-31"}, "has passed"),
        ({"day": "0001-01-01"}, ""),
        ({"day": "9999-12-31"}, ""),
        ({"places": "0"}, "greater than or equal to 1"),
        ({"places": "200"}, "less than or equal to 60"),
        ({"places": "9"}, "Wreck Bay takes a party of 8 at most."),
        ({"places": "many"}, "Enter a whole number."),
    ],
)
def test_a_day_that_cannot_be_planned_is_refused_and_kept(
    season_desk: Browser, change: dict[str, str], says: str
) -> None:
    before = row_counts()
    typed = plan_form(**change)
    answer = season_desk.post(reverse("trip_new"), typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert says in page.replace("\N{NO-BREAK SPACE}", " ")
    assert "Traceback" not in page
    assert row_counts() == before
    for name in ("day", "places"):
        assert f'value="{typed[name]}"' in page or not typed[name], "what was typed stands there"


def test_an_empty_plan_names_what_is_missing(season_desk: Browser) -> None:
    before = row_counts()
    answer = season_desk.post(reverse("trip_new"), {})
    assert answer.status_code == 422
    assert answer.content.decode().count("This field is required.") >= 3
    assert row_counts() == before


def test_a_day_without_enough_light_says_so(season_desk: Browser) -> None:
    offer = Offer.objects.get(name="Party day")
    Offer.objects.filter(pk=offer.pk).update(fishing_hours=12, hours=13, night=False)
    spot = Spot.objects.get(name="North Strand")
    answer = season_desk.post(
        reverse("trip_new"), {"offer": offer.pk, "spot": spot.pk, "day": "2026-12-21"}
    )
    assert answer.status_code == 422
    assert "12 hours of light" in answer.content.decode()


def test_a_spot_without_a_tide_is_planned_by_light_and_says_so(visitor: Visitor) -> None:
    Spot.objects.update(tide_source=None)
    page = visitor.go(reverse("trip_new"), **plan_form())
    assert page.status == 200
    assert "has no tide source yet" in page.text
    page = visitor.send("Plan this day")
    assert "The day is planned." in page.told


@pytest.mark.parametrize("number", ["424242", "99999999999999999999999", "abc", "-1"])
def test_a_party_that_does_not_exist_is_not_found(season_desk: Browser, number: str) -> None:
    assert season_desk.get(reverse("trip_new"), {"party": number}).status_code == 404


def test_a_refused_hold_leaves_the_planned_day_and_nothing_half_done(
    visitor: Visitor,
) -> None:
    party = PartyFactory(offer=Offer.objects.get(name="Open day"), heads=3)
    visitor.go(reverse("trip_new"), party=str(party.pk), **plan_form(places="2"))
    page = visitor.send(f"Plan it, hold it for {party.client.given_name} and draft the price")
    assert "The day is planned." in page.told
    assert "Only 2 of 2 places are left" in page.told
    assert not Booking.objects.filter(party=party).exists()
    assert not Quote.objects.filter(party=party).exists()
    assert broken() == []


def test_a_price_that_cannot_be_written_takes_its_hold_back(visitor: Visitor) -> None:
    offer = Offer.objects.get(name="Open day")
    party = PartyFactory(offer=offer, heads=3)
    Offer.objects.filter(pk=offer.pk).update(basis="steps")  # and no step entered yet
    visitor.go(reverse("trip_new"), party=str(party.pk), **plan_form())
    page = visitor.send(f"Plan it, hold it for {party.client.given_name} and draft the price")
    assert "The day is planned." in page.told
    assert not Booking.objects.filter(party=party).exists(), "held without a price"
    assert Trip.objects.latest("pk").places_taken == 0
    assert broken() == []


# ------------------------------------------------------------------ a trip


def test_a_trip_shows_strip_people_gear_hazards_cost_and_papers(visitor: Visitor) -> None:
    trip = next_trip()
    page = trip_page(visitor, trip)
    for words in (
        "Family day",
        "Wreck Bay",
        "People",
        "Gear",
        "Gannet",
        "Hazards of this day",
        "Cost",
        "Trip direct",
        "Papers",
        "Trip sheet, for the clients (PDF)",
        "Check with your own authority.",
    ):
        assert words in page.text, words
    assert "None" not in page.text
    booking = Booking.objects.filter(trip=trip).exclude(status="cancelled")[0]
    for person in booking.party.participants.all():
        assert person.given_name in page.text


@pytest.mark.parametrize("number", [424242, 99999999999999999999999])
@pytest.mark.parametrize("name", ["trip", "plan_edit", "trip_safety", "prep"])
def test_a_trip_that_does_not_exist_is_not_found(
    season_desk: Browser, name: str, number: int
) -> None:
    answer = season_desk.get(reverse(name, args=[number]))
    assert answer.status_code == 404
    assert "Traceback" not in answer.content.decode()
    assert "<h1" in answer.content.decode()


def test_names_with_markup_are_shown_as_typed(visitor: Visitor) -> None:
    trip = next_trip()
    party = Party.objects.get(bookings__trip=trip)
    person = party.participants.all()[0]
    type(person).objects.filter(pk=person.pk).update(given_name=NASTY)
    type(party.client).objects.filter(pk=party.client_id).update(given_name=NASTY)
    Trip.objects.filter(pk=trip.pk).update(note=NASTY, meeting_place=NASTY)
    Offer.objects.filter(pk=trip.offer_id).update(name=NASTY)
    for address in (
        reverse("trip", args=[trip.pk]),
        reverse("party", args=[party.pk]),
        "/",
        reverse("diary"),
        reverse("safety"),
        reverse("party_list"),
    ):
        html = visitor.go(address).html
        assert "<script>alert" not in html, address
        assert "<b>Séamus" not in html, address
        assert "&lt;b&gt;Séamus&lt;/b&gt;" in html, address


def test_a_trip_without_a_plan_opens_and_says_so(visitor: Visitor) -> None:
    trip = next_trip()
    DayPlan.objects.filter(trip=trip).delete()
    page = trip_page(visitor, trip)
    assert "This trip has no plan yet." in page.text
    assert "trip-sheet.pdf" not in page.html
    assert "run-sheet.pdf" not in page.html
    assert visitor.go("/").status == 200
    assert visitor.go(reverse("diary")).status == 200
    assert visitor.go(reverse("safety")).status == 200


def test_a_trip_without_a_cost_basis_says_what_to_enter(visitor: Visitor) -> None:
    from guiding.days.models import CostBasis

    CostBasis.objects.all().delete()
    page = trip_page(visitor, next_trip())
    assert "There is no cost basis for" in page.text


def test_a_trip_is_called_off_with_a_reason_only(visitor: Visitor) -> None:
    trip = next_trip()
    trip_page(visitor, trip)
    page = visitor.send("Call the day off", reason=" ")
    assert "Say why the day is called off" in page.told
    trip.refresh_from_db()
    assert trip.status == "confirmed"
    page = visitor.send("Call the day off", reason="r" * 300)
    trip.refresh_from_db()
    assert (trip.status, page.status) == ("confirmed", 200)
    assert page.told
    visitor.send("Call the day off", reason="Swell over the stop limit")
    page = trip_page(visitor, trip)
    trip.refresh_from_db()
    assert trip.status == "cancelled"
    assert "Called off: Swell over the stop limit" in page.text
    assert "Call the day off" not in page.html
    assert broken() == []


def test_calling_off_a_day_that_is_only_held_keeps_the_books_sound(visitor: Visitor) -> None:
    trip = Trip.objects.filter(status="tentative", bookings__status="tentative")[0]
    trip_page(visitor, trip)
    visitor.send("Call the day off", reason="Wind")
    trip.refresh_from_db()
    assert (trip.status, trip.places_taken) == ("cancelled", 0)
    assert broken() == []


def test_a_step_that_does_not_follow_is_refused(season_desk: Browser) -> None:
    fished = Trip.objects.filter(status="fished")[0]
    for step in ("confirm", "call-off", "fished"):
        answer = season_desk.post(
            reverse("trip_move", args=[fished.pk, step]), {"reason": "again"}, follow=True
        )
        assert answer.status_code == 200
        fished.refresh_from_db()
        assert fished.status == "fished"
    assert season_desk.get(reverse("trip_move", args=[fished.pk, "fished"])).status_code == 405


def test_a_party_is_put_on_a_trip_that_stands(visitor: Visitor, season_desk: Browser) -> None:
    trip = Trip.objects.filter(
        offer__name="Open day", status__in=["tentative", "confirmed"], starts_at__gt=NOON
    ).order_by("places_taken")[0]
    taken = trip.places_taken
    party = PartyFactory(offer=trip.offer, heads=2)
    page = trip_page(visitor, trip)
    form = page.form("Hold")
    assert str(party.pk) in form.choices["party"]
    page = visitor.send("Hold", party=str(party.pk))
    assert page.address == reverse("party", args=[party.pk])
    trip.refresh_from_db()
    assert trip.places_taken == taken + 2
    again = season_desk.post(reverse("trip_book", args=[trip.pk]), {"party": party.pk}, follow=True)
    assert "This party is on this trip already." in again.content.decode()
    nobody = season_desk.post(reverse("trip_book", args=[trip.pk]), {}, follow=True)
    assert "Choose a party first." in nobody.content.decode()
    trip.refresh_from_db()
    assert trip.places_taken == taken + 2
    assert broken() == []


# ------------------------------------------------------------------ its plan


def plan_page(visitor: Visitor, trip: Trip) -> Page:
    return visitor.go(reverse("plan_edit", args=[trip.pk]))


def test_gear_and_quantities_of_a_plan_change(visitor: Visitor) -> None:
    trip = next_trip()
    form = plan_page(visitor, trip).form("craft")
    craft = form.choice("craft", "Tern")
    reel = next(value for value, words in form.choices["reels"].items() if "Reel 6" in words)
    page = visitor.send("craft", craft=craft, packs=None, reels=[reel], rods="2", bait_kg="3.25")
    assert "Plan saved." in page.told, page.problems
    plan = DayPlan.objects.get(trip=trip)
    assert (str(plan.craft), plan.rods, plan.bait_kg) == ("Tern", 2, Decimal("3.25"))
    assert [str(each) for each in plan.reels.all()] == ["Reel 6"]
    assert not plan.packs.exists()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"rods": "-1"}, "greater than or equal to 0"),
        ({"rods": "200"}, "200 cannot be used here: give 0 to 20."),
        ({"drop_m": "0"}, "0 cannot be used here: give 1 to 2000."),
        ({"drop_m": "far"}, "Enter a number."),
        ({"bait_g": "-5"}, ""),
        ({"road_km": "-1"}, ""),
        ({"sand_km": "nan"}, "Enter a number."),
        ({"guide_hours": "1000000"}, "digits"),
        ({"guide_hours": "-1"}, ""),
        ({"bait_kg": "-1"}, ""),
        ({"line_m": "-1"}, ""),
        ({"soak_min": "99999999"}, ""),
        ({"price_per_head": "-1"}, ""),
        ({"note": "n" * 4000}, "at most 3000 characters"),
        ({"craft": "424242"}, "Select a valid choice."),
        ({"packs": ["424242"]}, "Select a valid choice."),
    ],
)
def test_a_plan_that_cannot_be_is_refused_in_words(
    visitor: Visitor, change: dict[str, Any], says: str
) -> None:
    trip = next_trip()
    before = row_counts(), DayPlan.objects.filter(trip=trip).values().get()
    plan_page(visitor, trip)
    page = visitor.send("craft", **change)
    assert page.status == 422
    assert page.problems
    assert says in page.problems
    assert "onstraint" not in page.problems
    assert (row_counts(), DayPlan.objects.filter(trip=trip).values().get()) == before


def test_an_empty_plan_form_names_what_is_missing(season_desk: Browser) -> None:
    answer = season_desk.post(reverse("plan_edit", args=[next_trip().pk]), {})
    assert answer.status_code == 422
    assert "This field is required." in answer.content.decode()
