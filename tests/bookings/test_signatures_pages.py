"""The signing pages as a phone meets them, and every link tried at every other person's door."""

from __future__ import annotations

import datetime
import itertools
import re
from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import Permission
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser

from bookings.actions.people import name_guardian
from bookings.actions.texts import publish_text, save_draft
from bookings.models import (
    Booking,
    Business,
    Guardian,
    HealthNote,
    OwedCopy,
    Participant,
    Signature,
    SigningLink,
    TextVersion,
    Trip,
    TripGuide,
)
from bookings.queries.evidence import check_chain
from bookings.queries.signatures import outstanding
from bookings.queries.signers import Signer, of_guardian, of_person
from bookings.sheets.sign_words import DE, EN, REFUSALS, WORDS
from tests.bookings.reading import in_one_line, problems, told
from tests.factories import NOON, UserFactory
from tests.factories_signing import CHILD, booked_trip, link_of, loop, on_board, signed
from tests.photographs import photograph

pytestmark = pytest.mark.django_db
FIELD = re.compile(r"{(\w+)}")


@pytest.fixture(autouse=True)
def at_noon() -> Iterator[None]:
    cache.clear()
    with time_machine.travel(NOON, tick=False):
        yield
    cache.clear()


def door(signer: Signer, trip: Trip, **more: Any) -> str:
    return f"/sign/{link_of(signer, trip, **more)[1]}/"


def filled(browser: Browser, address: str, **changes: str) -> dict[str, str]:
    """What the page's form sends when it is filled in, with the hidden fields the page gave."""
    page = browser.get(address).content.decode()
    hidden = {
        name: page.split(f'name="{name}" value="', 1)[1].split('"', 1)[0]
        for name in ("once", "texts")
    }
    answers = {
        "signer_name": "Maeve Skerry",
        "typed": "Maeve Skerry",
        "agrees": "on",
        "allergy": "no",
        "medicine": "no",
        "swims": "yes",
        "photos": "yes",
    }
    return hidden | answers | changes


def test_everybody_signs_without_a_script(client: Browser) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve", family_name="Skerry", email="maeve@example.org")
    address = door(of_person(maeve), trip)
    start = client.get(address)
    assert start.status_code == 200
    page = start.content.decode()
    assert "Read and sign" in page
    assert "None" not in page
    form = f"{address}{maeve.pk}/"
    answer = client.post(form, filled(client, form))
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith(address)
    page = client.get(address).content.decode()
    assert "Thank you. Everything is signed." in page
    assert outstanding(trip, at=NOON).ready
    assert set(Signature.objects.values_list("method", flat=True)) == {"link"}
    assert check_chain().whole


@pytest.mark.parametrize(
    ("language", "said", "comes"),
    [
        ("en", "Signed.", "A copy comes by mail to maeve@example.org."),
        ("de", "Unterschrieben.", "Eine Kopie kommt per Mail an maeve@example.org."),
    ],
)
@pytest.mark.parametrize("asked", [True, False])
def test_the_page_says_that_a_copy_comes_where_one_was_asked_for(
    client: Browser, language: str, said: str, comes: str, asked: bool
) -> None:
    trip = booked_trip(heads=1)
    # The address we know is offered; whoever empties the field is told of no mail, and gets none.
    maeve = on_board(trip, "Maeve", family_name="Skerry", email="maeve@example.org")
    address = door(of_person(maeve), trip)
    form = f"{address}{maeve.pk}/?lang={language}"
    sent = filled(client, form, copy_to="maeve@example.org" if asked else "")
    page = client.post(form, sent, follow=True).content.decode()
    assert (f"{said} {comes}" in page) is asked
    assert said in page
    assert OwedCopy.objects.exists() is asked
    assert "copy_comes" not in page
    assert comes not in client.get(f"{address}?lang={language}").content.decode()


def test_looking_changes_nothing(client: Browser) -> None:
    """Mail scanners and link previews open everything."""
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve", born_on=None)
    address = door(of_person(maeve), trip)
    for path in ("", f"{maeve.pk}/", f"{maeve.pk}/born/"):
        for method in (client.get, client.head):
            method(address + path)
    assert not Signature.objects.exists()
    assert not HealthNote.objects.exists()
    assert SigningLink.objects.get().signed_at is None


def test_private_pages_are_not_stored_indexed_or_told_on(client: Browser) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    address = door(of_person(maeve), trip)
    for path in ("", f"{maeve.pk}/", "999999/"):
        answer = client.get(address + path)
        assert "no-store" in answer.headers["Cache-Control"]
        sends_a_form = path == f"{maeve.pk}/"
        policy = "strict-origin" if sends_a_form else "no-referrer"
        assert answer.headers["Referrer-Policy"] == policy, "the address itself is never told"
        assert f'name="referrer" content="{policy}"' in answer.content.decode()
        assert "noindex" in answer.headers["X-Robots-Tag"]


def test_no_link_opens_another_persons_form(client: Browser) -> None:
    """Each person of two parties on two trips, each guardian: every link at every number."""
    first, second = booked_trip(heads=3), booked_trip(heads=2)
    maeve = on_board(first, "Maeve")
    finn = on_board(first, "Finn", born_on=CHILD, guardian=maeve)
    tomas = on_board(first, "Tomas")
    ulla = on_board(second, "Ulla")
    kid = on_board(second, "Kid", born_on=CHILD)
    niamh = name_guardian(ward=kid, name="Niamh Skerry", email="niamh@example.org")
    may: dict[str, set[Participant]] = {
        door(of_person(maeve), first): {maeve, finn},
        door(of_person(tomas), first): {tomas},
        door(of_person(finn), first): set(),
        door(of_person(ulla), second): {ulla},
        door(of_person(kid), second): set(),
        door(of_guardian(niamh), second): {kid},
    }
    everybody = [maeve, finn, tomas, ulla, kid]
    tried = 0
    for (address, own), person in itertools.product(may.items(), everybody):
        wanted = 200 if person in own else 404
        assert client.get(f"{address}{person.pk}/").status_code == wanted, (address, person)
        birthday = client.get(f"{address}{person.pk}/born/").status_code
        assert birthday == (302 if person in own else 404)
        if person not in own:
            sent = {"texts": "1,2,3", "once": "x", "signer_name": "Somebody", "typed": "Somebody"}
            assert client.post(f"{address}{person.pk}/", sent).status_code == 404
            born = {"born_on": "1990-01-01"}
            assert client.post(f"{address}{person.pk}/born/", born).status_code == 404
        tried += 1
    assert tried == 30
    assert not Signature.objects.exists()


def test_a_link_of_one_trip_signs_nothing_for_another(client: Browser) -> None:
    trip, other = booked_trip(heads=1), booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    on_board(other, "Ulla")
    address = door(of_person(maeve), other)
    answer = client.get(address)
    assert answer.status_code == 404
    assert EN["shut_off"] in answer.content.decode()
    assert client.get(f"{address}{maeve.pk}/").status_code == 404


@pytest.mark.parametrize(
    ("case", "reason"),
    [("guessed", "shut_unknown"), ("revoked", "shut_revoked"), ("over", "shut_over")],
)
def test_a_link_that_opens_nothing_says_why(client: Browser, case: str, reason: str) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    link, token = link_of(of_person(maeve), trip)
    if case == "revoked":
        SigningLink.objects.update(revoked_at=NOON)
    if case == "over":
        SigningLink.objects.update(expires_at=NOON, made_at=NOON - datetime.timedelta(days=9))
    if case == "guessed":
        token = "A" * len(token)
    answer = client.get(f"/sign/{token}/")
    assert answer.status_code == 404
    assert EN[reason] in answer.content.decode()
    assert DE[reason] in client.get(f"/sign/{token}/?lang=de").content.decode()
    assert client.post(f"/sign/{token}/{maeve.pk}/", {}).status_code == 404
    assert link.pk


def test_a_cancelled_booking_shuts_its_links(client: Browser) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    address = door(of_person(maeve), trip)
    Booking.objects.update(status="cancelled", cancelled_at=NOON)
    answer = client.get(address)
    assert answer.status_code == 404
    assert EN["shut_off"] in answer.content.decode()


def test_guessing_is_stopped(client: Browser) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    address = door(of_person(maeve), trip)
    answers = [client.get(f"/sign/guess{n}/").status_code for n in range(32)]
    assert answers[:30] == [404] * 30
    assert answers[30:] == [429, 429]
    assert client.get(address).status_code == 429, "from that address, for ten minutes"
    assert client.get(address, REMOTE_ADDR="198.51.100.7").status_code == 200


def test_a_guardian_who_comes_along_signs_for_both(client: Browser) -> None:
    trip = booked_trip()
    maeve = on_board(trip, "Maeve", family_name="Skerry")
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
    address = door(of_person(maeve), trip)
    form = f"{address}{finn.pk}/"
    page = client.get(form).content.decode()
    assert "Consent for a minor" in page
    assert "Finn, 9 on the day" in page
    sent = filled(client, form, relation="mother", contact_phone="+353 1 555 0123")
    answer = client.post(form, sent)
    assert answer.status_code == 422
    assert "which adult stays responsible" in problems(answer.content.decode())
    sent = filled(
        client,
        form,
        relation="mother",
        contact_phone="+353 1 555 0123",
        responsible=str(maeve.pk),
    )
    assert client.post(form, sent).status_code == 302
    assert Guardian.objects.get(ward=finn).responsible_person == maeve
    own = f"{address}{maeve.pk}/"
    assert client.post(own, filled(client, own)).status_code == 302
    assert outstanding(trip, at=NOON).ready


def test_a_minors_own_link_sends_them_to_their_guardian(client: Browser) -> None:
    trip = booked_trip()
    maeve = on_board(trip, "Maeve")
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
    page = client.get(door(of_person(finn), trip)).content.decode()
    assert "a parent or legal guardian signs for you" in page


def test_the_birth_date_is_asked_first_and_decides(client: Browser) -> None:
    trip = booked_trip()
    person = on_board(trip, "Robin", born_on=None)
    address = door(of_person(person), trip)
    assert client.get(f"{address}{person.pk}/").headers["Location"].endswith("/born/?lang=en")
    for wrong in ("", "1890-01-01", "2031-01-01", "the third of May"):
        answer = client.post(f"{address}{person.pk}/born/", {"born_on": wrong})
        assert answer.status_code == 422
    answer = client.post(f"{address}{person.pk}/born/", {"born_on": "2010-01-01"})
    assert answer.status_code == 302
    page = client.get(address).content.decode()
    assert "a parent or legal guardian signs for you" in page
    assert client.get(f"{address}{person.pk}/").status_code == 404


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"typed": ""}, "Draw your signature or type your name."),
        ({"typed": "", "drawn": "[[[5000,5000]]]"}, "A dot is no signature"),
        ({"typed": "", "drawn": "x" * 5 * 1024 * 1024}, "too large to be a signature"),
        ({"agrees": ""}, "ask the guide for paper"),
        ({"photos": ""}, "Please answer this."),
        ({"swims": ""}, "Please answer this."),
        ({"allergy": "perhaps"}, "Select a valid choice"),
        ({"allergy": "yes"}, "tell the guide in person"),
        ({"more": "m" * 1001}, "at most 1000 characters"),
        ({"signer_name": ""}, "Please answer this."),
        ({"signer_name": "M" * 300}, "at most 200 characters"),
        ({"copy_to": "maeve at example"}, "This is no mail address."),
    ],
)
def test_a_wrong_form_is_refused_and_kept(
    client: Browser, change: dict[str, str], sentence: str
) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    form = f"{door(of_person(maeve), trip)}{maeve.pk}/"
    sent = filled(client, form, kin_name="Kept Name") | change
    answer = client.post(form, sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in problems(page)
    assert "Kept Name" in page
    assert not Signature.objects.exists()
    assert not HealthNote.objects.exists()


@pytest.mark.parametrize("language", ["en", "de"])
def test_all_that_is_missing_is_told_at_once_in_the_order_of_the_page(
    client: Browser, language: str
) -> None:
    """It came in three rounds: the answers, then the mark, then the words about health."""
    trip = booked_trip(heads=2)
    maeve = on_board(trip, "Maeve")
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
    form = f"{door(of_person(maeve), trip)}{finn.pk}/?lang={language}"
    empty = {"typed": "", "agrees": "", "swims": "", "photos": "", "signer_name": ""}
    sent = filled(client, form, **empty, allergy="yes", copy_to="no mail", responsible="")
    page = client.post(form, sent).content.decode()
    box = page[page.index('class="problems"') :].split("</ul>")[0]
    targets = [each.split('"')[0] for each in box.split('href="#')[1:]]
    wanted = ["relation", "contact_phone", "responsible_0", "swims_0", "allergy_note", "photos_0"]
    wanted += ["signer_name", "typed", "agrees", "copy_to"]
    assert targets == [f"id_{name}" for name in wanted]
    controls = [page.rindex(f'id="{each}"') for each in targets]
    assert controls == sorted(controls)
    for sentence in REFUSALS["de"]:
        assert (sentence in box) <= (language == "en")
    sent |= {"typed": "Maeve", "agrees": "on", "swims": "yes", "photos": "yes", "copy_to": ""}
    sent |= {"allergy_note": "nuts", "signer_name": "Maeve", "relation": "mother"}
    sent |= {"contact_phone": "+353 1 555 0123", "responsible": str(maeve.pk)}
    assert client.post(form, sent).status_code == 302
    assert Signature.objects.count() == 4


def test_a_sheet_lacks_everything_at_once(desk: Browser) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    address = f"/trips/{trip.pk}/signing/{maeve.pk}/paper/"
    photo = SimpleUploadedFile("sheet.jpg", b"no picture", content_type="image/jpeg")
    sent = filled(desk, address, allergy="yes", agrees="", photos="") | {"photo": photo}
    page = desk.post(address, sent).content.decode()
    box = page[page.index('class="problems"') :].split("</ul>")[0]
    targets = [each.split('"')[0] for each in box.split('href="#')[1:]]
    assert targets == ["id_photo", "id_allergy_note", "id_photos_0", "id_agrees"]


def test_a_birthday_is_typed_as_the_language_of_the_page_writes_it(client: Browser) -> None:
    trip = booked_trip(heads=2)
    for language, typed, wrong, said in (
        ("de", "5.4.1961", "4/25/1961", "Diesen Tag gibt es in keinem Kalender."),
        ("en", "5/4/1961", "5/4/61", "Write the year of birth with four digits"),
    ):
        person = on_board(trip, language, born_on=None)
        address = f"{door(of_person(person), trip)}{person.pk}/born/?lang={language}"
        answer = client.post(address, {"born_on": wrong})
        assert answer.status_code == 422
        assert said in problems(answer.content.decode())
        assert f'value="{wrong}"' in answer.content.decode()
        assert client.post(address, {"born_on": typed}).status_code == 302
        person.refresh_from_db()
        assert person.born_on == datetime.date(1961, 4, 5)


def test_markup_is_shown_as_typed(client: Browser) -> None:
    trip = booked_trip(heads=1)
    nasty = "<script>alert(1)</script> & Co"
    maeve = on_board(trip, nasty)
    address = door(of_person(maeve), trip)
    form = f"{address}{maeve.pk}/"
    page = client.post(form, filled(client, form, more=nasty, typed="")).content.decode()
    assert "<script>alert" not in page
    client.post(form, filled(client, form, signer_name=nasty, typed=nasty))
    assert "<script>alert" not in client.get(address).content.decode()


def test_pressed_twice_signs_once(client: Browser) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    form = f"{door(of_person(maeve), trip)}{maeve.pk}/"
    sent = filled(client, form)
    assert client.post(form, sent).status_code == 302
    assert client.post(form, sent).status_code == 302
    assert Signature.objects.count() == 4


def test_two_windows_and_the_back_button(client: Browser) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    form = f"{door(of_person(maeve), trip)}{maeve.pk}/"
    one, other = filled(client, form), filled(client, form)
    assert one["once"] != other["once"]
    assert client.post(form, one).status_code == 302
    assert client.post(form, other).status_code == 302
    risks = Signature.objects.filter(text__kind="risks")
    assert risks.count() == 1


def test_a_new_version_between_reading_and_signing(client: Browser) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    form = f"{door(of_person(maeve), trip)}{maeve.pk}/"
    sent = filled(client, form)
    save_draft(kind="terms", language="en", title="Terms", body="Brand new terms.", at=NOON)
    publish_text(kind="terms", language="en", again="everybody", at=NOON)
    answer = client.post(form, sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "has changed while you were reading" in problems(page)
    assert "Brand new terms." in page
    assert not Signature.objects.exists()
    fresh = sent | {"texts": page.split('name="texts" value="', 1)[1].split('"', 1)[0]}
    assert client.post(form, fresh).status_code == 302


def test_the_page_speaks_german(client: Browser) -> None:
    trip = booked_trip(heads=1)
    booking = trip.bookings.get()
    booking.party.client.language = "de"
    booking.party.client.save()
    maeve = on_board(trip, "Maeve")
    address = door(of_person(maeve), trip)
    form = f"{address}{maeve.pk}/"
    page = client.get(form).content.decode()
    assert '<html lang="de"' in page
    assert "Was an einem Tag an der Küste passieren kann" in page
    assert "Juni 2026" in page
    answer = client.post(form, filled(client, form, typed="", allergy="yes"))
    said = problems(answer.content.decode())
    assert DE["needed"] not in said
    assert "Zeichnen Sie Ihre Unterschrift oder tippen Sie Ihren Namen." in said
    client.post(form, filled(client, form))
    assert set(Signature.objects.values_list("text__language", flat=True)) == {"de"}
    english = client.get(f"{form}?lang=en&again=photos").content.decode()
    assert "Photographs of the day" in english


def test_the_answer_about_photographs_can_be_changed_later(client: Browser) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    address = door(of_person(maeve), trip)
    form = f"{address}{maeve.pk}/"
    client.post(form, filled(client, form))
    again = f"{form}?again=photos"
    sent = filled(client, again, photos="no")
    assert len(sent["texts"].split(",")) == 1
    assert client.post(again, sent).status_code == 302
    answers = Signature.objects.filter(text__kind="photos").order_by("record")
    assert list(answers.values_list("answer", flat=True)) == ["yes", "no"]
    assert client.get(f"{form}?again=risks").status_code == 302, "what is signed stays signed"


def test_the_words_of_both_languages_are_the_same_set() -> None:
    for language, words in WORDS.items():
        assert set(words) == set(EN), language
        assert all(words.values())
    for key in EN:
        assert set(FIELD.findall(EN[key])) == set(FIELD.findall(DE[key])), key
    assert all(REFUSALS["de"].values())


# ------------------------------------------------------------------ the guide's side


def test_the_list_of_a_trip(desk: Browser) -> None:
    trip = booked_trip(heads=3)
    maeve = on_board(trip, "Maeve")
    on_board(trip, "Finn", born_on=CHILD)
    page = in_one_line(desk.get(f"/trips/{trip.pk}/signing/").content.decode())
    assert "not ready" in page
    assert "no guardian named" in page
    assert "1 of 3 not named yet" in page
    assert "None" not in page
    signed(trip, maeve)
    page = in_one_line(desk.get(f"/trips/{trip.pk}/signing/").content.decode())
    assert "Record 11" in page


def test_one_tap_asks_everybody_who_is_missing(desk: Browser, client: Browser) -> None:
    trip = booked_trip(heads=2)
    on_board(trip, "Maeve", email="maeve@example.org")
    tomas = on_board(trip, "Tomas")
    signed(trip, tomas)
    before = SigningLink.objects.count()
    answer = desk.post(f"/trips/{trip.pk}/signing/ask/")
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "no-store" in answer.headers["Cache-Control"]
    assert SigningLink.objects.count() == before + 1
    link = page.split("http://127.0.0.1:8000", 1)[1].split("\n", 1)[0]
    assert client.get(link).status_code == 200
    assert "mailto:maeve%40example.org?subject=" in page
    token = link.strip("/").split("/")[1]
    assert not SigningLink.objects.filter(token_hash=token).exists()
    page = in_one_line(desk.get(f"/trips/{trip.pk}/signing/").content.decode())
    assert token not in page, "shown once"


def test_links_can_be_taken_back_at_the_desk(desk: Browser) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    address = door(of_person(maeve), trip)
    answer = desk.post(f"/trips/{trip.pk}/signing/back/", follow=True)
    assert "1 link taken back" in told(answer.content.decode())
    assert desk.get(address).status_code == 404


def test_at_the_meeting_point(desk: Browser) -> None:
    """A tap hands the phone over, the form is signed, a tap leads back."""
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    page = in_one_line(desk.get(f"/trips/{trip.pk}/meeting/").content.decode())
    assert "Hand the phone to Maeve" in page
    over = desk.post(f"/trips/{trip.pk}/meeting/{maeve.pk}/", {"signer": f"person-{maeve.pk}"})
    address = over.headers["Location"]
    form = f"{address}{maeve.pk}/"
    assert desk.post(form, filled(desk, form)).status_code == 302
    page = desk.get(address).content.decode()
    assert "hand the phone back" in page
    assert f"/trips/{trip.pk}/meeting/" in page
    assert set(Signature.objects.values_list("method", flat=True)) == {"phone"}
    assert "Everybody has signed." in desk.get(f"/trips/{trip.pk}/meeting/").content.decode()


def test_a_guardian_named_at_the_desk(desk: Browser) -> None:
    trip = booked_trip(heads=1)
    finn = on_board(trip, "Finn", born_on=CHILD)
    address = f"/trips/{trip.pk}/signing/{finn.pk}/guardian/"
    assert desk.get(address).status_code == 200
    answer = desk.post(address, {"name": "Niamh Skerry"})
    assert answer.status_code == 422
    assert "must be reached" in problems(answer.content.decode())
    sent = {"name": "Niamh Skerry", "relation": "mother", "email": "niamh@example.org"}
    assert desk.post(address, sent).status_code == 302
    guardian = Guardian.objects.get()
    page = in_one_line(desk.get(f"/trips/{trip.pk}/signing/").content.decode())
    assert "Ask Niamh Skerry" in page
    gone = desk.post(f"/trips/{trip.pk}/signing/guardians/{guardian.pk}/remove/")
    assert gone.status_code == 302
    assert not Guardian.objects.exists()


def test_in_a_german_house_the_printed_sheet_is_german(desk: Browser) -> None:
    trip = booked_trip(heads=1)
    Business.objects.update(locale="de_DE")
    on_board(trip, "Finn", born_on=CHILD, guardian=None)
    name_guardian(ward=Participant.objects.get(), name="Niamh Skerry", phone="+35315550123")
    page = in_one_line(desk.get(f"/trips/{trip.pk}/signing/sheets/").content.decode())
    sheet = page[page.index('class="stack sheet"') :].split("</section> </main>")[0]
    for word in ("Unterschreibt für", "Zu erreichen unter", "Fassung 1", "☐ Ja", "Nachweis"):
        assert word in sheet
    for english in ("Signs for", "Reached on", "Version", "☐ Yes", "not a shield"):
        assert english not in sheet


def test_sheets_to_print_hold_text_version_and_fingerprint(desk: Browser) -> None:
    trip = booked_trip(heads=1)
    on_board(trip, "Maeve")
    page = desk.get(f"/trips/{trip.pk}/signing/sheets/").content.decode()
    text = TextVersion.objects.get(kind="risks", language="en")
    assert text.sha256 in page
    assert "Version 1" in page
    assert "Signature" in page


def _paper(desk: Browser, address: str, **changes: Any) -> Any:
    page = desk.get(address).content.decode()
    once, texts = (page.split(f'name="{name}" value="', 1)[1] for name in ("once", "texts"))
    file = photograph()
    file.name = "C:\\holiday\\sheet.png.exe"
    sent = {
        "once": once.split('"', 1)[0],
        "texts": texts.split('"', 1)[0],
        "signer_name": "Maeve Skerry",
        "agrees": "on",
        "allergy": "no",
        "medicine": "no",
        "swims": "yes",
        "photos": "no",
        "photo": file,
    }
    return desk.post(address, sent | changes)


def test_a_sheet_of_paper_is_kept(desk: Browser) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    answer = _paper(desk, f"/trips/{trip.pk}/signing/{maeve.pk}/paper/")
    assert answer.status_code == 302
    signature = Signature.objects.select_related("sheet").earliest("record")
    assert signature.sheet is not None
    assert signature.method == "paper"
    name = signature.sheet.file.name
    assert name.startswith("signed/")
    assert name.endswith(".jpg")
    assert "holiday" not in name
    with signature.sheet.file.open("rb") as stream:
        kept = stream.read()
    assert kept[:3] == b"\xff\xd8\xff"
    assert b"A camera maker" not in kept
    assert b"Exif" not in kept
    sheet = desk.get(f"/signed/{signature.pk}/sheet/")
    assert sheet.headers["Content-Disposition"].startswith("attachment")
    assert sheet.headers["X-Content-Type-Options"] == "nosniff"
    assert outstanding(trip, at=NOON).ready
    assert check_chain().whole


@pytest.mark.parametrize(
    ("photo", "sentence"),
    [
        (b"GIF89a not a photograph", "no photograph that can be read"),
        (b"%PDF-1.7 sheet", "no photograph that can be read"),
        (b"", "empty"),
        (None, "This field is required."),
    ],
)
def test_what_is_no_photograph_is_refused(
    desk: Browser, photo: bytes | None, sentence: str, settings: Any
) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    file = "" if photo is None else SimpleUploadedFile("sheet.jpg", photo, "image/jpeg")
    answer = _paper(desk, f"/trips/{trip.pk}/signing/{maeve.pk}/paper/", photo=file)
    assert answer.status_code == 422
    assert sentence in problems(answer.content.decode())
    assert not Signature.objects.exists()
    assert not list((settings.MEDIA_ROOT).glob("signed/*"))


def test_pictures_too_small_or_too_large_or_of_another_kind(desk: Browser) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    address = f"/trips/{trip.pk}/signing/{maeve.pk}/paper/"
    for file, sentence in (
        (photograph(200, 200), "too small to read"),
        (photograph(9000, 9000, "PNG"), "no photograph that can be read"),
        (photograph(900, 900, "GIF"), "no photograph that can be read"),
    ):
        file.name = "sheet.jpg"
        answer = _paper(desk, address, photo=file)
        assert answer.status_code == 422
        assert sentence in problems(answer.content.decode())
    assert not Signature.objects.exists()


def test_who_collects_signatures(client: Browser, business: Any) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    pages = [
        f"/trips/{trip.pk}/signing/",
        f"/trips/{trip.pk}/meeting/",
        f"/trips/{trip.pk}/signing/sheets/",
        f"/trips/{trip.pk}/signing/{maeve.pk}/paper/",
    ]
    for page in pages:
        assert client.get(page).status_code == 302, "a stranger is led to the door"
    helper = UserFactory()
    helper.user_permissions.set(
        Permission.objects.filter(content_type__app_label="bookings", codename__startswith="view_")
    )
    client.force_login(helper, backend="allauth.account.auth_backends.AuthenticationBackend")
    for page in pages:
        assert client.get(page).status_code == 403
    assert client.post(f"/trips/{trip.pk}/signing/ask/").status_code == 403
    assert client.post(f"/trips/{trip.pk}/meeting/{maeve.pk}/").status_code == 403
    TripGuide.objects.create(trip=trip, user=helper)
    for page in pages:
        assert client.get(page).status_code == 200
    assert client.get(f"/trips/{booked_trip(heads=1).pk}/signing/").status_code == 403
    signed(trip, maeve)
    number = Signature.objects.earliest("record").pk
    for page in (f"/signed/{number}/", f"/signed/{number}/files/", "/signed/check/"):
        assert client.get(page).status_code == 403


def test_numbers_that_are_nobodys(desk: Browser) -> None:
    trip = booked_trip(heads=1)
    on_board(trip, "Maeve")
    for page in (
        "/trips/999999/signing/",
        f"/trips/{trip.pk}/signing/999999/paper/",
        f"/trips/{trip.pk}/signing/999999/guardian/",
        "/signed/999999/",
        "/signed/999999/files/",
        "/signed/999999/sheet/",
    ):
        assert desk.get(page).status_code == 404
    for page in (
        f"/trips/{trip.pk}/meeting/999999/",
        f"/trips/{trip.pk}/signing/guardians/999999/remove/",
    ):
        assert desk.post(page).status_code == 404


def test_a_drawing_is_kept_as_it_was_drawn(client: Browser) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    form = f"{door(of_person(maeve), trip)}{maeve.pk}/"
    client.post(form, filled(client, form, typed="", drawn=loop()))
    assert loop().replace(" ", "") in Signature.objects.earliest("record").sealed
