"""The page that reads a pasted message: proposals on the usual form, nothing saved."""

from __future__ import annotations

import re

import pytest
from django.test import Client as Browser

from bookings.models import Client, Party
from tests.bookings.reading import problems
from tests.bookings.rules.pasted.test_reading import ENGLISH
from tests.factories import ClientFactory

LATER = ENGLISH.replace("Saturday 12 June 2027", "12 June 2090")


def _field(page: str, name: str) -> str:
    tag = next(each for each in re.findall(r"<input[^>]*>", page) if f'name="{name}"' in each)
    value = re.search(r'value="([^"]*)"', tag)
    return value[1] if value else ""


def test_what_was_read_stands_in_the_form_and_nothing_is_saved(desk: Browser) -> None:
    answer = desk.post("/parties/paste/", {"text": LATER})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert 'action="/parties/new/"' in page
    assert _field(page, "given_name") == "Maeve"
    assert _field(page, "email") == "maeve@example.org"
    assert _field(page, "phone") == "+353209100123"
    assert (_field(page, "heads"), _field(page, "minors")) == ("4", "2")
    assert _field(page, "day_from") == "2090-06-12"
    assert "“two adults, two children”" in page
    assert "9, 12" in page
    assert not Client.objects.exists()
    assert not Party.objects.exists()


def test_the_form_as_proposed_opens_the_case(desk: Browser) -> None:
    page = desk.post("/parties/paste/", {"text": LATER}).content.decode()
    names = ("given_name", "family_name", "email", "phone", "heads", "minors", "day_from", "source")
    answer = desk.post(
        "/parties/new/", {name: _field(page, name) for name in names} | {"language": "de"}
    )
    assert answer.status_code == 302
    party = Party.objects.get()
    assert (str(party.client), party.heads, party.minors) == ("Maeve Skerry", 4, 2)
    assert party.client.language == "de"


def test_doubts_and_known_clients_are_said(desk: Browser) -> None:
    ClientFactory(given_name="Maeve", family_name="Skerry", email="MAEVE@example.org")
    page = desk.post(
        "/parties/paste/", {"text": LATER.replace("12 June 2090", "next weekend")}
    ).content.decode()
    assert "“next weekend” is no certain day: enter it yourself." in page
    assert "Known already: Maeve Skerry." in page


@pytest.mark.parametrize(
    ("text", "sentence"),
    [("", "There is no text."), ("\u200b", "There is no text."), ("y" * 20_001, "20,001 letters")],
)
def test_what_cannot_be_read_is_refused_and_kept(desk: Browser, text: str, sentence: str) -> None:
    answer = desk.post("/parties/paste/", {"text": text})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in problems(page)
    assert text in page


def test_markup_in_a_message_is_shown_as_written(desk: Browser) -> None:
    page = desk.post(
        "/parties/paste/", {"text": "<script>alert(1)</script> we are 3 people"}
    ).content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)" in page
