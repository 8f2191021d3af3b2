"""One person entered twice: found, put together, parted again; money and forms stay put."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Model
from django.test import Client as Browser
from pytest_django import DjangoAssertNumQueries

from bookings.actions.merges import keep_apart, merge_clients, undo_merge
from bookings.actions.money.payments import record_payment
from bookings.actions.parties import open_enquiry
from bookings.actions.rights import erase_person
from bookings.models import (
    Client,
    ClientMerge,
    MoneyEntry,
    MoneyShare,
    Participant,
    Party,
    Signature,
)
from bookings.queries.books import broken_money
from bookings.queries.merges import doubles
from bookings.queries.money import party_account
from tests.bookings.reading import told
from tests.factories import NOON, BookingFactory, ClientFactory, PartyFactory
from tests.factories_bookings import agreed
from tests.factories_signing import booked_trip, on_board, signed


def _rows(*models: type[Model]) -> list[dict[str, Any]]:
    return [row for model in models for row in model._base_manager.order_by("pk").values()]


def _pair(**newer: str) -> tuple[Client, Client]:
    kept = ClientFactory(given_name="Maeve", family_name="Skerry", email="m@example.org")
    gone = ClientFactory(**{"given_name": "Maeve", "family_name": "Skerry", "email": ""} | newer)
    return kept, gone


@pytest.mark.parametrize(
    ("newer", "reason"),
    [
        ({"email": "M@Example.org", "given_name": "Mae"}, "the same mail"),
        ({"email": "", "phone": "", "given_name": "MAEVE"}, "the same name"),
        ({"email": "other@example.org"}, "the same name"),
    ],
)
def test_who_may_be_one_person_is_found(business: Any, newer: dict[str, str], reason: str) -> None:
    kept, gone = _pair(**newer)
    ClientFactory()
    (pair,) = doubles()
    assert (pair.kept, pair.gone, pair.reason) == (kept, gone, reason)


def test_one_telephone_is_one_person_until_somebody_says_no(business: Any) -> None:
    one = ClientFactory(phone="+353209100123")
    other = ClientFactory(phone="+353209100123")
    assert [pair.reason for pair in doubles()] == ["the same telephone"]
    keep_apart(one=one, other=other, at=NOON)
    assert doubles() == []


def test_namesakes_with_their_own_mail_and_telephone_are_two_people(business: Any) -> None:
    _pair(email="other@example.org", phone="+353209100124")
    Client.objects.filter(email="m@example.org").update(phone="+353209100123")
    assert doubles() == []


def test_a_merge_moves_cases_and_fills_gaps_and_the_undo_restores_every_row(business: Any) -> None:
    kept, gone = _pair(phone="+353209100123")
    kept.note, gone.note, gone.address = "Likes dawn.", "Left-handed.", "1 Shore Road"
    kept.save()
    gone.save()
    mine, theirs = PartyFactory(client=kept), PartyFactory(client=gone)
    before = _rows(Client, Party)
    merge = merge_clients(kept=kept, gone=gone, at=NOON)
    kept.refresh_from_db()
    assert set(kept.parties.all()) == {mine, theirs}
    assert (kept.phone, kept.address, kept.email) == (
        "+353209100123",
        "1 Shore Road",
        "m@example.org",
    )
    assert kept.note == "Likes dawn.\n\nLeft-handed."
    assert not gone.parties.exists()
    undo_merge(merge=merge, at=NOON + datetime.timedelta(days=1))
    assert _rows(Client, Party) == before


def test_money_and_signed_forms_point_right_before_and_after(business: Any) -> None:
    booking = agreed()
    record_payment(party=booking.party, amount=Decimal(50), moved_on=NOON.date(), at=NOON)
    trip = booked_trip()
    signed(trip, on_board(trip, "Anna"))
    signer = Participant.objects.get(given_name="Anna").party
    kept = ClientFactory(given_name="Kept")
    money = _rows(MoneyEntry, MoneyShare, Signature, Participant)
    accounts = party_account(booking.party)
    merges = [
        merge_clients(kept=kept, gone=each.client, at=NOON) for each in (booking.party, signer)
    ]
    booking.party.refresh_from_db()
    assert booking.party.client == kept
    assert _rows(MoneyEntry, MoneyShare, Signature, Participant) == money
    assert party_account(booking.party) == accounts
    assert broken_money() == []
    for merge in reversed(merges):
        undo_merge(merge=merge)
    booking.party.refresh_from_db()
    assert booking.party.client != kept
    assert _rows(MoneyEntry, MoneyShare, Signature, Participant) == money
    assert broken_money() == []


def test_what_was_typed_since_and_cases_opened_since_stay(business: Any) -> None:
    kept, gone = _pair(phone="+353209100123")
    merge = merge_clients(kept=kept, gone=gone, at=NOON)
    kept.refresh_from_db()
    kept.phone = "+353209100199"
    kept.save()
    newer = PartyFactory(client=kept)
    undo_merge(merge=merge)
    kept.refresh_from_db()
    newer.refresh_from_db()
    assert kept.phone == "+353209100199"
    assert newer.client == kept


def test_who_writes_from_the_merged_address_is_the_one_who_was_kept(business: Any) -> None:
    first, second = _pair(email="second@example.org")
    third = ClientFactory(email="third@example.org")
    merge_clients(kept=second, gone=third, at=NOON)
    merge_clients(kept=first, gone=second, at=NOON)
    party = open_enquiry(
        country="IE", person={"given_name": "M", "email": "THIRD@example.org"}, heads=2, at=NOON
    )
    assert party.client == first


def test_merges_are_undone_from_the_last_to_the_first(business: Any) -> None:
    a, b, c = ClientFactory(), ClientFactory(), ClientFactory()
    case = PartyFactory(client=a)
    lower = merge_clients(kept=b, gone=a, at=NOON)
    upper = merge_clients(kept=c, gone=b, at=NOON)
    with pytest.raises(ValidationError, match="Part those two first"):
        undo_merge(merge=lower)
    undo_merge(merge=upper)
    undo_merge(merge=lower)
    case.refresh_from_db()
    assert case.client == a


def test_merging_twice_or_with_oneself_is_refused_with_a_sentence(business: Any) -> None:
    kept, gone = _pair()
    with pytest.raises(ValidationError, match="one and the same entry"):
        merge_clients(kept=kept, gone=kept)
    merge = merge_clients(kept=kept, gone=gone, at=NOON)
    with pytest.raises(ValidationError, match="was found to be Maeve Skerry already"):
        merge_clients(kept=kept, gone=gone)
    with pytest.raises(ValidationError, match="was found to be"):
        merge_clients(kept=gone, gone=kept)
    undo_merge(merge=merge)
    with pytest.raises(ValidationError, match="parted already"):
        undo_merge(merge=merge)


def test_the_database_lets_nobody_be_merged_away_twice(business: Any) -> None:
    kept, gone = _pair()
    ClientMerge.objects.create(kept=kept, gone=gone, at=NOON)
    for wrong in (
        {"kept": ClientFactory(), "gone": gone},
        {"kept": kept, "gone": kept},
        {"kept": kept, "gone": gone, "undone_at": NOON - datetime.timedelta(seconds=1)},
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            ClientMerge.objects.create(at=NOON, **wrong)


def test_who_asks_to_be_forgotten_is_forgotten_under_every_entry(business: Any) -> None:
    kept, gone = _pair(email="second@example.org", phone="+353209100123")
    PartyFactory(client=gone, wishes="my own words")
    merge_clients(kept=kept, gone=gone, at=NOON)
    erase_person(email="second@example.org", by="the guide", at=NOON)
    left = str(_rows(Client, Party, ClientMerge))
    for word in ("Skerry", "example.org", "209100123", "my own words"):
        assert word not in left


def test_the_pages_put_together_and_part(desk: Browser) -> None:
    kept, gone = _pair(email="M@example.org")
    PartyFactory(client=kept)
    party = PartyFactory(client=gone)
    page = desk.get("/parties/same/").content.decode()
    assert "the same mail" in page
    answer = desk.post("/parties/same/merge/", {"kept": kept.pk, "gone": gone.pk}, follow=True)
    assert "1 case moved over" in told(answer.content.decode())
    assert "Part them again" in answer.content.decode()
    again = desk.post("/parties/same/merge/", {"kept": kept.pk, "gone": gone.pk}, follow=True)
    assert "was found to be" in told(again.content.decode())
    page = desk.get(f"/parties/{party.pk}/").content.decode()
    assert "Other cases of theirs" in page
    merge = ClientMerge.objects.get()
    answer = desk.post(f"/parties/same/{merge.pk}/undo/", follow=True)
    assert "are two again" in told(answer.content.decode())
    party.refresh_from_db()
    assert party.client == gone
    for sent in ({"kept": kept.pk, "gone": ""}, {"kept": "x²", "gone": "9" * 40}):
        answer = desk.post("/parties/same/merge/", sent, follow=True)
        assert "One of the two is not there any more." in told(answer.content.decode())
    assert desk.post("/parties/same/999/undo/").status_code == 404


def test_somebody_is_searched_for_from_a_party(desk: Browser) -> None:
    party = PartyFactory(client=ClientFactory(given_name="Maeve"))
    ClientFactory(given_name="Medb", family_name="Skerry")
    assert "Medb" not in desk.get(f"/parties/{party.pk}/same/").content.decode()
    page = desk.get(f"/parties/{party.pk}/same/?q=medb").content.decode()
    assert "Medb Skerry" in page
    assert "One person, keep Maeve" in page


def test_the_list_of_pairs_takes_the_same_number_of_queries(
    desk: Browser, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for n in range(12):
        for _ in range(2):
            BookingFactory(
                party=PartyFactory(
                    client=ClientFactory(email=f"c{n}@example.org", family_name="Reilly")
                )
            )
    with django_assert_max_num_queries(14):
        page = desk.get("/parties/same/").content.decode()
    assert page.count("the same mail") == 12
