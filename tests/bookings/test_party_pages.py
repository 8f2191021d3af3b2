"""The inbox, a party's page and its forms, as a browser meets them."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.test import Client as Browser
from django.utils import timezone

from bookings.models import Business, Client, Participant, Party
from bookings.rules.birthdays import written_date
from tests.bookings.reading import problems, told
from tests.factories import (
    NOON,
    BookingFactory,
    ClientFactory,
    OfferFactory,
    ParticipantFactory,
    PartyFactory,
    TripFactory,
)
from tests.factories_bookings import quoted, sent

GOOD: dict[str, Any] = {
    "given_name": "Maeve",
    "family_name": "Skerry",
    "email": "maeve@example.org",
    "phone": "",
    "heads": "3",
    "minors": "1",
    "day_from": "2090-06-12",
    "day_until": "2090-06-14",
    "wishes": "First light, if we may.",
    "source": "a friend",
}
NASTY = "<script>alert(1)</script> & <b>Séamus</b>"


def test_an_enquiry_opens_a_case(desk: Browser) -> None:
    answer = desk.post("/parties/new/", GOOD)
    party = Party.objects.get()
    assert answer.status_code == 302
    assert answer.headers["Location"] == f"/parties/{party.pk}/"
    assert (party.client.given_name, party.heads, party.minors) == ("Maeve", 3, 1)
    assert party.day_from == datetime.date(2090, 6, 12)
    page = desk.get(f"/parties/{party.pk}/").content.decode()
    assert "Maeve Skerry" in page
    assert "Fri, 12 Jun 2090" in page.replace("\N{NO-BREAK SPACE}", " ") or "12 Jun 2090" in page
    assert "None" not in page


def test_somebody_known_by_mail_or_telephone_is_the_same_client(desk: Browser) -> None:
    desk.post("/parties/new/", GOOD | {"phone": "020 910 0123"})
    desk.post("/parties/new/", GOOD | {"email": "MAEVE@example.org", "phone": ""})
    desk.post("/parties/new/", GOOD | {"email": "", "phone": "+353 20 910 0123"})
    assert Client.objects.count() == 1
    assert Party.objects.count() == 3


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"given_name": ""}, "This field is required."),
        ({"email": "", "phone": ""}, "Give a mail address or a telephone number"),
        ({"email": "maeve at example"}, "Enter a valid email address."),
        ({"phone": "twelve"}, "is no telephone number of IE"),
        ({"heads": "0"}, "greater than or equal to 1"),
        ({"heads": "200"}, "less than or equal to 60"),
        ({"heads": "2.5"}, "Enter a whole number."),
        ({"heads": "2", "minors": "3"}, "3 minors do not fit in a party of 2."),
        ({"day_from": "1890-06-12"}, "The year 1890 is long past."),
        ({"day_from": "2019-06-12", "day_until": "2019-06-14"}, "This day has passed."),
        ({"day_from": "2090-06-15"}, "The last day wished for lies before the first one."),
        ({"day_from": "12th of June"}, "Enter a valid date."),
        ({"given_name": "M" * 300}, "at most 100 characters (it has 300)"),
        ({"wishes": "w" * 4000}, "at most 3000 characters"),
        ({"offer": "999999"}, "Select a valid choice."),
    ],
)
def test_a_wrong_enquiry_is_refused_with_a_sentence_and_kept(
    desk: Browser, change: dict[str, str], sentence: str
) -> None:
    answer = desk.post("/parties/new/", GOOD | change)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in problems(page)
    assert "First light, if we may." in page or "wishes" in change
    assert not Party.objects.exists()
    assert not Client.objects.exists()


def test_an_empty_enquiry_names_what_is_missing(desk: Browser) -> None:
    answer = desk.post("/parties/new/", {})
    assert answer.status_code == 422
    assert "This field is required." in problems(answer.content.decode())
    assert not Party.objects.exists()


def test_more_heads_than_the_offer_takes(desk: Browser) -> None:
    offer = OfferFactory(name="Ledge day", places=2)
    answer = desk.post("/parties/new/", GOOD | {"offer": str(offer.pk)})
    assert answer.status_code == 422
    assert "Ledge day takes 2 at most, not 3." in problems(answer.content.decode())
    assert not Party.objects.exists()


def test_markup_in_names_is_shown_as_typed(desk: Browser) -> None:
    desk.post("/parties/new/", GOOD | {"given_name": NASTY, "wishes": NASTY})
    party = Party.objects.get()
    ParticipantFactory(party=party, given_name=NASTY)
    for address in ("/parties/", f"/parties/{party.pk}/", f"/parties/?q={NASTY[:6]}"):
        page = desk.get(address).content.decode()
        assert "<script>alert" not in page
        assert "<b>Séamus" not in page
        assert "&lt;b&gt;Séamus&lt;/b&gt;" in page or "q=" in address


def test_the_inbox_says_what_each_case_needs_next(desk: Browser) -> None:
    PartyFactory(client=ClientFactory(given_name="Asks"))
    quoted(starts_at=NOON.replace(year=2090), ends_at=NOON.replace(year=2090, hour=20))
    sent(
        at=timezone.now(),
        starts_at=NOON.replace(year=2091),
        ends_at=NOON.replace(year=2091, hour=20),
    )
    booking = BookingFactory(
        party=PartyFactory(heads=2),
        trip=TripFactory(
            starts_at=NOON.replace(year=2092), ends_at=NOON.replace(year=2092, hour=20)
        ),
    )
    page = desk.get("/parties/").content.decode()
    needs = [
        "wants a date and a price",
        "price note not sent yet",
        "2 names missing",
        "has our price, no answer yet",
    ]
    places = [page.index(need) for need in needs]
    assert places == sorted(places)
    assert "4\N{NO-BREAK SPACE}open cases" in page
    booking.party.participants.create(given_name="One")
    assert "1 name missing" in desk.get("/parties/").content.decode()


def test_empty_lists_say_why(desk: Browser) -> None:
    assert "An enquiry starts one." in desk.get("/parties/").content.decode()
    assert "Nobody fits these words." in desk.get("/parties/?q=nobody").content.decode()
    assert desk.get("/parties/?page=99&state=closed").status_code == 200


def test_search_finds_names_mails_and_wishes(desk: Browser) -> None:
    found = PartyFactory(client=ClientFactory(given_name="Brona", family_name="Ray"), wishes="eels")
    PartyFactory(client=ClientFactory(given_name="Other"))
    for words in ("bron", "ray brona", "eels", "brona@"):
        page = desk.get("/parties/", {"q": words}).content.decode()
        assert f"/parties/{found.pk}/" in page
        assert "Other" not in page


def test_wishes_change_but_never_below_the_people_named(desk: Browser) -> None:
    party = PartyFactory(heads=3, offer=None)
    for _ in range(3):
        ParticipantFactory(party=party)
    answer = desk.post(f"/parties/{party.pk}/wishes/", {"heads": "2", "minors": "0"})
    assert answer.status_code == 422
    assert "3 people of this party are named." in problems(answer.content.decode())
    party.refresh_from_db()
    assert party.heads == 3
    answer = desk.post(f"/parties/{party.pk}/wishes/", {"heads": "4", "minors": "1"})
    assert answer.status_code == 302
    party.refresh_from_db()
    assert (party.heads, party.minors) == (4, 1)


def test_people_are_named_up_to_the_heads_and_taken_off_again(desk: Browser) -> None:
    party = PartyFactory(heads=1)
    address = f"/parties/{party.pk}/people/new/"
    person = {"given_name": "Ide", "born_on": "1961-04-30", "swims": "yes"}
    assert desk.post(address, person).status_code == 302
    answer = desk.post(address, person | {"given_name": "Second"})
    assert answer.status_code == 422
    assert "it has room for 1" in problems(answer.content.decode())
    named = Participant.objects.get()
    answer = desk.post(f"/parties/{party.pk}/people/{named.pk}/remove/", follow=True)
    assert "Ide is off the list." in told(answer.content.decode())
    assert not Participant.objects.exists()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"given_name": ""}, "This field is required."),
        ({"given_name": "I" * 300}, "at most 100 characters"),
        ({"born_on": "1890-01-01"}, "Born in 1890? Check the year of birth."),
        ({"born_on": "2090-01-01"}, "The date of birth lies in the future."),
        ({"born_on": "30 Feb 1980"}, "No calendar has this day."),
        ({"born_on": "30/04/61"}, "Write the year of birth with four digits, such as 30/04/1961."),
        ({"born_on": "x"}, "Write the date of birth as day, month, year, such as 30/04/1961."),
        ({"swims": "like a fish"}, "Select a valid choice."),
        ({"phone": "911!"}, "is no telephone number"),
        ({"guardian": "424242"}, "Select a valid choice."),
    ],
)
def test_a_wrong_person_is_refused(desk: Browser, change: dict[str, str], sentence: str) -> None:
    party = PartyFactory()
    person = {"given_name": "Ide", "swims": "yes"} | change
    answer = desk.post(f"/parties/{party.pk}/people/new/", person)
    assert answer.status_code == 422
    assert sentence in problems(answer.content.decode())
    assert not Participant.objects.exists()


@pytest.mark.parametrize(
    ("locale", "typed"), [("en_IE", "5/4/1961"), ("en_US", "4/5/1961"), ("de_DE", "5.4.1961")]
)
def test_a_birthday_is_typed_and_shown_as_the_business_writes_it(
    desk: Browser, locale: str, typed: str
) -> None:
    """It was year, month, day for everybody, and 5/4/1961 no date."""
    Business.objects.update(locale=locale)
    party = PartyFactory()
    sent = {"given_name": "Ide", "swims": "yes", "born_on": typed}
    assert desk.post(f"/parties/{party.pk}/people/new/", sent).status_code == 302
    ide = Participant.objects.get()
    assert ide.born_on == datetime.date(1961, 4, 5)
    page = desk.get(f"/parties/{party.pk}/people/{ide.pk}/").content.decode()
    assert f'value="{written_date(ide.born_on, locale)}"' in page


def test_a_person_of_another_party_is_not_found(desk: Browser) -> None:
    stranger = ParticipantFactory()
    party = PartyFactory()
    assert desk.get(f"/parties/{party.pk}/people/{stranger.pk}/").status_code == 404
    assert desk.post(f"/parties/{party.pk}/people/{stranger.pk}/remove/").status_code == 404
    assert desk.get("/parties/999999/").status_code == 404


def test_particulars_change(desk: Browser) -> None:
    party = PartyFactory()
    answer = desk.post(
        f"/parties/{party.pk}/client/",
        {"given_name": "Nessa", "email": "nessa@example.org", "language": "en", "phone": ""},
    )
    assert answer.status_code == 302
    party.client.refresh_from_db()
    assert str(party.client) == "Nessa"


def test_a_case_is_closed_with_a_reason_and_opened_again(desk: Browser) -> None:
    party = PartyFactory()
    answer = desk.post(f"/parties/{party.pk}/close/", {"reason": " "}, follow=True)
    assert "Say in a few words why" in told(answer.content.decode())
    party.refresh_from_db()
    assert party.state == "open"
    desk.post(f"/parties/{party.pk}/close/", {"reason": "went elsewhere"})
    answer = desk.post(f"/parties/{party.pk}/close/", {"reason": "again"}, follow=True)
    assert "already closed" in told(answer.content.decode())
    assert "went elsewhere" in desk.get("/parties/?state=closed").content.decode()
    desk.post(f"/parties/{party.pk}/reopen/")
    party.refresh_from_db()
    assert (party.state, party.closed_reason) == ("open", "")


def test_the_page_of_a_party_costs_the_same_whatever_is_on_it(
    desk: Browser, django_assert_max_num_queries: Any
) -> None:
    small, large = PartyFactory(heads=1, offer=None), PartyFactory(heads=30, offer=None)
    # One of each on the small one: what is not there at all is not asked for either.
    for party, many in ((small, 1), (large, 25)):
        for _ in range(many):
            ParticipantFactory(party=party)
            BookingFactory(party=party, trip=TripFactory())
    counts = []
    for party in (small, large):
        with django_assert_max_num_queries(25) as captured:
            assert desk.get(f"/parties/{party.pk}/").status_code == 200
        counts.append(len(captured.captured_queries))
    assert counts[0] == counts[1]


def test_strangers_and_helpers_are_kept_out(client: Browser, business: Any) -> None:
    party = PartyFactory()
    for address in ("/parties/", f"/parties/{party.pk}/", "/setup/offers/"):
        answer = client.get(address)
        assert answer.status_code == 302
        assert answer.headers["Location"].startswith("/account/login/")
    assert client.post("/parties/new/", GOOD).status_code == 302
    assert Party.objects.count() == 1
