"""How a client pays: in the manner of the country, the same on paper, page, mail and trip sheet."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.db import IntegrityError
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from bookings.actions.party_links import make_party_link
from bookings.models import Booking, Business, Client, MoneyEntry
from bookings.sheets.late import late_money
from guiding.desk.sheets.money import entry_paper
from guiding.desk.sheets.reminding import reminder_values
from guiding.desk.sheets.statements import account_statement
from guiding.papers.account_statement import account_statement_pdf
from tests.factories_bookings import agreed
from tests.papers import reading
from tests.visit import Visitor

DAY = datetime.timedelta(days=1)
IBAN = "IE29AIBK93115212345678"  # the registry's own example
pytestmark = pytest.mark.usefixtures("business")

COUNTRIES: list[tuple[dict[str, str], list[str]]] = [
    # The numbers are published examples: `money_bank_account_cases` in fixtures/reference.
    (
        {"country": "GB", "bank_code": "089999", "account_number": "66374958", "currency": "GBP"},
        ["Sort code 08-99-99", "Account number 66374958"],
    ),
    (
        {"country": "NZ", "account_number": "01-0902-0068389-000", "currency": "NZD"},
        ["Account number 01-0902-0068389-000"],
    ),
    (
        {"country": "AU", "bank_code": "484799", "account_number": "123456", "currency": "AUD"},
        ["BSB 484-799", "Account number 123456"],
    ),
    (
        {"country": "US", "bank_code": "021000021", "account_number": "4567", "currency": "USD"},
        ["Routing number 021000021", "Account number 4567"],
    ),
    (
        {"country": "CA", "bank_code": "012345678", "account_number": "1234567", "currency": "CAD"},
        ["Transit and institution 45678-123", "Account number 1234567"],
    ),
    (
        {"country": "BO", "account_lines": "Banco Inventado\nCuenta 123", "currency": "BOB"},
        ["Banco Inventado", "Cuenta 123"],
    ),
    ({"country": "IE", "iban": IBAN, "currency": "GBP"}, ["IBAN IE29 AIBK 9311 5212 3456 78"]),
]


def owing(**ours: Any) -> Booking:
    """A day two months ahead whose deposit was billed yesterday, by a business made so."""
    Business.objects.update(**ours)
    start = timezone.now() + 60 * DAY
    return agreed(at=timezone.now() - DAY, starts_at=start, ends_at=start + DAY / 2)


def everything_said(booking: Booking, client: Browser) -> dict[str, str]:
    """Invoice, statement, client's page and reminder, as words."""
    business, invoice = Business.objects.get(), MoneyEntry.objects.get()
    later = (timezone.now() + 30 * DAY).date()
    statement = account_statement(
        booking.party.client, business=business, printed_at=timezone.now()
    )
    visitor = Visitor(client)
    pages = {
        "invoice": reading.text(entry_paper(invoice)),
        "statement": reading.text(account_statement_pdf(statement)),
        "page": visitor.go(f"/my/{make_party_link(party=booking.party)}/").text,
        "reminder": reminder_values(late_money([booking], on=later)[booking.pk], business)["pay"],
    }
    return {name: " ".join(words.replace(":", "").split()) for name, words in pages.items()}


@pytest.mark.parametrize(("ours", "lines"), COUNTRIES, ids=lambda one: str(one)[:20])
def test_the_account_is_told_in_the_manner_of_the_country(
    client: Browser, ours: dict[str, str], lines: list[str]
) -> None:
    booking = owing(**ours)
    said = everything_said(booking, client)
    label = MoneyEntry.objects.get().label
    for name, words in said.items():
        for line in lines:
            assert line in words, (name, line)
        assert f"INV {label}" in words or name == "statement", name
        assert "RF" not in words, name
        assert "Ask us how" not in words, name


def test_a_creditor_reference_needs_euros_and_an_iban(client: Browser) -> None:
    said = everything_said(owing(iban=IBAN), client)
    reference = MoneyEntry.objects.get().reference
    for name in ("invoice", "page", "reminder"):
        assert f"{reference[:4]} {reference[4:8]}" in said[name]
        assert "INV" not in said[name].replace("INVOICE", "")


def test_without_any_way_nothing_names_an_account_and_the_client_is_asked_to_ask(
    client: Browser,
) -> None:
    said = everything_said(owing(), client)
    for name, words in said.items():
        assert "Account of" not in words, name
        assert "To Marram Head" not in words, name
        assert "Ask us how to pay" in words, name


def test_a_page_to_pay_on_and_cash_are_told_without_an_account(client: Browser) -> None:
    link = "https://pay.example/marram"
    booking = owing(pay_link=link, cash_on_the_day=True)
    said = everything_said(booking, client)
    for name in ("invoice", "statement", "reminder"):
        assert link.replace(":", "") in said[name], name
    for name, words in said.items():
        assert "Or in cash on the day." in words, name
        assert "Ask us how" not in words, name
    page = client.get(f"/my/{make_party_link(party=booking.party)}/").content.decode()
    assert f'href="{link}"' in page


def test_a_german_client_reads_it_in_german(client: Browser) -> None:
    booking = owing(country="US", bank_code="021000021", account_number="4567")
    Client.objects.update(language="de")
    said = everything_said(Booking.objects.get(pk=booking.pk), client)
    for name in ("statement", "page", "reminder"):
        assert "Kontonummer 4567" in said[name], name


@pytest.fixture
def setup(desk: Browser) -> Visitor:
    visitor = Visitor(desk)
    visitor.go(reverse("business"))
    return visitor


def saved(visitor: Visitor, code: str, **typed: str) -> str:
    visitor.go(reverse("business"), country=code)
    zone = {} if code not in {"AU", "US", "CA"} else {"zone": "Europe/Dublin"}
    page = visitor.send("guide_name", **zone, **typed)
    return page.problems or page.told


@pytest.mark.parametrize(
    ("code", "typed", "kept"),
    [
        (
            "GB",
            {"bank_code": "08-99-99", "account_number": "66374958"},
            ("089999", "66374958", ""),
        ),
        ("NZ", {"account_number": "01-902-0068389-00"}, ("", "01-0902-0068389-000", "")),
        (
            "CA",
            {"bank_code": "45678-123", "account_number": "1234567"},
            ("012345678", "1234567", ""),
        ),
        ("BO", {"account_lines": "Cuenta 123", "emergency_number": "110"}, ("", "", "Cuenta 123")),
    ],
)
def test_an_account_is_kept_in_one_form(
    setup: Visitor, code: str, typed: dict[str, str], kept: tuple[str, ...]
) -> None:
    assert "Saved." in saved(setup, code, **typed)
    names = ("bank_code", "account_number", "account_lines")
    assert Business.objects.values_list(*names).get() == kept
    assert "Saved." in saved(setup, "DE")
    assert Business.objects.values_list(*names).get() == ("", "", ""), "not of that country"


@pytest.mark.parametrize(
    ("code", "typed", "says"),
    [
        ("GB", {"bank_code": "12-34-5", "account_number": "66374958"}, "A sort code has 6 digits"),
        ("GB", {"bank_code": "12-34-56"}, "account number is missing"),
        ("US", {"bank_code": "123456789", "account_number": "4567"}, "routing number"),
        ("NZ", {"account_number": "01-902-0068388-00"}, "does not fit"),
        ("NZ", {"account_number": "9" * 30}, "Write bank, branch, account"),
        ("DE", {"pay_link": "http://pay.example/"}, "must begin with https://"),
    ],
)
def test_an_account_that_cannot_be_is_refused(
    setup: Visitor, code: str, typed: dict[str, str], says: str
) -> None:
    assert says in saved(setup, code, **typed)
    assert Business.objects.get().country == "IE"


def test_each_country_asks_for_its_own_and_no_more(setup: Visitor) -> None:
    asked = {"bank_code", "account_number", "account_lines"}
    for code, wanted in {
        "GB": {"bank_code", "account_number"},
        "NZ": {"account_number"},
        "DE": set(),
        "BO": {"account_lines"},
    }.items():
        page = setup.go(reverse("business"), country=code)
        assert asked & set(page.form("guide_name").values) == wanted, code


def test_today_and_setup_say_that_no_way_to_pay_is_entered(desk: Browser) -> None:
    words = "No way to pay is entered"
    for address in ("/", reverse("setup")):
        Business.objects.update(cash_on_the_day=False)
        assert words in desk.get(address).content.decode()
        Business.objects.update(cash_on_the_day=True)
        assert words not in desk.get(address).content.decode()


@pytest.mark.parametrize(
    "wrong",
    [{"bank_code": "089999"}, {"account_number": "4567x"}, {"pay_link": "http://pay.example/"}],
)
def test_the_database_refuses_an_account_that_is_none(wrong: dict[str, str]) -> None:
    with pytest.raises(IntegrityError):
        Business.objects.update(**wrong)
