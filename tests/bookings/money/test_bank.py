"""A bank statement on its page: read, matched, taken once."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.utils import timezone

from bookings.models import BankLine, Booking, MoneyEntry
from bookings.queries.books import broken_money
from bookings.queries.money import booking_account
from tests.bookings.reading import problems, told
from tests.factories_bookings import agreed

DAY = datetime.timedelta(days=1)
pytestmark = pytest.mark.usefixtures("business")


def booked(days: int = 60) -> Booking:
    now = timezone.now()
    return agreed(at=now, starts_at=now + days * DAY, ends_at=now + (days + 0.5) * DAY)


def send(desk: Browser, text: str, **more: Any) -> Any:
    file = SimpleUploadedFile("statement.csv", text.encode(more.pop("encoding", "utf-8")))
    return desk.post("/money/bank/", {"file": file}, follow=True)


def statement(*rows: str) -> str:
    return "\n".join(["Date;Amount;Name;Description;Reference", *rows])


def test_a_payment_by_reference_is_one_press(desk: Browser) -> None:
    booking = booked()
    invoice = MoneyEntry.objects.get()
    today = timezone.localdate().isoformat()
    text = statement(f"{today};174,00;<b>Bank</b>;;{invoice.reference}", f"{today};-5;Bank;fee;")
    answer = send(desk, text)
    assert "2 lines read, 2 of them new." in told(answer.content.decode())
    page = answer.content.decode()
    assert f"Sure: its reference {invoice.reference}" in page
    assert "&lt;b&gt;Bank&lt;/b&gt;" in page
    assert "1\N{NO-BREAK SPACE}payment waits" in page  # what went out does not wait for a name
    waiting = BankLine.objects.get(amount__gt=0)
    for _ in range(2):
        answer = desk.post(f"/money/bank/{waiting.pk}/take/", {"booking": booking.pk}, follow=True)
    assert "taken already" in told(answer.content.decode())
    assert booking_account(booking).paid == 174
    assert MoneyEntry.objects.filter(kind="payment").count() == 1
    assert "2 lines read, 0 of them new." in told(send(desk, text).content.decode())
    assert broken_money() == []


def test_a_line_is_given_to_somebody_else_or_set_aside(desk: Browser) -> None:
    booking = booked()
    today = timezone.localdate().isoformat()
    send(desk, statement(f"{today};20;Nobody;gift;", f"{today};30;Nobody;tax back;"))
    gift, back = BankLine.objects.order_by("amount")
    answer = desk.post(f"/money/bank/{gift.pk}/take/", {"booking": "x"}, follow=True)
    assert "Choose whose money it is." in told(answer.content.decode())
    desk.post(f"/money/bank/{gift.pk}/take/", {"booking": booking.pk})
    assert booking_account(booking).paid == 20
    desk.post(f"/money/bank/{back.pk}/aside/", {"reason": "from the tax office"})
    answer = desk.post(f"/money/bank/{back.pk}/take/", {"booking": booking.pk}, follow=True)
    assert "was set aside: from the tax office" in told(answer.content.decode())
    answer = desk.post(f"/money/bank/{gift.pk}/aside/", {"reason": "x"}, follow=True)
    assert "taken as a payment already" in told(answer.content.decode())


def test_a_file_that_is_none_is_refused_and_nothing_kept(desk: Browser) -> None:
    answer = send(desk, "%PDF-1.7 not a statement")
    assert answer.status_code == 422
    assert "names a date and an amount" in problems(answer.content.decode())
    assert desk.post("/money/bank/", {}).status_code == 422
    big = SimpleUploadedFile("big.csv", b"x" * (2 * 1024 * 1024 + 1))
    answer = desk.post("/money/bank/", {"file": big})
    assert "larger than 2 MB" in problems(answer.content.decode())
    assert not BankLine.objects.exists()


def test_bad_rows_are_named_and_the_good_ones_kept(desk: Browser) -> None:
    answer = send(desk, statement("soon;5;A;;", "2026-06-01;7;Müller;;"), encoding="cp1252")
    assert "Row 2, date: &#x27;soon&#x27; is no date." in answer.content.decode()
    assert BankLine.objects.get().payer == "Müller"
