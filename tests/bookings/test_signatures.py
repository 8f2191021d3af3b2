"""Who signs for whom: ages on the day, guardians, marks that are none, pressing twice."""

from __future__ import annotations

import datetime
import json
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from bookings.actions.handed_in import by_link
from bookings.actions.parties import remove_participant
from bookings.actions.people import name_guardian, tell_birthday
from bookings.actions.signatures import sign
from bookings.actions.signing_links import ask_to_sign, make_link, take_back_links
from bookings.actions.trips import cancel_booking
from bookings.models import (
    Booking,
    ChainRecord,
    Guardian,
    OwedCopy,
    Participant,
    Signature,
    SigningLink,
    SigningRules,
    Trip,
)
from bookings.queries.evidence import check_chain
from bookings.queries.records import signed_record
from bookings.queries.signatures import outstanding, outstanding_of
from bookings.queries.signers import of_guardian, of_person
from bookings.queries.signing_links import ShutLinkError, open_link
from bookings.queries.texts import texts_in
from tests.factories import NOON, BookingFactory, PartyFactory, TripFactory
from tests.factories_signing import (
    CHILD,
    DAY,
    GROWN,
    booked_trip,
    form_of,
    guardian_form,
    link_of,
    on_board,
    signed,
)

pytestmark = pytest.mark.django_db
BEFORE_THE_DAY = DAY - datetime.timedelta(days=1)
AFTER_THE_DAY = DAY + datetime.timedelta(days=1)


def years_before(day: datetime.date, years: int) -> datetime.date:
    return day.replace(year=day.year - years)


# ------------------------------------------------------------------ ages on the day of the trip


@pytest.mark.parametrize(
    ("birthday", "age", "minor"),
    [
        (years_before(DAY, 18), 18, False),
        (years_before(BEFORE_THE_DAY, 18), 18, False),
        (years_before(AFTER_THE_DAY, 18), 17, True),
    ],
    ids=["on the day", "the day before", "the day after"],
)
def test_a_birthday_around_the_trip(birthday: datetime.date, age: int, minor: bool) -> None:
    trip = booked_trip()
    grown = on_board(trip, "Maeve")
    person = on_board(trip, "Robin", born_on=birthday, guardian=grown)
    state = outstanding(trip, at=NOON).of(person.pk)
    assert state is not None
    assert (state.age, state.minor) == (age, minor)
    assert ("guardian" in state.kinds) == minor
    assert ("terms" in state.kinds) == (not minor)
    signer = of_person(grown) if minor else of_person(person)
    other = of_person(person) if minor else of_person(grown)
    with pytest.raises(ValidationError, match="on the day: "):
        signed(trip, person, signer=other)
    assert signed(trip, person, signer=signer)


@pytest.mark.parametrize(
    ("leap", "day", "minor"),
    [
        ("march_1", (2026, 2, 28), True),
        ("march_1", (2026, 3, 1), False),
        ("february_28", (2026, 2, 28), False),
        ("february_28", (2026, 2, 27), True),
    ],
)
def test_born_on_29_february(leap: str, day: tuple[int, int, int], minor: bool) -> None:
    SigningRules.objects.create(leap_birthday=leap)
    starts = datetime.datetime(*day, 9, tzinfo=datetime.UTC)
    trip = booked_trip(starts_at=starts, ends_at=starts + datetime.timedelta(hours=9), texts=False)
    person = on_board(trip, "Leap", born_on=datetime.date(2008, 2, 29))
    state = outstanding(trip, at=starts - datetime.timedelta(days=9)).of(person.pk)
    assert state is not None
    assert state.minor is minor


def test_the_day_is_the_local_one() -> None:
    """A trip from 23:30 UTC begins on the next day in Dublin's summer."""
    starts = datetime.datetime(2026, 6, 12, 23, 30, tzinfo=datetime.UTC)
    trip = booked_trip(starts_at=starts, ends_at=starts + datetime.timedelta(hours=9))
    person = on_board(trip, "Robin", born_on=years_before(DAY, 18))
    state = outstanding(trip, at=NOON).of(person.pk)
    assert state is not None
    assert state.minor is False


def test_without_a_birth_date_that_is_asked_first() -> None:
    trip = booked_trip(heads=1)
    person = on_board(trip, "Robin", born_on=None)
    stand = outstanding(trip, at=NOON)
    assert "date of birth not known" in stand.sentences[0]
    with pytest.raises(ValidationError, match="Give the date of birth first"):
        signed(trip, person)
    tell_birthday(person=person, born_on=GROWN, on=NOON.date())
    assert signed(trip, person)
    with pytest.raises(ValidationError, match="Ask the guide to mend it"):
        tell_birthday(person=person, born_on=CHILD, on=NOON.date())


@pytest.mark.parametrize(
    ("day", "sentence"),
    [
        (datetime.date(1890, 1, 1), "Check the year of birth"),
        (datetime.date(2030, 1, 1), "lies in the future"),
    ],
)
def test_a_birth_date_that_cannot_be(day: datetime.date, sentence: str) -> None:
    trip = booked_trip(heads=1)
    person = on_board(trip, "Robin", born_on=None)
    with pytest.raises(ValidationError, match=sentence):
        tell_birthday(person=person, born_on=day, on=NOON.date())
    person.refresh_from_db()
    assert person.born_on is None


# ------------------------------------------------------------------ guardians


def test_a_guardian_who_comes_along_signs_for_both_on_one_link() -> None:
    trip = booked_trip()
    maeve = on_board(trip, "Maeve", email="maeve@example.org")
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
    asked = ask_to_sign(trip=trip, at=NOON)
    assert [(each.signer.name, each.names) for each in asked] == [("Maeve", ("Maeve", "Finn"))]
    opened = open_link(asked[0].token, at=NOON)
    assert {state.person for state in opened.people} == {maeve, finn}

    signed(trip, maeve)
    own = [need.why for state in outstanding(trip, at=NOON).missing for need in state.needs]
    assert len(own) == 4, "what she signed for herself is nothing for Finn"
    signed(trip, finn, signer=of_person(maeve), form=guardian_form("Maeve", responsible=maeve))
    assert outstanding(trip, at=NOON).ready
    guardian = Guardian.objects.get(ward=finn)
    assert (guardian.person, guardian.relation) == (maeve, "mother")
    assert guardian.responsible == "Maeve"
    record = signed_record(Signature.objects.filter(participant=finn).latest("record").pk)
    assert record is not None
    assert record.facts["signed_for"] == "Finn"
    assert record.facts["signer_name"] == "Maeve"
    assert record.facts["age"] == 9
    assert record.facts["guardian_contact"] == "+353 1 555 0123"


def test_a_guardian_from_outside_has_a_link_of_their_own() -> None:
    trip = booked_trip()
    aunt = on_board(trip, "Sandra")
    finn = on_board(trip, "Finn", born_on=CHILD)
    assert "no guardian named" in " ".join(outstanding(trip, at=NOON).sentences)
    guardian = name_guardian(ward=finn, name="Niamh Skerry", email="niamh@example.org")
    asked = ask_to_sign(trip=trip, at=NOON)
    names = {each.signer.name: each for each in asked}
    assert set(names) == {"Sandra", "Niamh Skerry"}
    opened = open_link(names["Niamh Skerry"].token, at=NOON)
    assert [state.person for state in opened.people] == [finn]
    signed(
        trip,
        finn,
        signer=of_guardian(guardian),
        form=guardian_form("Niamh Skerry", responsible=aunt),
    )
    guardian.refresh_from_db()
    assert guardian.responsible_person == aunt
    assert not [s for s in outstanding(trip, at=NOON).missing if s.person == finn]


@pytest.mark.parametrize("every", [False, True])
def test_two_guardians(every: bool) -> None:
    SigningRules.objects.create(every_guardian=every)
    trip = booked_trip(heads=1)
    finn = on_board(trip, "Finn", born_on=CHILD)
    first = name_guardian(ward=finn, name="Niamh Skerry", email="niamh@example.org")
    second = name_guardian(ward=finn, name="Oisín Skerry", phone="+35315550111")
    signed(trip, finn, signer=of_guardian(first))
    stand = outstanding(trip, at=NOON)
    if every:
        assert stand.missing[0].needs[0].why == "risk acknowledgement not signed by Oisín Skerry"
    else:
        assert stand.ready
    count = Signature.objects.count()
    late = signed(
        trip,
        finn,
        signer=of_guardian(second),
        form=guardian_form("Oisín Skerry", relation="father"),
        kinds=("risks", "guardian", "health", "photos"),
        at=NOON + datetime.timedelta(minutes=5),
    )
    assert Signature.objects.count() == count + 4, "both are on record"
    assert {each.guardian for each in late} == {second}
    assert outstanding(trip, at=NOON + datetime.timedelta(hours=1)).ready
    assert check_chain().whole


def test_a_guardian_named_twice_or_out_of_reach_is_refused() -> None:
    trip = booked_trip(heads=1)
    finn = on_board(trip, "Finn", born_on=CHILD)
    name_guardian(ward=finn, name="Niamh Skerry", email="niamh@example.org")
    with pytest.raises(ValidationError, match="named as a guardian already"):
        name_guardian(ward=finn, name="niamh  skerry", email="other@example.org")
    with pytest.raises(ValidationError, match="must be reached"):
        name_guardian(ward=finn, name="Somebody Else")
    assert Guardian.objects.count() == 1


def test_a_brother_of_seventeen_is_no_guardian() -> None:
    trip = booked_trip()
    brother = on_board(trip, "Robin", born_on=years_before(AFTER_THE_DAY, 18))
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=brother)
    state = outstanding(trip, at=NOON).of(finn.pk)
    assert state is not None
    assert state.needs[0].why == "Robin, named as guardian, is under age"
    with pytest.raises(ValidationError, match="a guardian signs"):
        signed(trip, finn, signer=of_person(brother), form=guardian_form("Robin"))


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"relation": " "}, "relation"),
        ({"contact_phone": ""}, "contact_phone"),
        ({"responsible_name": ""}, "responsible"),
    ],
)
def test_a_guardian_says_relation_contact_and_who_stays(change: dict[str, str], field: str) -> None:
    trip = booked_trip(heads=1)
    finn = on_board(trip, "Finn", born_on=CHILD)
    guardian = name_guardian(ward=finn, name="Niamh Skerry", email="niamh@example.org")
    with pytest.raises(ValidationError) as refused:
        signed(
            trip,
            finn,
            signer=of_guardian(guardian),
            form=guardian_form("Niamh Skerry", **change),
        )
    assert list(refused.value.message_dict) == [field]
    assert not Signature.objects.exists()


# ------------------------------------------------------------------ who comes, the offer's rules


def test_ratio_and_least_age_of_the_offer() -> None:
    trip = booked_trip(heads=3)
    trip.offer.heads_per_guide, trip.offer.minimum_age = 2, 10
    trip.offer.save()
    maeve = on_board(trip, "Maeve")
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
    tomas = on_board(trip, "Tomas")
    signed(trip, maeve)
    signed(trip, tomas)
    signed(trip, finn, signer=of_person(maeve), form=guardian_form("Maeve", responsible=maeve))
    stand = outstanding(trip, at=NOON)
    assert not stand.missing
    assert not stand.ready
    assert stand.stops == (
        "A party of 3 needs 2 guides at 2 to one, and 1 is planned.",
        "Finn will be 9; the least age is 10.",
    )
    assert stand.cautions == ("Finn will be 9: within hand's reach of an adult at the water.",)


def test_a_minor_with_nobody_who_stays_stops_the_trip() -> None:
    trip = booked_trip(heads=1)
    finn = on_board(trip, "Finn", born_on=CHILD)
    name_guardian(ward=finn, name="Niamh Skerry", email="niamh@example.org")
    stops = outstanding(trip, at=NOON).stops
    assert len(stops) == 1
    assert "Finn" in stops[0]


def test_a_trip_is_ready_only_when_nothing_is_missing() -> None:
    trip = booked_trip(heads=2)
    stand = outstanding(trip, at=NOON)
    assert not stand.ready
    assert stand.unnamed[0][1] == 2
    maeve = on_board(trip, "Maeve")
    signed(trip, maeve)
    assert outstanding(trip, at=NOON).sentences == (
        f"{trip.bookings.get().party.client}: 1 of 2 not named",
    )
    signed(trip, on_board(trip, "Tomas"))
    assert outstanding(trip, at=NOON).ready


def test_without_a_published_text_no_trip_is_ready() -> None:
    trip = booked_trip(heads=1, texts=False)
    on_board(trip, "Maeve")
    stand = outstanding(trip, at=NOON)
    assert stand.setup_lacks == ("No risk acknowledgement is published: publish one in Setup",)
    assert not stand.ready


def test_who_is_only_held_is_not_asked_yet() -> None:
    trip = booked_trip(heads=1)
    on_board(trip, "Maeve")
    Booking.objects.update(status="tentative", hold_until=NOON + datetime.timedelta(days=1))
    assert outstanding(trip, at=NOON).people == ()
    assert ask_to_sign(trip=trip, at=NOON) == []


def test_a_party_moved_to_another_day_has_signed_but_ages_count_anew() -> None:
    trip = booked_trip()
    maeve = on_board(trip, "Maeve")
    robin = on_board(trip, "Robin", born_on=years_before(AFTER_THE_DAY, 18), guardian=maeve)
    signed(trip, maeve)
    signed(trip, robin, signer=of_person(maeve), form=guardian_form("Maeve", responsible=maeve))
    assert outstanding(trip, at=NOON).ready

    booking = Booking.objects.get()
    week = datetime.timedelta(days=7)
    later = TripFactory(
        offer=trip.offer, starts_at=trip.starts_at + week, ends_at=trip.ends_at + week
    )
    cancel_booking(booking=booking, at=NOON)
    BookingFactory(party=booking.party, trip=later, heads=2)
    stand = outstanding(later, at=NOON)
    assert [state.person for state in stand.missing] == [robin], "eighteen by then"
    assert stand.missing[0].needs[0].why == (
        "risk acknowledgement signed by a guardian, and of age on the day"
    )


def test_a_cancelled_trip_asks_nobody() -> None:
    trip = booked_trip(heads=1)
    on_board(trip, "Maeve")
    Trip.objects.update(status="cancelled")
    trip.refresh_from_db()
    assert outstanding(trip, at=NOON).sentences == ()
    assert ask_to_sign(trip=trip, at=NOON) == []


def test_many_trips_cost_the_same_number_of_questions(
    django_assert_max_num_queries: Any,
) -> None:
    trips = [booked_trip(heads=1) for _ in range(6)]
    for trip in trips:
        on_board(trip, "Maeve")
    with django_assert_max_num_queries(14):
        outstanding_of(trips[:1], at=NOON)
    with django_assert_max_num_queries(14):
        found = outstanding_of(trips, at=NOON)
    assert len(found) == 6
    assert all(len(stand.missing) == 1 for stand in found.values())


# ------------------------------------------------------------------ the mark


def _try(trip: Trip, person: Participant, **changes: Any) -> list[Signature]:
    return signed(trip, person, form=form_of(person, **changes))


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"drawn": "", "typed": " "}, "typed", "Draw your signature or type your name."),
        ({"drawn": "[]"}, "drawn", "Nothing is drawn yet"),
        ({"drawn": "[[]]"}, "drawn", "Nothing is drawn yet"),
        ({"drawn": "[[[5000,5000]]]"}, "drawn", "A dot is no signature"),
        ({"drawn": "[[[5000,5000],[5001,5001]]]"}, "drawn", "A dot is no signature"),
        ({"drawn": "[[[0,0],[10001,0]]]"}, "drawn", "lies outside the field"),
        ({"drawn": "[[[0.5,0],[9000,0]]]"}, "drawn", "lies outside the field"),
        ({"drawn": "[[[true,0],[9000,0]]]"}, "drawn", "lies outside the field"),
        ({"drawn": '[[["1",0],[9000,0]]]'}, "drawn", "lies outside the field"),
        ({"drawn": "[[[1,2,3],[9000,0,1]]]"}, "drawn", "lies outside the field"),
        ({"drawn": "[[[NaN,0],[9000,0]]]"}, "drawn", "lies outside the field"),
        ({"drawn": "{}"}, "drawn", "did not arrive whole"),
        ({"drawn": "[[[0,0],[9000"}, "drawn", "did not arrive whole"),
        ({"drawn": "[" * 20_000}, "drawn", "did not arrive whole"),
        ({"drawn": json.dumps([[[n % 9, 9] for n in range(2001)]])}, "drawn", "too many points"),
        (
            {"drawn": json.dumps([[[n % 10000, 5] for n in range(100_000)]])},
            "drawn",
            "too large to be a signature",
        ),
        ({"drawn": "x" * 5 * 1024 * 1024}, "drawn", "too large to be a signature"),
        ({"drawn": "", "typed": "M"}, "typed", "a letter alone is no signature"),
        ({"drawn": "", "typed": "…--…"}, "typed", "a letter alone is no signature"),
        ({"drawn": "", "typed": "Ma\x07eve"}, "typed", "a character that no name has"),
        ({"drawn": "", "typed": "M" * 201}, "typed", "longer than 200 characters"),
        ({"signer_name": "7"}, "signer_name", "a letter alone is no signature"),
        ({"agrees": False}, "agrees", "ask the guide for paper"),
        ({"photos": ""}, "photos", "either answer is fine"),
        ({"photos": "maybe"}, "photos", "either answer is fine"),
        ({"health": None}, "allergy", "Answer the health questions."),
        ({"copy_to": "maeve at example"}, "copy_to", "no mail address"),
    ],
)
def test_what_is_no_signature_is_refused(
    changes: dict[str, Any], field: str, sentence: str
) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    before = ChainRecord.objects.count()
    with pytest.raises(ValidationError) as refused:
        _try(trip, maeve, **changes)
    assert sentence in refused.value.message_dict[field][0]
    assert not Signature.objects.exists()
    assert ChainRecord.objects.count() == before


def test_the_largest_drawing_that_is_taken() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    drawn = json.dumps([[[n * 5, (n * 37) % 9999] for n in range(2000)]], separators=(",", ":"))
    record = signed_record(_try(trip, maeve, drawn=drawn)[0].pk)
    assert record is not None
    assert sum(map(len, record.strokes)) == 2000
    assert json.loads(record.facts["mark"]) == json.loads(drawn)


@pytest.mark.parametrize(
    "name",
    ["Séamus Ó Broin", "Ζωή Παπαδοπούλου", "Ольга Чайкина", "李小龍", "مريم البحري", "ดวงใจ ทะเล"],
    ids=["Latin", "Greek", "Cyrillic", "Han", "Arabic", "Thai"],
)
def test_names_in_six_scripts_are_kept_as_typed(name: str) -> None:
    trip = booked_trip(heads=1)
    person = on_board(trip, name)
    record = signed_record(_try(trip, person, drawn="", typed=name)[0].pk)
    assert record is not None
    assert record.facts["mark"] == record.facts["signer_name"] == name
    assert record.facts["signed_for"] == name
    assert check_chain().whole


def test_a_drawing_counts_before_a_typed_name() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    record = signed_record(_try(trip, maeve, typed="Maeve Skerry")[0].pk)
    assert record is not None
    assert record.facts["mark_kind"] == "drawn"
    assert len(record.strokes) == 2


# ------------------------------------------------------------------ pressing twice, links


def test_the_same_press_twice_signs_once() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    form = form_of(maeve)
    first = signed(trip, maeve, form=form, kinds=("risks", "terms", "health", "photos"))
    again = signed(trip, maeve, form=form, kinds=("risks", "terms", "health", "photos"))
    assert [each.pk for each in first] == [each.pk for each in again]
    assert Signature.objects.count() == 4


def test_a_second_window_signs_nothing_anew() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    first = signed(trip, maeve, kinds=("risks", "terms"))
    again = signed(trip, maeve, kinds=("risks", "terms"))
    assert [each.pk for each in first] == [each.pk for each in again]


def test_answers_about_photos_can_be_changed_and_both_stand() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    signed(trip, maeve)
    later = NOON + datetime.timedelta(hours=1)
    changed = signed(trip, maeve, kinds=("photos",), form=form_of(maeve, photos="no"), at=later)
    assert [each.answer for each in Signature.objects.filter(text__kind="photos")] == ["yes", "no"]
    assert changed[0].answer == "no"
    assert outstanding(trip, at=later).ready


def test_texts_of_another_kind_of_person_cannot_be_signed() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    with pytest.raises(ValidationError, match="nothing of this kind"):
        signed(trip, maeve, kinds=("guardian",))


def test_nobody_signs_for_a_trip_that_is_over_or_that_they_are_not_on() -> None:
    trip, other = booked_trip(heads=1), booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    link, _ = link_of(of_person(maeve), trip)
    texts = list(texts_in("en", ("risks",), at=NOON).values())
    how = by_link(link, address="", agent="")
    wrong = [
        ({"trip": other, "at": NOON}, "is not on this trip"),
        ({"trip": trip, "at": trip.ends_at}, "This trip is over"),
    ]
    for changes, sentence in wrong:
        with pytest.raises(ValidationError, match=sentence):
            sign(
                person=maeve,
                signer=of_person(maeve),
                texts=texts,
                form=form_of(maeve),
                how=how,
                **changes,  # type: ignore[arg-type]
            )
    with pytest.raises(ValidationError, match="This trip is over"):
        make_link(signer=of_person(maeve), trip=trip, at=trip.ends_at)
    assert not Signature.objects.exists()


def test_a_link_is_long_hashed_and_ends() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve", email="maeve@example.org")
    link, token = link_of(of_person(maeve), trip)
    assert len(token) >= 43, "256 bits"
    assert token not in json.dumps(list(SigningLink.objects.values("token_hash", "sent_to")))
    assert link.sent_to == "maeve@example.org"
    assert open_link(token, at=NOON).signer.person == maeve
    month = NOON + datetime.timedelta(days=30)
    assert link.expires_at == min(month, trip.ends_at + datetime.timedelta(days=1))
    for moment, reason in ((link.expires_at, "over"), (NOON, "unknown")):
        with pytest.raises(ShutLinkError) as shut:
            open_link(token if reason == "over" else token[:-1], at=moment)
        assert shut.value.reason == reason


def test_links_taken_back_open_nothing_and_sign_nothing() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    link, token = link_of(of_person(maeve), trip)
    assert take_back_links(trip=trip, at=NOON) == 1
    with pytest.raises(ShutLinkError) as shut:
        open_link(token, at=NOON)
    assert shut.value.reason == "revoked"
    with pytest.raises(ValidationError, match="taken back"):
        sign(
            trip=trip,
            person=maeve,
            signer=of_person(maeve),
            texts=list(texts_in("en", ("risks",), at=NOON).values()),
            form=form_of(maeve),
            how=by_link(link, address="", agent=""),
            link=link,
            at=NOON,
        )


def test_the_guides_phone_stays_open_for_a_quarter_of_an_hour() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    link, _ = link_of(of_person(maeve), trip, way=SigningLink.Way.PHONE)
    assert link.expires_at == NOON + datetime.timedelta(minutes=15)
    records = signed(trip, maeve, how=by_link(link, address="", agent=""))
    record = signed_record(records[0].pk)
    assert record is not None
    assert record.facts["method"] == "phone"
    assert record.facts["identified_by"] == "in person by the guide, at the meeting point"


def test_one_without_mail_is_asked_all_the_same() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve", email="", phone="")
    maeve.party.client.email = ""  # nor does who booked have one, through whom it would go
    maeve.party.client.save()
    asked = ask_to_sign(trip=trip, at=NOON)
    assert len(asked) == 1
    assert asked[0].link.sent_to == ""
    opened = open_link(asked[0].token, at=NOON)
    record = signed(trip, opened.people[0].person)[0]
    facts = signed_record(record.pk)
    assert facts is not None
    assert facts.facts["identified_by"] == "private link handed over by the guide"
    assert not OwedCopy.objects.exists()


def test_a_copy_by_mail_is_written_down_as_owed_and_nothing_is_claimed() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    signed(trip, maeve, form=form_of(maeve, copy_to="maeve@example.org"))
    owed = list(OwedCopy.objects.values_list("to", "language", "sent_at"))
    assert owed == [("maeve@example.org", "en", None)] * 4


def test_who_is_taken_off_the_list_stays_on_record() -> None:
    trip = booked_trip()
    maeve, tomas = on_board(trip, "Maeve"), on_board(trip, "Tomas")
    signed(trip, maeve)
    remove_participant(participant=maeve)
    assert Signature.objects.filter(participant=None).count() == 4
    record = signed_record(Signature.objects.earliest("record").pk)
    assert record is not None
    assert record.facts["signed_for"] == "Maeve"
    assert check_chain().whole
    assert [state.person for state in outstanding(trip, at=NOON).people] == [tomas]


def test_address_and_browser_are_shortened() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    link, _ = link_of(of_person(maeve), trip)
    long = "Browser/1.0 " + "x" * 400
    record = signed(trip, maeve, how=by_link(link, address="192.0.2.77", agent=long))[0]
    trace = Signature.objects.select_related("trace").get(pk=record.pk).trace
    assert trace is not None
    assert trace.address == "192.0.2.0"
    assert len(trace.agent) == 200


def test_two_records_never_follow_the_same_one() -> None:
    """Whatever the lock does: the database refuses a second follower."""
    trip = booked_trip(heads=1)
    signed(trip, on_board(trip, "Maeve"))
    last = ChainRecord.objects.latest("number")
    with pytest.raises(IntegrityError), transaction.atomic():
        ChainRecord.objects.create(
            number=last.number + 1,
            content="{}",
            previous_hash=last.previous_hash,
            own_hash="f" * 64,
        )
    with pytest.raises(IntegrityError), transaction.atomic():
        ChainRecord.objects.create(
            number=last.number, content="{}", previous_hash=last.own_hash, own_hash="f" * 64
        )


def test_an_earlier_question_is_answered_as_of_then() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    signed(trip, maeve)
    before = NOON - datetime.timedelta(hours=1)
    assert not outstanding(trip, at=before).ready
    assert outstanding(trip, at=NOON).ready


def test_a_trip_of_two_parties_keeps_them_apart() -> None:
    trip = booked_trip(heads=1, places=8)
    maeve = on_board(trip, "Maeve")
    other = PartyFactory(offer=trip.offer, heads=1)
    BookingFactory(party=other, trip=trip, heads=1)
    stranger = Participant.objects.create(party=other, given_name="Ulla", born_on=GROWN)
    _, token = link_of(of_person(maeve), trip)
    opened = open_link(token, at=NOON)
    assert opened.of(maeve.pk) is not None
    assert opened.of(stranger.pk) is None
