"""The first run and the business: entered once, changed later, refused in words."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import Group, User
from django.test import Client as Browser
from django.urls import reverse

from bookings.models import Business
from tests.season import row_counts
from tests.visit import Visitor

GOOD = {
    "name": "Marram Head Shore Days",
    "guide_name": "Orla Tern",
    "email": "orla@marramhead.example",
    "phone": "+353 20 910 0100",
    "country": "IE",
    "zone": "Europe/Dublin",
    "currency": "EUR",
    "locale": "en_IE",
    "units": "metric",
    "paper": "A4",
    "emergency_number": "112",
    "password": "far-beach-at-low-water",
}


def test_the_first_run_makes_business_owner_and_roles(db: None, client: Browser) -> None:
    visitor = Visitor(client)
    visitor.go("/")
    visitor.send("country", country="IE")
    page = visitor.send(**GOOD)
    assert page.address == reverse("setup")
    business, owner = Business.objects.get(), User.objects.get()
    assert (business.name, business.is_demo) == ("Marram Head Shore Days", False)
    assert business.phone == "+353209100100", "kept as an international number"
    assert owner.is_superuser
    assert owner.check_password(GOOD["password"])
    assert {"helper", "bookkeeper"} <= set(Group.objects.values_list("name", flat=True))
    assert GOOD["password"] not in page.html


BAD: list[tuple[dict[str, str], str]] = [
    ({"name": ""}, "This field is required."),
    ({"name": "N" * 300}, "at most 100 characters (it has 300)"),
    ({"guide_name": "G" * 300}, "at most 100 characters"),
    ({"email": "orla at marram"}, "Enter a valid email address."),
    ({"zone": "Europe/Atlantis"}, "is no time zone"),
    ({"zone": "../../etc/passwd"}, "is no time zone"),
    ({"currency": "EURO"}, "EURO is not one of the available choices"),
    ({"currency": "ZZZ"}, "ZZZ"),
    ({"currency": "€"}, ""),
    ({"locale": "xx_YY"}, "xx_YY"),
    ({"locale": "<b>"}, ""),
    ({"country": "Ireland"}, "Ireland is not one of the available choices"),
    ({"country": "ZZ"}, "ZZ"),
    ({"phone": "ring me"}, "is no telephone number"),
    ({"units": "fathoms"}, "Select a valid choice."),
    ({"paper": "A3"}, "Select a valid choice."),
]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        *BAD,
        ({"password": "short"}, "too short"),
        ({"password": "password123"}, "too common"),
        ({"password": ""}, "This field is required."),
    ],
)
def test_a_first_run_that_cannot_be_is_refused_and_kept(
    db: None, client: Browser, change: dict[str, str], says: str
) -> None:
    before = row_counts()
    visitor = Visitor(client)
    visitor.go(reverse("first_run"), country="IE")
    page = visitor.send(**(GOOD | change))
    assert page.status == 422
    assert page.problems
    assert says in page.problems
    assert "onstraint" not in page.problems
    assert page.form("name").values["emergency_number"] == "112"
    assert not page.form("name").values["password"], "a password never comes back"
    after = row_counts()
    assert {name: count for name, count in after.items() if count != before[name]} == {}


FOLLOWS = [
    ("NZ", "Pacific/Auckland", "NZD en_NZ metric A4 111"),
    ("DE", "Europe/Berlin", "EUR de_DE metric A4 112"),
    ("US", "America/Chicago", "USD en_US imperial Letter 911"),
    ("NA", "Africa/Windhoek", "NAD en_NA metric A4 112"),
]


@pytest.mark.parametrize(("code", "zone", "follows"), FOLLOWS)
def test_the_country_is_chosen_and_the_rest_follows(
    db: None, client: Browser, code: str, zone: str, follows: str
) -> None:
    visitor = Visitor(client)
    visitor.go("/")
    visitor.send("country", country=code)
    typed = {name: GOOD[name] for name in ("name", "guide_name", "email", "password")}
    # Of the many zones of one country none is proposed for all.
    page = visitor.send(**typed, **({"zone": zone} if code == "US" else {}))
    assert page.address == reverse("setup"), page.problems
    names = ("country", "zone", "currency", "locale", "units", "paper", "emergency_number")
    assert Business.objects.values_list(*names).get() == (code, zone, *follows.split())


def test_a_country_of_many_zones_asks_for_one_and_lists_its_own_first(
    db: None, client: Browser
) -> None:
    visitor = Visitor(client)
    page = visitor.go(reverse("first_run"), country="AU")
    zones = list(page.form("name").choices["zone"])
    assert zones[0] == page.form("name").values["zone"] == ""
    assert all(zone.startswith(("Australia/", "Antarctica/")) for zone in zones[1:13])
    page = visitor.send(name="Somebody")
    assert page.status == 422
    assert not Business.objects.exists()


def test_a_number_where_sources_disagree_is_unconfirmed_until_checked(
    db: None, client: Browser
) -> None:
    visitor = Visitor(client)
    doubt = "Sources disagree for South Africa. Check with your local authority."
    page = visitor.go(reverse("first_run"), country="ZA")
    assert "South Africa. Another country" in page.text
    assert doubt in page.text
    typed = {name: GOOD[name] for name in ("name", "guide_name", "email", "password")}
    assert doubt in visitor.send(**typed).text, "Setup says what is missing"
    assert doubt in visitor.go("/").text
    visitor.go(reverse("business"))
    assert "Saved." in visitor.send("guide_name", emergency_checked="on").told
    assert doubt not in visitor.go("/").text


def test_another_country_in_setup_is_proposed_and_kept_only_when_saved(visitor: Visitor) -> None:
    page = visitor.go(reverse("business"), country="NZ")
    values = page.form("guide_name").values
    assert (values["zone"], values["currency"], values["locale"]) == (
        "Pacific/Auckland",
        "NZD",
        "en_NZ",
    )
    assert values["guide_name"] == "Orla Tern"
    assert Business.objects.get().country == "IE"
    assert "Saved." in visitor.send("guide_name").told
    business = Business.objects.get()
    assert (business.country, business.emergency_number) == ("NZ", "111")


def test_a_country_cut_short_shows_by_its_zone(desk: Browser) -> None:
    Business.objects.update(country="NE", zone="Pacific/Auckland")
    assert "Pacific/Auckland is no time zone of Niger." in desk.get("/").content.decode()


def test_an_empty_first_run_names_what_is_missing(db: None, client: Browser) -> None:
    answer = client.post(reverse("first_run"), {})
    assert answer.status_code == 422
    assert answer.content.decode().count("This field is required.") >= 4
    assert not Business.objects.exists()


def test_a_second_first_run_is_not_possible(db: None, client: Browser) -> None:
    client.post(reverse("first_run"), GOOD)
    answer = client.post(reverse("first_run"), GOOD | {"name": "Another", "email": "b@c.example"})
    assert answer.status_code == 302
    assert Business.objects.get().name == "Marram Head Shore Days"
    assert User.objects.count() == 1


@pytest.fixture
def visitor(season_desk: Browser) -> Visitor:
    visitor = Visitor(season_desk)
    visitor.go(reverse("business"))
    return visitor


def test_the_business_changes_without_a_restart(visitor: Visitor) -> None:
    page = visitor.send(name="Marram Head Angling", zone="Europe/Lisbon", currency="USD")
    assert "Saved." in page.told, page.problems
    business = Business.objects.get()
    assert (business.name, business.zone, business.currency) == (
        "Marram Head Angling",
        "Europe/Lisbon",
        "USD",
    )
    assert "Marram Head Angling" in visitor.go("/").html


def test_how_the_business_takes_money_is_set(visitor: Visitor) -> None:
    page = visitor.send(
        bic="aaaaie2d",
        tax_basis="exclusive",
        tax_number="IE1234567X",
        tax_exempt_reason="Small business, no tax is charged.",
        balance_days="10",
    )
    assert "Saved." in page.told, page.problems
    business = Business.objects.get()
    assert (business.bic, business.tax_basis, business.tax_number, business.balance_days) == (
        "AAAAIE2D",
        "exclusive",
        "IE1234567X",
        10,
    )
    assert business.tax_exempt_reason == "Small business, no tax is charged."


@pytest.mark.parametrize(
    ("change", "says"),
    [
        *BAD,
        ({"iban": "IE12 3456"}, "IBAN"),
        ({"bic": "no bank"}, "is no BIC"),
        ({"tax_basis": "perhaps"}, "Select a valid choice."),
        ({"tax_exempt_reason": "x" * 201}, "at most 200 characters"),
        ({"balance_days": "366"}, "less than or equal to 365"),
        ({"insurance": "i" * 700}, "at most 600 characters"),
    ],
)
def test_a_business_that_cannot_be_is_refused_and_nothing_changes(
    visitor: Visitor, change: dict[str, str], says: str
) -> None:
    before: Any = Business.objects.values().get()
    page = visitor.send("guide_name", **change)
    assert page.status == 422
    assert page.problems
    assert says in page.problems
    assert "onstraint" not in page.problems
    assert Business.objects.values().get() == before
    assert visitor.go("/").status == 200


def test_markup_in_the_name_of_the_business_is_shown_as_typed(visitor: Visitor) -> None:
    visitor.send("guide_name", name="<script>alert(1)</script> & <b>Sons</b>")
    for address in ("/", reverse("setup"), reverse("diary")):
        html = visitor.go(address).html
        assert "<script>alert" not in html
        assert "&lt;b&gt;Sons&lt;/b&gt;" in html
