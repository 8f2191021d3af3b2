"""Payments, refunds, write-offs: shared out, never twice, never more back than came in."""

from __future__ import annotations

import datetime
import uuid
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from bookings.actions.money.payments import (
    record_payment,
    record_refund,
    take_out,
    transfer,
    write_off,
)
from bookings.models import Booking, Business, MoneyEntry
from bookings.queries.books import broken_money
from bookings.queries.money import booking_account, on_account, party_account
from bookings.sheets.accounts import accounts_of
from tests.factories import NOON, PartyFactory
from tests.factories_bookings import agreed, another

pytestmark = pytest.mark.usefixtures("business")
DAY = datetime.timedelta(days=1)
TODAY = datetime.date(2026, 6, 1)
SOON = {"starts_at": NOON + 60 * DAY, "ends_at": NOON + 60.5 * DAY}
LATER = {"starts_at": NOON + 90 * DAY, "ends_at": NOON + 90.5 * DAY}


def pay(booking: Booking, amount: str, **facts: object) -> MoneyEntry:
    given = {"party": booking.party, "moved_on": TODAY, "at": NOON} | facts
    return record_payment(amount=Decimal(amount), **given)  # type: ignore[arg-type]


def word(booking: Booking, on: datetime.date = TODAY) -> str:
    booking.refresh_from_db()
    (account,) = accounts_of([booking], business=Business.objects.get(), on=on)
    return account.word


def test_a_deposit_a_part_and_the_rest() -> None:
    booking = agreed(**SOON)  # 580, of it 174 at once and 406 by 24 July
    assert word(booking) == "unpaid"
    assert word(booking, TODAY + DAY) == "overdue"
    pay(booking, "100")
    pay(booking, "74")
    assert word(booking, TODAY + DAY) == "part paid"
    assert word(booking, datetime.date(2026, 7, 25)) == "overdue"
    receipt = pay(booking, "406")
    assert word(booking, datetime.date(2026, 7, 25)) == "paid"
    assert receipt.label == "R2026-0003"
    assert broken_money() == []


def test_what_is_paid_too_much_stands_on_account_and_pays_the_next_day() -> None:
    booking = agreed(**SOON)
    pay(booking, "600")
    assert booking_account(booking).paid == 580
    assert on_account(booking.party) == 20
    second = another(booking, **LATER)
    assert booking_account(second).paid == 20
    assert on_account(booking.party) == 0
    assert broken_money() == []


def test_one_payment_for_two_bookings_pays_both_deposits_first() -> None:
    booking = agreed(**SOON)
    second = another(booking, **LATER)
    pay(booking, "500")
    assert booking_account(booking).paid == 174 + (500 - 2 * 174)
    assert booking_account(second).paid == 174
    assert party_account(booking.party).paid == 500


def test_one_payment_for_bookings_of_two_parties_of_one_client() -> None:
    booking, other = agreed(**SOON), agreed(**LATER)
    with pytest.raises(ValidationError, match="one client only"):
        pay(booking, "348", bookings=[booking, other])
    other.party.client = booking.party.client
    other.party.save()
    entry = pay(booking, "348", bookings=[booking, other])
    assert {share.party for share in entry.shares.all()} == {booking.party, other.party}
    assert booking_account(other).paid == 174
    assert broken_money() == []


def test_the_same_button_twice_and_the_same_payment_twice() -> None:
    booking = agreed(**SOON)
    key = uuid.uuid4()
    assert pay(booking, "174", key=key) == pay(booking, "174", key=key)
    with pytest.raises(ValidationError, match="entered already as R2026-0001"):
        pay(booking, "174")
    pay(booking, "174", again=True)
    assert party_account(booking.party).paid == 348


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"amount": Decimal("0.005")}, "0.005 EUR has more digits than the currency"),
        ({"amount": Decimal(0)}, "above 0"),
        ({"amount": Decimal(-5)}, "above 0"),
        ({"amount": Decimal("999999999")}, "more than any day costs"),
        ({"amount": Decimal("NaN")}, "is not a number"),
        ({"moved_on": TODAY + DAY}, "still to come"),
        ({"moved_on": datetime.date(1890, 1, 1)}, "long past"),
        ({"way": "barter"}, "not a valid choice"),
    ],
)
def test_a_wrong_payment_is_refused(facts: dict[str, object], sentence: str) -> None:
    booking = agreed(**SOON)
    given = {
        "party": booking.party,
        "amount": Decimal(174),
        "moved_on": TODAY,
        "at": NOON,
    } | facts
    with pytest.raises(ValidationError, match=sentence):
        record_payment(**given)  # type: ignore[arg-type]
    assert MoneyEntry.objects.count() == 1


def test_nothing_above_what_was_paid_goes_back() -> None:
    booking = agreed(**SOON)
    pay(booking, "174")
    facts = {"party": booking.party, "booking": booking, "moved_on": TODAY, "at": NOON}
    with pytest.raises(ValidationError, match=r"174\.00 EUR is there to give back"):
        record_refund(amount=Decimal("174.01"), reason="goodwill", **facts)
    with pytest.raises(ValidationError, match="Say what"):
        record_refund(amount=Decimal(10), reason=" ", **facts)
    record_refund(amount=Decimal(100), reason="goodwill", **facts)
    with pytest.raises(ValidationError, match=r"74\.00 EUR is there"):
        record_refund(amount=Decimal(75), reason="goodwill", **facts)
    with pytest.raises(ValidationError, match=r"0\.00 EUR is there"):
        record_refund(party=booking.party, amount=Decimal(1), moved_on=TODAY, reason="no", at=NOON)
    assert booking_account(booking).paid == 74
    assert broken_money() == []


def test_money_of_another_party_is_out_of_reach() -> None:
    booking, stranger = agreed(**SOON), PartyFactory()
    pay(booking, "174")
    with pytest.raises(ValidationError, match="another party"):
        record_refund(
            party=stranger,
            booking=booking,
            amount=Decimal(1),
            moved_on=TODAY,
            reason="no",
            at=NOON,
        )
    with pytest.raises(ValidationError, match="one party"):
        transfer(party=stranger, giver=booking, taker=None, amount=Decimal(1), reason="no", at=NOON)


def test_a_write_off_takes_at_most_what_is_billed_and_open() -> None:
    booking = agreed(**SOON)
    pay(booking, "100")
    with pytest.raises(ValidationError, match=r"74\.00 EUR is billed and open"):
        write_off(booking=booking, amount=Decimal(75), reason="gone", at=NOON)
    entry = write_off(booking=booking, amount=Decimal(74), reason="gone", at=NOON)
    assert booking_account(booking).open == 0
    take_out(entry=entry, reason="they paid after all", at=NOON)
    assert booking_account(booking).open == 74
    assert broken_money() == []


def test_a_payment_entered_by_mistake_is_taken_out_and_both_stay() -> None:
    booking = agreed(**SOON)
    wrong = pay(booking, "174")
    with pytest.raises(ValidationError, match="Say what was wrong"):
        take_out(entry=wrong, reason="", at=NOON)
    taken = take_out(entry=wrong, reason="another client's", at=NOON)
    assert taken.reverses == wrong
    assert booking_account(booking).paid == 0
    with pytest.raises(ValidationError, match="taken out already"):
        take_out(entry=wrong, reason="again", at=NOON)
    with pytest.raises(ValidationError, match="taken out already"):
        take_out(entry=taken, reason="again", at=NOON)
    with pytest.raises(ValidationError, match="credit note"):
        take_out(entry=MoneyEntry.objects.get(kind="invoice"), reason="x", at=NOON)
    pay(booking, "174")  # the same once more is no twin of one that was taken out
    assert broken_money() == []


def test_a_payment_that_went_back_cannot_be_taken_out() -> None:
    booking = agreed(**SOON)
    entry = pay(booking, "174")
    back = record_refund(
        party=booking.party,
        booking=booking,
        amount=Decimal(100),
        moved_on=TODAY,
        reason="half",
        at=NOON,
    )
    with pytest.raises(ValidationError, match="has gone back"):
        take_out(entry=entry, reason="mistake", at=NOON)
    take_out(entry=back, reason="never sent", at=NOON)
    take_out(entry=entry, reason="mistake", at=NOON)
    assert party_account(booking.party).paid == 0
    assert broken_money() == []


def test_balances_can_be_asked_for_any_day() -> None:
    booking = agreed(**SOON)
    pay(booking, "174", at=NOON + 3 * DAY)
    assert booking_account(booking, on=TODAY + 2 * DAY).paid == 0
    assert booking_account(booking, on=TODAY + 3 * DAY).paid == 174
