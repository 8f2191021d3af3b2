"""Who answers for a minor: one of the party or somebody from outside, asked once, each at their
own address."""

from __future__ import annotations

import datetime
import importlib
from collections.abc import Iterator

import pytest
import time_machine
from django.apps import apps
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.test import Client as Browser

from bookings.actions.parties import save_participant
from bookings.actions.party_links import make_party_link
from bookings.actions.people import choose_guardian, name_guardian
from bookings.actions.signing_links import ask_to_sign
from bookings.models import Booking, Guardian, Participant, Party, Signature, SigningLink, Trip
from bookings.queries.rights import person_file
from bookings.queries.signatures import outstanding
from bookings.queries.signers import of_guardian, of_person
from bookings.sheets.client_words import DE, EN
from tests.bookings.reading import in_one_line, problems
from tests.factories import NOON
from tests.factories_signing import CHILD, GROWN, booked_trip, guardian_form, on_board, signed

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def at_noon() -> Iterator[None]:
    cache.clear()
    with time_machine.travel(NOON, tick=False):
        yield
    cache.clear()


def party_of(trip: Trip) -> Party:
    """The party of the trip, booked by Maeve Skerry."""
    party = Booking.objects.get(trip=trip).party
    client = party.client
    client.given_name, client.family_name = "Maeve", "Skerry"
    client.email, client.phone, client.language = "maeve@example.org", "+35315550100", "en"
    client.save()
    return party


def choices(page: str) -> list[str]:
    """What the choice of a guardian offers, in its order."""
    select = page.split('name="guardian"', 1)[1].split("</select>", 1)[0]
    return [
        in_one_line(each.split(">", 1)[1].split("<")[0]) for each in select.split("<option")[1:]
    ]


def test_the_choice_lists_the_adults_of_the_party_first(desk: Browser) -> None:
    trip = booked_trip(heads=4)
    party_of(trip)
    on_board(trip, "Nobody", family_name="Knows", born_on=None)
    finn = on_board(trip, "Finn", family_name="Skerry", born_on=CHILD)
    on_board(trip, "Una", family_name="Skerry", born_on=CHILD)
    on_board(trip, "Maeve", family_name="Skerry")
    page = desk.get(f"/trips/{trip.pk}/signing/{finn.pk}/guardian/").content.decode()
    wanted = ["Maeve Skerry", "Nobody Knows", EN["guardian_other"]]
    assert choices(page)[1:] == wanted
    page = desk.get(f"/parties/{finn.party_id}/people/{finn.pk}/").content.decode()
    assert choices(page)[1:] == wanted


def test_a_guardian_from_the_party_is_one_signer_and_comes_along(desk: Browser) -> None:
    trip = booked_trip()
    maeve = on_board(trip, "Maeve", family_name="Skerry")
    finn = on_board(trip, "Finn", family_name="Skerry", born_on=CHILD)
    address = f"/trips/{trip.pk}/signing/{finn.pk}/guardian/"
    assert desk.post(address, {"guardian": str(maeve.pk)}).status_code == 302
    finn.refresh_from_db()
    assert finn.guardian == maeve
    stand = outstanding(trip, at=NOON)
    assert not stand.stops
    assert (
        stand.tally == "0 of 2 have signed; missing: Maeve Skerry, Finn Skerry (Maeve Skerry signs)"
    )


@pytest.mark.parametrize("named_before", [True, False])
def test_a_guardian_typed_by_a_name_of_the_party_is_that_person(named_before: bool) -> None:
    """'Maeve Skerry or Maeve Skerry signs', and 'comes without a guardian', were said of her."""
    trip = booked_trip()
    party = party_of(trip)
    finn = on_board(trip, "Finn", family_name="Skerry", born_on=CHILD)
    if named_before:
        name_guardian(ward=finn, name="maeve  skerry", email="maeve@example.org")
        asked = ask_to_sign(trip=trip, at=NOON)
        assert [each.link.guardian.name for each in asked if each.link.guardian] == ["maeve skerry"]
    maeve = save_participant(
        party=party,
        country="IE",
        on=NOON.date(),
        given_name="Maeve",
        family_name="Skerry",
        born_on=GROWN,
    )
    if not named_before:
        name_guardian(ward=finn, name="Maeve Skerry")
    stand = outstanding(trip, at=NOON)
    assert not stand.stops
    state = stand.of(finn.pk)
    assert state
    assert [signer.person for signer in state.signers] == [maeve]
    assert "(Maeve Skerry signs)" in stand.tally.replace("maeve skerry", "Maeve Skerry")
    if named_before:
        assert SigningLink.objects.get().person == maeve, "the link that was sent still opens"
    finn.refresh_from_db()
    assert finn.guardian == maeve
    assert stays_as_signed(trip, finn, maeve)


def stays_as_signed(trip: Trip, finn: Participant, maeve: Participant) -> bool:
    signed(trip, finn, signer=of_person(maeve), form=guardian_form("Maeve", responsible=maeve))
    return Signature.objects.filter(guardian__person=maeve).count() == 4


def test_old_rows_of_one_person_become_one() -> None:
    trip = booked_trip(heads=3)
    party = party_of(trip)
    maeve = on_board(trip, "Maeve", family_name="Skerry")
    finn = on_board(trip, "Finn", born_on=CHILD)
    una = on_board(trip, "Una", born_on=CHILD)
    for ward in (finn, una):
        Guardian.objects.create(ward=ward, name="Maeve Skerry", email="maeve@example.org")
    known = Guardian.objects.create(ward=una, person=maeve, name="Maeve")
    migration = importlib.import_module("bookings.migrations.0008_who_booked_is_known")
    migration.know_old_rows(apps, None)
    assert Participant.objects.get(is_client=True, party=party) == maeve
    assert set(Participant.objects.filter(guardian=maeve)) == {finn, una}
    assert Guardian.objects.get(ward=finn).person == maeve
    assert Guardian.objects.get(ward=una) == known


def test_a_second_guardian_stands_beside_the_first_and_goes_again(desk: Browser) -> None:
    trip = booked_trip(heads=3)
    maeve, tomas = on_board(trip, "Maeve"), on_board(trip, "Tomas")
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
    choose_guardian(ward=finn, person=tomas)
    choose_guardian(ward=finn, person=tomas)
    state = outstanding(trip, at=NOON).of(finn.pk)
    assert state
    assert {signer.person for signer in state.signers} == {maeve, tomas}
    with pytest.raises(ValidationError, match="named as a guardian already"):
        name_guardian(ward=finn, name="Tomas", email="tomas@example.org")
    guardian = Guardian.objects.get()
    desk.post(f"/trips/{trip.pk}/signing/guardians/{guardian.pk}/remove/")
    state = outstanding(trip, at=NOON).of(finn.pk)
    assert state
    assert [signer.person for signer in state.signers] == [maeve]


def test_another_choice_takes_the_place_of_the_first(desk: Browser) -> None:
    trip = booked_trip(heads=3)
    maeve, tomas = on_board(trip, "Maeve"), on_board(trip, "Tomas")
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
    address = f"/parties/{finn.party_id}/people/{finn.pk}/"
    sent = {"given_name": "Finn", "born_on": f"{CHILD}", "swims": "yes"}
    assert desk.post(address, sent | {"guardian": str(tomas.pk)}).status_code == 302
    finn.refresh_from_db()
    assert finn.guardian == tomas
    both = {"guardian": str(tomas.pk), "guardian_name": "Niamh Skerry"}
    answer = desk.post(address, sent | both)
    assert answer.status_code == 422
    assert EN["guardian_both"] in problems(answer.content.decode())


@pytest.mark.parametrize("language", ["en", "de"])
def test_clients_name_the_guardian_on_their_own_page(client: Browser, language: str) -> None:
    words = {"en": EN, "de": DE}[language]
    trip = booked_trip(heads=3)
    party = party_of(trip)
    page = f"/my/{make_party_link(party=party)}/"
    new = f"{page}people/new/?lang={language}"
    grown = {"given_name": "Maeve", "family_name": "Skerry", "born_on": f"{GROWN}", "swims": "yes"}
    assert client.post(new, grown | {"is_client": "on"}).status_code == 302
    child = {"given_name": "Finn", "born_on": f"{CHILD}", "swims": "yes"}
    html = client.get(new).content.decode()
    assert choices(html) == [words["guardian_none"], "Maeve Skerry", words["guardian_other"]]
    assert words["is_client"] not in html, "one of them is the client, and that is Maeve"
    answer = client.post(new, child | {"guardian": "other"})
    assert words["guardian_name_needed"] in problems(answer.content.decode())
    answer = client.post(new, child | {"guardian_name": "Niamh Skerry"})
    assert answer.status_code == 422
    said = problems(answer.content.decode())
    assert ("must be reached" in said) is (language == "en")
    assert ("damit wir die Person erreichen" in said) is (language == "de")
    assert Participant.objects.count() == 1, "nothing of a refused form is kept"
    client.post(new, child)
    assert words["no_guardian"] in client.get(f"{page}?lang={language}").content.decode()
    finn = Participant.objects.get(given_name="Finn")
    maeve = Participant.objects.get(given_name="Maeve")
    client.post(f"{page}people/{finn.pk}/", child | {"guardian": str(maeve.pk)})
    outsider = {"guardian": "other", "guardian_name": "Niamh", "guardian_email": "n@example.org"}
    client.post(new, child | {"given_name": "Una"} | outsider)
    html = in_one_line(client.get(f"{page}?lang={language}").content.decode())
    assert words["signs_for"].format(names="Maeve Skerry") in html
    assert words["signs_for"].format(names="Niamh") in html
    assert words["no_guardian"] not in html
    assert Guardian.objects.get().email == "n@example.org"


def test_the_client_who_comes_along_is_reached_as_the_client() -> None:
    trip = booked_trip()
    party = party_of(trip)
    people = {"party": party, "country": "IE", "on": NOON.date()}
    maeve = save_participant(**people, given_name="MAEVE", family_name="Skerry")
    assert maeve.is_client
    assert of_person(maeve).email == "maeve@example.org"
    assert of_person(maeve).phone == "+35315550100"
    assert str(maeve.pk) in str(person_file("maeve@example.org", at=NOON).tables["participant"])
    robin = save_participant(**people, given_name="Robin")
    assert not robin.is_client
    save_participant(**people, participant=robin, given_name="Robin", is_client=True)
    maeve.refresh_from_db()
    assert not maeve.is_client
    assert of_person(maeve).email == ""


def test_an_adult_is_asked_at_their_own_address_or_through_the_booker(desk: Browser) -> None:
    trip = booked_trip(heads=3)
    party_of(trip)
    on_board(trip, "Robin", email="robin@example.org")
    tomas = on_board(trip, "Tomas")
    niamh = name_guardian(ward=on_board(trip, "Finn", born_on=CHILD), name="Niamh", phone="+353 1")
    page = in_one_line(desk.post(f"/trips/{trip.pk}/signing/ask/").content.decode())
    sent = dict(SigningLink.objects.values_list("person__given_name", "sent_to"))
    assert sent["Robin"] == "robin@example.org"
    assert sent["Tomas"] == "maeve@example.org"
    assert SigningLink.objects.get(guardian=niamh).sent_to == "+353 1"
    assert page.count("This goes to who booked") == 1
    assert "for Tomas, of whom neither mail nor telephone is known" in page
    assert "We have neither a mail address nor a telephone number of Tomas" in page
    assert "Please hand it on; Tomas alone signs with it" in page
    link = SigningLink.objects.get(person=tomas)
    (first, *_) = signed_by(trip, tomas, link)
    assert "sent to maeve@example.org, who booked, to be handed on" in first.sealed


def signed_by(trip: Trip, person: Participant, link: SigningLink) -> list[Signature]:
    from bookings.actions.handed_in import by_link

    return signed(trip, person, how=by_link(link, address="192.0.2.7", agent="A browser"))


def test_a_guardian_who_stays_at_home_comes_with_an_adult_they_name() -> None:
    trip = booked_trip()
    party_of(trip)
    tomas = on_board(trip, "Tomas")
    finn = on_board(trip, "Finn", born_on=CHILD)
    niamh = name_guardian(ward=finn, name="Niamh", email="niamh@example.org")
    form = guardian_form("Niamh", responsible=tomas)
    signed(trip, finn, signer=of_guardian(niamh), form=form, at=NOON + datetime.timedelta(hours=1))
    later = outstanding(trip, at=NOON + datetime.timedelta(hours=2))
    assert not later.stops
