"""Late money is asked for: by rule so often and no more, by hand after a look, never wrongly."""

from __future__ import annotations

import datetime
import io
import uuid
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pypdf
import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.test import Client as Browser

from bookings.actions.messages import save_message_rule
from bookings.actions.money.bank import keep_statement, set_line_aside
from bookings.actions.money.invoices import invoice_balance
from bookings.actions.money.payments import record_payment, transfer, write_off
from bookings.actions.sending import send_due
from bookings.actions.trips import cancel_booking
from bookings.models import BankLine, Booking, Business, Message, MessageKind, MoneyEntry
from bookings.rules.mail import enclosed_files
from bookings.rules.references import grouped_by_four
from bookings.rules.statement import StatementLine
from guiding.desk.actions.messages import run_scheduler
from guiding.desk.actions.reminding import send_reminder
from guiding.desk.queries.due_messages import due_messages
from tests.bookings.mail_server import Server
from tests.factories import NOON
from tests.factories_bookings import agreed

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)
IBAN = "IE29AIBK93115212345678"  # the registry's own example


@pytest.fixture
def server(settings: Any) -> Iterator[Server]:
    with Server().open() as opened:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", opened.port
        settings.EMAIL_USE_TLS = False
        settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
        yield opened


@pytest.fixture
def late(business: Any) -> Booking:
    """A day two months ahead whose deposit was billed at noon and has not come."""
    Business.objects.update(iban=IBAN)
    return agreed(starts_at=NOON + 60 * DAY, ends_at=NOON + 60.4 * DAY)


def a_round(days: float) -> int:
    """One round of the worker, so many days after the deposit was due."""
    at = NOON + days * DAY
    run_scheduler(at=at)
    send_due(at=lambda: at)
    return reminders().count()


def reminders() -> Any:
    return Message.objects.filter(kind=MessageKind.REMINDER)


def pay(booking: Booking, amount: Decimal, days: float = 1) -> MoneyEntry:
    at = NOON + days * DAY
    return record_payment(
        party=booking.party, bookings=[booking], amount=amount, moved_on=at.date(), at=at
    )


def invoice() -> MoneyEntry:
    return MoneyEntry.objects.get(kind="invoice")


def line(**facts: Any) -> BankLine:
    given = {
        "row": 1,
        "booked_on": NOON.date(),
        "amount": invoice().amount,
        "currency": "EUR",
        "payer": "Somebody",
        "text": "",
        "reference": "",
        "fingerprint": uuid.uuid4().hex,
    }
    (kept,) = keep_statement(lines=[StatementLine(**(given | facts))], at=NOON)
    return kept


def test_it_says_what_since_when_on_which_paper_and_how_to_pay(
    server: Server, late: Booking
) -> None:
    assert a_round(4.9) == 0
    assert a_round(5) == 1
    paper, business = invoice(), Business.objects.get()
    (at,) = (n for n, one in enumerate(server.mails) if "not yet with us" in str(one["Subject"]))
    (to, raw), mail = server.taken[at], server.mails[at]
    words = mail.get_body().get_content()  # type: ignore[union-attr]
    assert to == late.party.client.email
    for part in (
        "€174.00",
        "since Monday 1 June 2026",
        f"Invoice {paper.label}",
        f"IBAN: {grouped_by_four(business.iban)}",
        f"Payment reference: {grouped_by_four(paper.reference)}",
        "/my/",
    ):
        assert part in words, (part, words)
    (file,) = enclosed_files(raw)
    assert file.name == f"invoice-{paper.label}.pdf"
    assert paper.label in pypdf.PdfReader(io.BytesIO(file.content)).pages[0].extract_text()


def test_three_times_a_week_apart_and_never_again(server: Server, late: Booking) -> None:
    assert [a_round(days) for days in (5, 6, 11.9, 12, 18.9, 19, 26, 33, 60)] == [
        1, 1, 1, 2, 2, 3, 3, 3, 3,
    ]  # fmt: skip
    assert len({one.cause for one in reminders()}) == 3
    assert all(one.state == Message.State.SENT for one in reminders())


@pytest.mark.parametrize(
    ("language", "bill", "asking"),
    [
        ("en", "with this mail comes the invoice", ("still open", "not yet", "crossed")),
        ("de", "mit dieser Mail kommt die Rechnung", ("noch", "offen", "gekreuzt")),
    ],
)
def test_the_bill_that_comes_with_the_yes_reminds_of_nothing(
    late: Booking, language: str, bill: str, asking: tuple[str, ...]
) -> None:
    type(late.party.client).objects.filter(pk=late.party.client_id).update(language=language)
    run_scheduler(at=NOON + datetime.timedelta(seconds=4))
    row = Message.objects.get(kind=MessageKind.BALANCE)
    assert bill in row.body
    assert not [word for word in asking if word in f"{row.subject} {row.body}"]
    (paper,) = enclosed_files(bytes(row.mail))
    assert paper.name == f"invoice-{invoice().label}.pdf"
    assert not reminders().exists()


def test_a_bill_written_late_is_asked_for_so_many_days_after_it(
    server: Server, late: Booking
) -> None:
    """The balance was due on day 53 and is billed on day 56: the rule's two days run from there."""
    save_message_rule(kind="reminder", automatic=True, hours=48, again_hours=48, most=2)
    pay(late, Decimal(174))
    invoice_balance(booking=late, at=NOON + 56 * DAY)
    assert [a_round(days) for days in (56.01, 57.9, 58)] == [0, 0, 1]


def test_the_guide_says_how_often_and_when(server: Server, late: Booking) -> None:
    save_message_rule(kind="reminder", automatic=True, hours=24, again_hours=48, most=2)
    assert [a_round(days) for days in (1, 2.9, 3, 5, 8)] == [1, 1, 2, 2, 2]
    save_message_rule(kind="reminder", automatic=False, hours=24, again_hours=48, most=5)
    assert a_round(9) == 2


def test_a_rule_switched_on_late_asks_nobody_about_last_year(late: Booking) -> None:
    assert a_round(13) == 0


def test_nobody_is_asked_at_night_and_what_comes_in_overnight_needs_no_mail(
    server: Server, late: Booking
) -> None:
    assert a_round(5.45) == 0  # a quarter to eleven, local
    pay(late, Decimal(174), 5.6)
    assert a_round(6) == 0


def test_a_german_party_is_asked_in_german(server: Server, late: Booking) -> None:
    type(late.party.client).objects.filter(pk=late.party.client_id).update(language="de")
    assert a_round(5) == 1
    row = reminders().get()
    assert row.subject.endswith("noch nicht bei uns")
    for part in ("174,00", "fällig seit", f"Rechnung {invoice().label}", "Zahlungsreferenz: RF"):
        assert part in row.body, (part, row.body)


def test_another_paper_that_comes_late_is_asked_for_anew(server: Server, late: Booking) -> None:
    """The balance, billed on the day it is due, long after the deposit was asked for in vain."""
    assert [a_round(days) for days in (5, 12, 19, 26)] == [1, 2, 3, 3]
    invoice_balance(booking=late, at=NOON + 53 * DAY)
    assert [a_round(days) for days in (53, 57, 58, 59, 65)] == [3, 3, 4, 4, 5]
    assert "€580.00" in reminders().first().body
    assert len(reminders().first().enclosed) == 2


def test_a_part_payment_leaves_the_rest(server: Server, late: Booking) -> None:
    pay(late, Decimal(100))
    assert a_round(5) == 1
    assert "€74.00" in reminders().get().body


@pytest.mark.parametrize("end", ["paid", "given up", "called off"])
def test_where_nothing_is_owed_nobody_is_asked(server: Server, late: Booking, end: str) -> None:
    at = NOON + 2 * DAY
    if end == "paid":
        pay(late, Decimal(174))
    elif end == "given up":
        write_off(booking=late, amount=Decimal(174), reason="gone abroad", at=at)
    else:
        cancel_booking(booking=late, by="guide", at=at)
    assert a_round(5) == 0
    with pytest.raises(ValidationError, match="nothing to ask for"):
        send_reminder(booking=late, once=uuid.uuid4(), at=NOON + 5 * DAY)


def test_who_cancelled_late_and_owes_for_it_is_asked(server: Server, late: Booking) -> None:
    cancel_booking(booking=late, by="client", at=NOON + 58 * DAY)
    owed = late.settlement.still_due  # type: ignore[attr-defined]
    assert owed > 0
    assert a_round(58.1) == 0
    assert a_round(63) == 1
    assert f"{owed.normalize():f}" in reminders().get().body.replace(",", "")


@pytest.mark.parametrize(
    "facts",
    [{"reference": "own"}, {"payer": "own"}, {}],
    ids=["by its reference", "by name and amount", "by the amount alone"],
)
def test_money_that_may_stand_in_the_statement_is_not_asked_for(
    server: Server, late: Booking, facts: dict[str, str]
) -> None:
    own = {"reference": invoice().reference, "payer": str(late.party.client)}
    waiting = line(**{name: own[name] for name in facts})
    assert a_round(5) == 0
    assert a_round(6) == 0
    set_line_aside(line=waiting, reason="somebody else's")
    assert a_round(7) == 1


def test_money_on_account_is_not_asked_for_again(server: Server, late: Booking) -> None:
    pay(late, Decimal(174))
    transfer(
        party=late.party,
        amount=Decimal(174),
        giver=late,
        taker=None,
        reason="for another day",
        at=NOON + DAY,
    )
    assert a_round(5) == 0


def test_by_hand_once_however_often_pressed_and_the_rule_waits_from_there(
    server: Server, late: Booking
) -> None:
    at, once = NOON + 3 * DAY, uuid.uuid4()
    assert send_reminder(booking=late, once=once, at=at) is not None
    assert send_reminder(booking=late, once=once, at=at) is None
    with pytest.raises(ValidationError, match="waits to be sent already"):
        send_reminder(booking=late, once=uuid.uuid4(), at=at)
    assert [a_round(days) for days in (5, 9.9, 10, 17, 24)] == [1, 1, 2, 3, 3]


def test_what_was_never_billed_is_not_asked_for(late: Booking) -> None:
    """The deposit is paid, the balance is past its day, and no paper of it was written."""
    pay(late, Decimal(174))
    assert not [one for one in due_messages(at=NOON + 58 * DAY) if one.kind == MessageKind.REMINDER]


def test_the_page_shows_the_words_and_what_to_know_before(
    desk: Browser, late: Booking, server: Server
) -> None:
    address = f"/parties/{late.party_id}/bookings/{late.pk}/"
    line(payer="Somebody Else")
    with time_machine.travel(NOON + 3 * DAY, tick=False):
        assert f"{address}remind/" in desk.get(address).content.decode()
        page = desk.get(f"{address}remind/")
        text = " ".join(page.content.decode().split())
        assert "bank statement may be theirs: Somebody Else." in text
        given = page.context["form"].initial
        seen = desk.post(f"{address}remind/", given | {"look": "1"})
        assert "€174.00" in seen.content.decode()
        assert not reminders().exists()
        for _ in range(2):
            sent = desk.post(f"{address}remind/", given | {"send": "1"})
            assert sent.status_code == 302
        assert reminders().get().made_by is not None
        assert "Asked before: 1" in " ".join(desk.get(f"{address}remind/").content.decode().split())
        refused = desk.post(f"{address}remind/", given | {"body": "Pay {now}", "send": "1"})
        assert refused.status_code == 302  # the same press as before
        fresh = given | {"once": uuid.uuid4(), "body": "Pay {now}", "look": "1"}
        assert "is not known" in desk.post(f"{address}remind/", fresh).content.decode()
    pay(late, Decimal(174), 4)
    with time_machine.travel(NOON + 5 * DAY, tick=False):
        assert f"{address}remind/" not in desk.get(address).content.decode()
        assert desk.get(f"{address}remind/").status_code == 302


def test_the_rule_is_set_in_days(desk: Browser, late: Booking) -> None:
    page = " ".join(desk.get("/setup/messages/").content.decode().split())
    assert (
        "5 days after a sum was due and its bill was written, again every 7 days, 3 times" in page
    )
    address = "/setup/messages/rules/reminder/"
    typed = {"automatic": "on", "days": "2", "again_days": "3", "most": "1"}
    assert desk.post(address, typed).status_code == 302
    page = " ".join(desk.get("/setup/messages/").content.decode().split())
    assert "2 days after a sum was due and its bill was written, once" in page
    assert desk.post(address, typed | {"most": "0"}).status_code == 422


def test_what_the_worker_asks_does_not_grow_with_who_owes(
    business: Any, django_assert_max_num_queries: Any
) -> None:
    for _ in range(2):
        agreed(starts_at=NOON + 60 * DAY, ends_at=NOON + 60.4 * DAY)
    with django_assert_max_num_queries(40) as few:
        due_messages(at=NOON + 5 * DAY)
    for _ in range(4):
        agreed(starts_at=NOON + 60 * DAY, ends_at=NOON + 60.4 * DAY)
    with django_assert_max_num_queries(len(few)):
        found = due_messages(at=NOON + 5 * DAY)
    assert sum(one.kind == MessageKind.REMINDER for one in found) == 6
