"""The pages of the catch: two presses, warned but not refused, put right; and where it is told."""

from __future__ import annotations

import datetime
import io
import uuid
from typing import Any

import pypdf
import pytest
import time_machine
from django.contrib.auth.models import Group, User
from django.test import Client
from django.urls import reverse

from bookings.models import Booking, Business, Message, Trip, TripGuide
from bookings.models import Client as Person
from guiding.days.actions.catches import log_catch
from guiding.days.models import Catch, SpeciesRule
from guiding.desk.actions.first_run import make_roles
from guiding.desk.actions.messages import run_scheduler
from guiding.desk.actions.telling import send_by_hand
from guiding.desk.sheets.catches import fish_facts
from guiding.desk.sheets.gather import letterhead
from guiding.desk.sheets.languages import in_language
from guiding.papers.formats import Formats
from tests.factories import BookingFactory, ParticipantFactory, PartyFactory, UserFactory
from tests.factories_days import DayPlanFactory, SpeciesRuleFactory
from tests.season import NOON
from tests.visit import Visitor

pytestmark = pytest.mark.django_db

NOW = datetime.datetime(2026, 6, 13, 9, 0, tzinfo=datetime.UTC)


@pytest.fixture(autouse=True)
def on_the_beach():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def trip(business: Any) -> Trip:
    trip = DayPlanFactory(trip__status="confirmed").trip
    party = PartyFactory(client__given_name="Anke", client__language="de", heads=2)
    BookingFactory(trip=trip, party=party)
    ParticipantFactory(party=party, given_name="Anke")
    return trip


@pytest.fixture
def bass(business: Any) -> SpeciesRule:
    return SpeciesRuleFactory(
        name_en="Bass", name_de="Wolfsbarsch", least_mm=440, bag_limit=2,
        closed_from=datetime.date(2000, 2, 1), closed_to=datetime.date(2000, 3, 31),
    )  # fmt: skip


@pytest.fixture
def visitor(desk: Client) -> Visitor:
    return Visitor(desk)


def press(browser: Client, trip: Trip, species: SpeciesRule, **told: str) -> Any:
    fish = told.pop("fish", f"{species.pk} {uuid.uuid4()}")
    address = reverse("fish_log", args=[trip.pk])
    return browser.post(address, {"fish": fish, "fate": "released", "count": "1"} | told)


def shown(browser: Client, trip: Trip) -> str:
    return browser.get(reverse("fish", args=[trip.pk])).content.decode().replace("\u00a0", " ")


def test_two_presses_log_a_released_fish(
    visitor: Visitor, desk: Client, trip: Trip, bass: SpeciesRule
) -> None:
    visitor.go(reverse("trip", args=[trip.pk]))
    page = visitor.follow("Fish")
    assert "No fish yet." in page.text
    html = page.html
    value = html.split('name="fish"')[1].split('value="')[1].split('"')[0]
    assert value.startswith(f"{bass.pk} ")
    for _ in range(2):  # the same press, delivered twice
        assert press(desk, trip, bass, fish=value).status_code == 302
    row = Catch.objects.get()
    assert (row.species, row.kept, row.count, row.at) == (bass, False, 1, NOW)
    assert row.entered_by is not None
    assert "1 fish, 0 kept" in shown(desk, trip)
    assert value not in shown(desk, trip)  # the next page has presses of its own


def test_a_kept_fish_under_size_is_logged_and_named_with_number_and_limit(
    desk: Client, trip: Trip, bass: SpeciesRule
) -> None:
    answer = press(desk, trip, bass, length_mm="38", fate="kept")
    assert answer.status_code == 302
    row = Catch.objects.get()
    assert (row.length_mm, row.kept) == (380, True)
    page = shown(desk, trip)
    assert "Bass of 38 cm kept: the shortest that may be kept is 44 cm." in page
    assert "If it lives, let it go." in page
    assert "write down what" in page
    assert "Check with your own fishery authority." in page
    assert desk.post(reverse("fish_release", args=[row.pk])).status_code == 302
    page = shown(desk, trip)
    assert "shortest that may be kept" not in page
    assert [one.kept for one in Catch.objects.filter(struck_out_at=None)] == [False]
    assert desk.post(reverse("fish_release", args=[row.pk])).status_code == 302  # pressed twice
    assert Catch.objects.filter(struck_out_at=None).count() == 1


@pytest.mark.parametrize(
    ("rule", "fish", "says"),
    [
        ({"protected": True}, {}, "Tope is protected: every one must be released."),
        (
            {"closed_from": datetime.date(2000, 6, 1), "closed_to": datetime.date(2000, 6, 30)},
            {},
            "Tope kept in the closed season, 1 June to 30 June.",
        ),
        ({"most_mm": 900}, {"length_mm": "95"}, "the longest that may be kept is 90 cm."),
        ({"bag_limit": 1}, {"count": "3"}, "3 kept on one day, the limit is 2, 1 for each of 2"),
        ({"least_mm": 400}, {}, "kept and not measured: the shortest that may be kept is 40 cm."),
        ({"source": ""}, {}, "Tope kept, and no rule is on record for it."),
        (
            {"bag_limit": 5, "checked_on": datetime.date(2025, 5, 1)},
            {},
            "The rule for Tope was last checked:",
        ),
    ],
)
def test_each_fault_of_a_kept_fish_is_said(
    desk: Client, trip: Trip, rule: dict[str, Any], fish: dict[str, str], says: str
) -> None:
    tope = SpeciesRuleFactory(name_en="Tope", **rule)
    assert press(desk, trip, tope, fate="kept", **fish).status_code == 302
    assert says in shown(desk, trip)
    Catch.objects.update(kept=False)
    shown(desk, trip)  # what was told once is told once
    assert says not in shown(desk, trip)


def test_a_press_that_cannot_be_keeps_what_was_typed(
    desk: Client, trip: Trip, bass: SpeciesRule
) -> None:
    for told in ({"length_mm": "long"}, {"count": "0"}, {"count": "2", "length_mm": "50"}):
        answer = press(desk, trip, bass, fate="kept", **told)
        assert answer.status_code == 422
        page = answer.content.decode()
        assert "Not logged" in page
        assert all(f'value="{one}"' in page for one in told.values())
        assert 'value="kept" checked' in page
    for wrong in ("", "1", f"{bass.pk} no-key", f"424242 {uuid.uuid4()}"):
        assert press(desk, trip, bass, fish=wrong).status_code == 422
    assert not Catch.objects.exists()


def test_imperial_houses_read_and_write_inches(
    desk: Client, business: Any, trip: Trip, bass: SpeciesRule
) -> None:
    business.units = "imperial"
    business.save()
    press(desk, trip, bass, length_mm="20")
    assert Catch.objects.get().length_mm == 508
    page = shown(desk, trip)
    assert "20 in" in page
    assert "17.3 in" in desk.get(reverse("species_list")).content.decode().replace("\u00a0", " ")


def test_everything_is_said_on_the_long_page_and_corrected_there(
    visitor: Visitor, trip: Trip, bass: SpeciesRule
) -> None:
    person = trip.bookings.get().party.participants.get()
    visitor.go(reverse("fish_new", args=[trip.pk]))
    page = visitor.send("", species="", other="")
    assert page.status == 422
    assert "Choose the species" in page.problems
    page = visitor.send(
        "", other="Rockling", length_mm="12 in", mass_g="250 g", fate="kept",
        person=str(person.pk), rod="Rod 2", bait="crab", note="Gill-hooked.",
    )  # fmt: skip
    assert page.address == reverse("fish", args=[trip.pk])
    row = Catch.objects.get()
    assert (row.length_mm, row.mass_g, row.kept, row.person) == (305, 250, True, person)
    assert (str(row.species), row.note) == ("Rockling", "Gill-hooked.")
    visitor.go(reverse("fish_change", args=[row.pk]))
    assert visitor.page is not None
    assert visitor.page.form().values["length_mm"] == "12 in"
    visitor.send("", species=str(bass.pk), fate="released")
    row.refresh_from_db()
    assert row.struck_out_reason == "corrected"
    new = Catch.objects.get(corrects=row)
    assert (new.species, new.kept, new.length_mm, new.at) == (bass, False, 305, row.at)


def test_a_strike_takes_it_out_of_the_sums_and_stays_readable(
    desk: Client, trip: Trip, bass: SpeciesRule
) -> None:
    press(desk, trip, bass, count="3")
    press(desk, trip, bass)
    three = Catch.objects.get(count=3)
    assert desk.post(reverse("fish_strike", args=[three.pk])).status_code == 302
    page = shown(desk, trip)
    assert "1 fish, 0 kept" in page
    assert "logged by mistake" in page


def test_before_the_day_nothing_is_logged(desk: Client, trip: Trip, bass: SpeciesRule) -> None:
    with time_machine.travel(trip.starts_at - datetime.timedelta(days=2)):
        assert "once the trip has begun" in shown(desk, trip)
        assert press(desk, trip, bass).status_code == 422
    assert not Catch.objects.exists()


def test_a_helper_logs_fish_only_on_a_trip_they_guide(
    client: Client, trip: Trip, bass: SpeciesRule
) -> None:
    make_roles()
    helper: User = UserFactory()
    helper.groups.add(Group.objects.get(name="helper"))
    client.force_login(helper, backend="allauth.account.auth_backends.AuthenticationBackend")
    page = shown(client, trip)
    assert 'name="fish"' not in page
    assert press(client, trip, bass).status_code == 403
    TripGuide.objects.create(trip=trip, user=helper)
    assert 'name="fish"' in shown(client, trip)
    assert press(client, trip, bass).status_code == 302
    row = Catch.objects.get()
    assert row.entered_by == helper
    assert client.post(reverse("fish_strike", args=[row.pk])).status_code == 302
    TripGuide.objects.all().delete()
    assert client.post(reverse("fish_strike", args=[row.pk])).status_code == 403


def test_species_are_entered_refused_and_listed(visitor: Visitor, business: Any) -> None:
    visitor.go(reverse("species_new"))
    page = visitor.send("", name_en="Bass", least_mm="44", bag_limit="2")
    assert page.status == 422
    assert "Say who set the limits" in page.text
    page = visitor.send("", source="Demo board", checked_on="2026-05-01")
    assert page.address == reverse("species_list")
    rule = SpeciesRule.objects.get()
    assert (rule.least_mm, rule.bag_limit) == (440, 2)
    assert "from 44 cm, 2 a person and day" in page.text.replace("\u00a0", " ")
    assert "check again" not in page.text
    with time_machine.travel(NOW + datetime.timedelta(days=400)):
        visitor.client.force_login(
            User.objects.get(), backend="allauth.account.auth_backends.AuthenticationBackend"
        )
        assert "check again" in visitor.go(reverse("species_list")).text


def test_the_year_is_summed_and_downloaded(desk: Client, trip: Trip, bass: SpeciesRule) -> None:
    press(desk, trip, bass, length_mm="51.5")
    page = desk.get(reverse("catch_year")).content.decode().replace("\u00a0", " ")
    assert "1 fish on 1 day" in page
    assert "51.5 cm" in page
    answer = desk.get(reverse("catch_year_file", args=[2026]))
    assert answer["Content-Disposition"] == 'attachment; filename="catch-2026.csv"'
    table = b"".join(answer.streaming_content).decode()  # type: ignore[attr-defined]
    assert "Bass,1,0,1,51.5" in table
    assert desk.get(reverse("catch_year_file", args=[1800])).status_code == 404


# ---------------------------------------------------------------- told


def _thanks(trip: Trip) -> dict[str, str]:
    rows = send_by_hand(
        trip_pk=trip.pk, kind="thanks", subject="", body="", once=uuid.uuid4(), at=NOW
    )
    return {row.to_name: row.body for row in rows}


def test_thanks_tell_each_party_its_fish_in_its_language(trip: Trip, bass: SpeciesRule) -> None:
    party = PartyFactory(client__given_name="Brid", client__family_name="", heads=2)
    BookingFactory(trip=trip, party=party)
    brid = ParticipantFactory(party=party, given_name="Brid")
    anke = trip.bookings.exclude(party=party).get().party.participants.get()
    dab = SpeciesRuleFactory(name_en="Dab")
    facts: dict[str, Any] = {"trip": trip, "at": NOW, "now": NOW}
    log_catch(species=bass, person=anke, length_mm=625, **facts)
    log_catch(species=bass, person=brid, length_mm=500, kept=True, **facts)
    log_catch(species=dab, **facts)
    log_catch(species=dab, count=2, **facts)
    told = _thanks(trip)
    german = told[str(anke.party.client)]
    assert "Anke: Wolfsbarsch, 62,5 cm, zurückgesetzt\n3 × Dab, zurückgesetzt" in german
    assert "50 cm" not in german
    assert "Brid" not in german
    english = told["Brid"]
    assert "Brid: Bass, 50 cm, kept\n3 × Dab, released" in english
    assert "Anke" not in english
    assert "62.5" not in english


def test_thanks_of_a_day_without_fish_say_so_kindly_and_typed_words_win(
    trip: Trip, bass: SpeciesRule
) -> None:
    assert "Schön, dass Sie dabei waren." in next(iter(_thanks(trip).values()))
    log_catch(trip=trip, species=bass, at=NOW, now=NOW)
    (row,) = send_by_hand(
        trip_pk=trip.pk, kind="thanks", subject="", body="", catch="Eine Krabbe.",
        once=uuid.uuid4(), at=NOW,
    )  # fmt: skip
    assert "Eine Krabbe." in row.body
    assert "Wolfsbarsch" not in row.body


def _words(content: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_the_season_statement_sums_the_fish(desk: Client, trip: Trip, bass: SpeciesRule) -> None:
    before = _words(desk.get(reverse("season_file", args=[2026])).content)
    assert "Fish of the season" not in before
    press(desk, trip, bass, length_mm="51.5", fate="kept")
    press(desk, trip, bass, count="4")
    after = _words(desk.get(reverse("season_file", args=[2026])).content)
    assert "Fish of the season" in after
    assert "Bass 5 1 4 51.5 cm" in after


def test_the_demo_has_fish_within_its_invented_rules(season_desk: Client) -> None:
    with time_machine.travel(NOON, tick=False):
        assert Catch.objects.count() > 20
        assert Catch.objects.exclude(struck_out_at=None).count() == 1
        limited = SpeciesRule.objects.exclude(checked_on=None)
        assert limited
        assert all("Invented for the demo" in one.source for one in limited)
        for trip in Trip.objects.filter(pk__in=Catch.objects.values("trip")):
            assert trip.status == "fished"
            assert "note-stop" not in shown(season_desk, trip)


def test_thanks_by_rule_carry_the_fish(season: Any) -> None:
    with time_machine.travel(NOON, tick=False):
        trip = Trip.objects.filter(starts_at__gt=NOON, status="confirmed").order_by("starts_at")[0]
        booking = Booking.objects.filter(trip=trip, status="confirmed")[0]
        Person.objects.filter(pk=booking.party.client_id).update(language="en")
        species = SpeciesRule.objects.get(name_en="Bass")
        log_catch(trip=trip, species=species, at=trip.ends_at, now=trip.ends_at, length_mm=600)
        Trip.objects.filter(pk=trip.pk).update(status="fished")
        run_scheduler(at=trip.ends_at + datetime.timedelta(hours=30))
        row = Message.objects.get(trip=trip, kind="thanks", party=booking.party)
        assert "Bass, 60 cm, released" in row.body


def test_the_trip_sheet_says_what_may_be_kept_on_its_day(
    desk: Client, trip: Trip, bass: SpeciesRule
) -> None:
    SpeciesRuleFactory(name_en="Tope", name_de="Hundshai", protected=True, most_mm=None)
    SpeciesRuleFactory(name_en="Weever", least_mm=None, bag_limit=None, source="", checked_on=None)
    day = trip.starts_at.date()
    head = in_language(letterhead(Business.objects.get(), number="T1", printed_at=NOW), "de")
    german, english = Formats(head), Formats(in_language(head, "en"))

    facts = fish_facts(day, english)
    assert [(one.species, one.min_length_mm, one.bag) for one in facts.limits] == [
        ("Bass", 440, 2),
        ("Tope", None, 0),
    ]
    assert facts.limits_source == bass.source
    assert facts.limits_checked_on == bass.checked_on
    bass.closed_from, bass.closed_to = day.replace(month=1), day.replace(month=12)
    bass.most_mm = 700
    bass.save()
    limit = fish_facts(day, german).limits[0]
    assert (limit.species, limit.bag) == ("Wolfsbarsch", 0)
    assert limit.note == "geschont bis 13. Dez., keiner über 70 cm"

    paper = desk.get(reverse("trip_paper", args=[trip.pk, "trip-sheet.pdf"]))
    assert "closed until 13 Dec, none above 70 cm" in _words(paper.content)
