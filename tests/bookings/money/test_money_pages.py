"""The pages of money, as a browser meets them: each sum shown, each slip answered."""

from __future__ import annotations

import datetime
import re
import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import Group, User
from django.test import Client as Browser
from django.utils import timezone

from bookings.actions.money.payments import record_payment
from bookings.actions.trips import cancel_booking, hold_places, move_trip_state
from bookings.forms.money import MoneyField
from bookings.models import Booking, Business, MoneyEntry, Settlement, Waiting
from bookings.queries.books import broken_money
from bookings.queries.money import booking_account
from bookings.rules.states import TripState
from tests.bookings.reading import problems, told
from tests.factories import OfferFactory, PartyFactory, TripFactory, UserFactory
from tests.factories_bookings import agreed, another

DAY = datetime.timedelta(days=1)
pytestmark = pytest.mark.usefixtures("business")


def soon(days: int = 60, **more: Any) -> dict[str, Any]:
    now = timezone.now()
    return {"starts_at": now + days * DAY, "ends_at": now + (days + 0.5) * DAY} | more


def booked(heads: int = 2, days: int = 60, **more: Any) -> Booking:
    return agreed(heads=heads, at=timezone.now(), **soon(days, **more))


def page_of(booking: Booking, what: str = "") -> str:
    return f"/parties/{booking.party_id}/bookings/{booking.pk}/{what}"


def seen(html: str) -> str:
    found = re.search(r'name="seen" value="([^"]*)"', html)
    assert found, "nothing is shown to agree to"
    return found.group(1)


def payment(**more: str) -> dict[str, str]:
    return {
        "key": str(uuid.uuid4()),
        "amount": "174",
        "moved_on": f"{timezone.localdate()}",
        "way": "bank",
    } | more


def test_a_booking_shows_what_is_agreed_billed_paid_and_left(desk: Browser) -> None:
    booking = booked()
    page = desk.get(page_of(booking)).content.decode()
    for sum_ in ("€580.00", "€174.00", "€406.00", "€0.00"):
        assert sum_ in page
    assert "Invoice 2026-0001" in page or f"{timezone.localdate().year}-0001" in page
    assert "None" not in page
    page = desk.get(f"/parties/{booking.party_id}/").content.decode()
    assert "€580.00" in page
    assert page_of(booking) in page


def test_a_payment_pressed_twice_and_once_more_from_the_back_button(desk: Browser) -> None:
    booking = booked()
    address, sent = f"/parties/{booking.party_id}/pay/", payment()
    for _ in range(3):
        answer = desk.post(address, sent)
        assert answer.headers["Location"] == f"/parties/{booking.party_id}/"
    assert booking_account(booking).paid == 174
    twin = desk.post(address, payment())  # another tab, another key, the same payment
    assert twin.status_code == 422
    assert "is entered already as R" in problems(twin.content.decode())
    assert 'name="again"' in twin.content.decode()
    assert 'type="checkbox" name="again"' in twin.content.decode().replace('" id', '"')
    desk.post(address, payment(again="on"))
    assert booking_account(booking).paid == 348


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"amount": ""}, "This field is required."),
        ({"amount": "0.005"}, "0.005 EUR has more digits than the currency"),
        ({"amount": "0"}, "Enter an amount above 0."),
        ({"amount": "-10"}, "Enter an amount above 0."),
        ({"amount": "a lot"}, "Enter a number."),
        ({"amount": "9" * 30}, "no more than"),
        ({"moved_on": "2090-01-01"}, "This day is still to come."),
        ({"moved_on": "1890-01-01"}, "long past"),
        ({"moved_on": "yesterday"}, "Enter a valid date."),
        ({"way": "barter"}, "Select a valid choice."),
        ({"note": "n" * 400}, "at most 300 characters"),
    ],
)
def test_a_wrong_payment_is_refused_and_kept(
    desk: Browser, change: dict[str, str], sentence: str
) -> None:
    booking = booked()
    answer = desk.post(f"/parties/{booking.party_id}/pay/", payment() | change)
    assert answer.status_code == 422
    assert sentence in problems(answer.content.decode())
    assert MoneyEntry.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "amount"),
    [
        ("348", "348"),
        ("348,50", "348.50"),
        ("€1,160.00", "1160.00"),
        ("1.160,00 €", "1160.00"),
        ("1 160,5", "1160.5"),
        ("1,160", "1160"),
        ("0,005", "0.005"),
        ("-5", "-5"),
    ],
)
def test_amounts_are_read_as_people_type_them(typed: str, amount: str) -> None:
    assert MoneyField().clean(typed) == Decimal(amount)


def test_one_payment_for_the_bookings_ticked(desk: Browser) -> None:
    booking = booked()
    second = another(booking, at=timezone.now(), **soon(90))
    answer = desk.get(f"/parties/{booking.party_id}/pay/").content.decode()
    assert 'value="348.00"' in answer  # both deposits are due today
    sent = payment(amount="300") | {"bookings": [str(second.pk)]}
    desk.post(f"/parties/{booking.party_id}/pay/", sent)
    assert booking_account(second).paid == 300
    assert booking_account(booking).paid == 0


def test_a_refund_above_what_was_paid_is_refused(desk: Browser) -> None:
    booking = booked()
    record_payment(party=booking.party, amount=Decimal(174), moved_on=timezone.localdate())
    address = page_of(booking, "refund/")
    sent = payment(amount="174.01", reason="goodwill")
    answer = desk.post(address, sent)
    assert answer.status_code == 422
    assert "174.00 EUR is there to give back" in problems(answer.content.decode())
    assert desk.post(address, sent | {"amount": "174"}).status_code == 302
    assert booking_account(booking).paid == 0
    stranger = PartyFactory()
    assert desk.get(f"/parties/{stranger.pk}/bookings/{booking.pk}/refund/").status_code == 404
    assert desk.get(f"/parties/{stranger.pk}/bookings/{booking.pk}/").status_code == 404


def test_the_balance_is_billed_once(desk: Browser) -> None:
    booking = booked()
    first = desk.post(page_of(booking, "bill/"))
    entry = MoneyEntry.objects.order_by("pk").last()
    assert entry is not None
    assert first.headers["Location"] == f"/money/papers/{entry.pk}/"
    page = desk.get(f"/money/papers/{entry.pk}/").content.decode()
    assert "Less invoice" in page
    again = desk.post(page_of(booking, "bill/"), follow=True)
    assert "All that was agreed is billed already." in told(again.content.decode())
    assert MoneyEntry.objects.count() == 2


def test_heads_are_changed_as_shown_and_not_otherwise(desk: Browser) -> None:
    booking = booked(heads=3, days=10)
    address = page_of(booking, "heads/")
    shown = desk.get(address, {"heads": "2", "children": "0"}).content.decode()
    assert "1 place given up 10 days before" in shown
    assert "€87.00" in shown
    assert "€667.00" in shown
    booking.refresh_from_db()
    assert booking.heads == 3  # looking changes nothing
    sent = {"heads": "2", "children": "0", "seen": seen(shown)}
    stale = desk.post(address, sent | {"seen": "580 580 0"})
    assert stale.status_code == 422
    assert "has changed since you looked" in problems(stale.content.decode())
    assert desk.post(address, sent).status_code == 302
    booking.refresh_from_db()
    assert (booking.heads, booking.price) == (2, Decimal("667.00"))
    assert broken_money() == []


@pytest.mark.parametrize(
    ("heads", "sentence"),
    [
        ("0", "cancel the booking instead"),
        ("-1", "cancel the booking instead"),
        ("9", "9 heads are too many"),
        ("200", "less than or equal to 60"),
        ("", "This field is required."),
    ],
)
def test_a_party_of_an_impossible_size_is_refused(desk: Browser, heads: str, sentence: str) -> None:
    booking = booked()
    for answer in (
        desk.get(page_of(booking, "heads/"), {"heads": heads}),
        desk.post(page_of(booking, "heads/"), {"heads": heads}),
    ):
        assert sentence in problems(answer.content.decode())
    booking.refresh_from_db()
    assert booking.heads == 2


def test_another_day_is_shown_then_done(desk: Browser) -> None:
    booking = booked()
    record_payment(party=booking.party, amount=Decimal(174), moved_on=timezone.localdate())
    other = TripFactory(offer=booking.trip.offer, **soon(70))
    TripFactory(offer=booking.trip.offer, places=1, **soon(80))  # too small to be offered
    address = page_of(booking, "date/")
    page = desk.get(address).content.decode()
    assert page.count("<option") == 4  # none, the other day, two sides
    shown = desk.get(address, {"trip": other.pk, "by": "client"}).content.decode()
    assert "Goes along" in shown
    answer = desk.post(address, {"trip": other.pk, "by": "client", "seen": seen(shown)})
    new = Booking.objects.get(trip=other)
    assert answer.headers["Location"] == page_of(new)
    assert booking_account(new).paid == 174
    assert "another date" in desk.get(page_of(booking)).content.decode()


def test_cancelling_is_shown_then_done_and_the_choice_noted(desk: Browser) -> None:
    booking = booked()
    record_payment(party=booking.party, amount=Decimal(580), moved_on=timezone.localdate())
    address = page_of(booking, "cancel/")
    shown = desk.get(address, {"by": "client"}).content.decode()
    assert "nothing is charged" in shown
    assert Settlement.objects.count() == 0
    desk.post(address, {"by": "client", "seen": seen(shown)})
    page = desk.get(page_of(booking)).content.decode()
    assert "Money back" in page
    answer = desk.post(page_of(booking, "choose/"), {"choice": "gift"}, follow=True)
    assert "Choose money back or another date." in told(answer.content.decode())
    desk.post(page_of(booking, "choose/"), {"choice": "refund"})
    assert Settlement.objects.get().refunded == 580
    answer = desk.post(page_of(booking, "choose/"), {"choice": "move"}, follow=True)
    assert "chosen already" in told(answer.content.decode())
    assert "To go back or to move" in desk.get("/money/").content.decode()


def test_all_parties_of_a_called_off_day_in_one_go(desk: Browser) -> None:
    offer = OfferFactory(shared=True, places=8)
    days = soon(30)
    trip = TripFactory(offer=offer, places=8, **days)
    other = TripFactory(offer=offer, places=2, **soon(40))
    bookings = []
    for _ in range(3):
        party = PartyFactory(offer=offer)
        bookings.append(agreed_on(party, trip))
    for booking in bookings[:2]:
        record_payment(party=booking.party, amount=Decimal(174), moved_on=timezone.localdate())
    move_trip_state(trip=trip, to=TripState.CANCELLED, reason="gale")
    first, second, third = (Settlement.objects.get(booking=booking) for booking in bookings)
    address = f"/trips/{trip.pk}/parties/"
    page = desk.get(address).content.decode()
    assert "3\N{NO-BREAK SPACE}parties have" in page
    both = {f"choice-{x.pk}": f"trip-{other.pk}" for x in (first, second)}
    refused = desk.post(address, both | {f"choice-{third.pk}": ""})
    assert refused.status_code == 422
    assert "All 2 places of this trip are taken" in problems(refused.content.decode())
    assert not Booking.objects.filter(trip=other).exists()  # all of it or nothing
    answer = desk.post(
        address, both | {f"choice-{second.pk}": "refund", f"choice-{third.pk}": ""}, follow=True
    )
    assert "Noted for 2 of 3." in told(answer.content.decode())
    assert Booking.objects.get(trip=other).party == bookings[0].party
    assert booking_account(Booking.objects.get(trip=other)).paid == 174
    assert "1\N{NO-BREAK SPACE}party has" in answer.content.decode()
    assert broken_money() == []


def agreed_on(party: Any, trip: Any) -> Booking:
    from bookings.actions.quotes import accept_quote, draft_quote, send_quote

    held = hold_places(party=party, trip=trip, heads=2)
    quote = draft_quote(party=party, offer=trip.offer, heads=2, booking=held)
    booking = accept_quote(quote=send_quote(quote=quote)).booking
    assert booking is not None
    return booking


def test_the_waiting_list_on_its_page(desk: Browser) -> None:
    booking = booked()
    party = PartyFactory(heads=1)
    address = f"/trips/{booking.trip_id}/wait/"
    assert desk.post(address, {"party": party.pk, "heads": "1"}).status_code == 302
    again = desk.post(address, {"party": party.pk, "heads": "1"})
    assert "on the list of this day already" in problems(again.content.decode())
    waiting = Waiting.objects.get()
    answer = desk.post(f"/waiting/{waiting.pk}/place/", follow=True)
    assert "is for one party a day" in told(answer.content.decode())
    cancel_booking(booking=booking)
    answer = desk.post(f"/waiting/{waiting.pk}/place/", follow=True)
    assert "has the places" in told(answer.content.decode())
    answer = desk.post(f"/waiting/{waiting.pk}/leave/", follow=True)
    assert "nothing was changed" in told(answer.content.decode())


def test_corrections_from_the_page_of_a_paper(desk: Browser) -> None:
    booking = booked()
    invoice = MoneyEntry.objects.get()
    answer = desk.post(f"/money/papers/{invoice.pk}/credit/", {"amount": "200", "reason": "slip"})
    assert "174.00 EUR is left of this invoice" in problems(answer.content.decode())
    desk.post(f"/money/papers/{invoice.pk}/credit/", {"amount": "74", "reason": "slip"})
    page = desk.get(f"/money/papers/{invoice.pk}/").content.decode()
    assert "€100.00 is left of it" in page
    entry = record_payment(party=booking.party, amount=Decimal(50), moved_on=timezone.localdate())
    address = f"/money/papers/{entry.pk}/take-out/"
    assert desk.post(address, {"reason": ""}).status_code == 422
    desk.post(address, {"reason": "another client's"})
    answer = desk.post(address, {"reason": "again"})
    assert "taken out already" in problems(answer.content.decode())
    assert "Taken out by" in desk.get(f"/money/papers/{entry.pk}/").content.decode()
    answer = desk.post(page_of(booking, "write-off/"), {"amount": "1000", "reason": "gone"})
    assert "100.00 EUR is billed and open" in problems(answer.content.decode())
    desk.post(page_of(booking, "write-off/"), {"amount": "100", "reason": "gone"})
    assert broken_money() == []


def test_lists_and_the_year_say_how_many_and_why_empty(desk: Browser) -> None:
    for name in ("invoices", "payments", "refunds", "other"):
        assert "None yet." in desk.get(f"/money/{name}/").content.decode()
    assert "None here." in desk.get("/money/quotes/?state=lapsed").content.decode()
    assert desk.get("/money/years/1890/").status_code == 404
    booked()
    year = timezone.localdate().year
    page = desk.get(f"/money/years/{year}/").content.decode()
    assert "€174.00" in page
    assert "1\N{NO-BREAK SPACE}paper" in desk.get("/money/invoices/").content.decode()
    assert "Still to come" in desk.get("/money/").content.decode()


def test_a_bookkeeper_reads_and_a_stranger_does_not(client: Browser) -> None:
    from guiding.desk.actions.first_run import make_roles

    make_roles()
    booking = booked()
    person: User = UserFactory()
    person.groups.add(Group.objects.get(name="bookkeeper"))
    assert client.get("/money/").status_code == 302
    client.force_login(person, backend="allauth.account.auth_backends.AuthenticationBackend")
    assert client.get("/money/").status_code == 200
    assert client.get(page_of(booking)).status_code == 200
    for address in (
        f"/parties/{booking.party_id}/pay/",
        page_of(booking, "cancel/"),
        page_of(booking, "refund/"),
    ):
        assert client.post(address, payment()).status_code == 403
    assert MoneyEntry.objects.count() == 1


def test_pages_cost_the_same_whatever_is_on_them(
    desk: Browser, django_assert_max_num_queries: Any
) -> None:
    Business.objects.get()
    counts: dict[str, list[int]] = {}
    booking = booked()
    for _ in range(2):
        for address in ("/money/", "/money/invoices/", f"/parties/{booking.party_id}/"):
            with django_assert_max_num_queries(45) as captured:
                assert desk.get(address).status_code == 200
            counts.setdefault(address, []).append(len(captured.captured_queries))
        for n in range(6):
            booked(days=61 + n)
            another(booking, at=timezone.now(), **soon(100 + n))
    for address, (few, many) in counts.items():
        assert few == many, address
