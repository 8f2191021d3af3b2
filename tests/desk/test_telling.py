"""Told because somebody decided, with the papers that go along; and the answers to it."""

from __future__ import annotations

import datetime
import io
import mailbox
import re
import uuid
from pathlib import Path
from typing import Any

import pypdf
import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.test import Client
from PIL import Image

from bookings.actions.texts import publish_starting_texts
from bookings.models import (
    Booking,
    Business,
    Message,
    MessageKind,
    Quote,
    Settlement,
    TextVersion,
    Trip,
)
from bookings.models import Client as Person
from bookings.queries.money import booking_account, invoices_of
from bookings.rules.mail import enclosed_files
from bookings.rules.references import grouped_by_four
from guiding.days.rules.decision import Call
from guiding.desk.actions.decisions import decide_and_tell
from guiding.desk.actions.messages import run_scheduler
from guiding.desk.actions.telling import send_by_hand, send_statement
from guiding.desk.sheets.gather import gather
from guiding.safety.models import Watch
from tests.factories_safety import WatchFactory
from tests.season import NOON

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)


def _next_trip() -> Trip:
    trip = Trip.objects.filter(starts_at__gt=NOON, status="confirmed", plan__isnull=False).first()
    assert trip is not None
    return trip


def _decide(trip: Trip, call: Call, reason: str = "", at: datetime.datetime = NOON) -> None:
    file = gather(trip.pk, business=Business.objects.get(), at=at)
    assert file is not None
    assert file.conditions is not None
    decide_and_tell(trip=file.trip, conditions=file.conditions, call=call, reason=reason, at=at)


def _told(trip: Trip, kind: str) -> list[Message]:
    return list(Message.objects.filter(trip=trip, kind=kind).order_by("pk"))


def _words(content: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def _link(body: str, path: str) -> str:
    found = re.search(rf"http\S+(/{path}/\S+/)", body)
    assert found, body
    return found.group(1)


def test_go_is_told_once_however_often_it_is_decided(season: Any) -> None:
    trip = _next_trip()
    _decide(trip, Call.GO, "Light wind from the east.")
    first = _told(trip, MessageKind.GO)
    bookers = {x.party.client.email.lower() for x in trip.bookings.exclude(status="cancelled")}
    assert bookers <= {row.to_mail.lower() for row in first}
    assert all("Light wind from the east." in row.body for row in first)
    _decide(trip, Call.GO, "Light wind from the east.", NOON + HOUR)
    assert len(_told(trip, MessageKind.GO)) == len(first)
    _decide(trip, Call.GO, "The wind has turned, and we still go.", NOON + 2 * HOUR)
    assert len(_told(trip, MessageKind.GO)) == 2 * len(first)


def test_a_hold_overtakes_a_go_that_has_not_left(season: Any) -> None:
    trip = _next_trip()
    _decide(trip, Call.GO, "Fine so far.")
    _decide(trip, Call.HOLD, "The swell is not clear.", NOON + HOUR)
    assert {row.state for row in _told(trip, MessageKind.GO)} == {"withdrawn"}
    assert {row.state for row in _told(trip, MessageKind.HOLD)} == {"queued"}


def test_where_setup_says_by_hand_a_decision_writes_nothing(season_desk: Client) -> None:
    season_desk.post("/setup/messages/rules/go/", {"hours": "0"})
    trip = _next_trip()
    _decide(trip, Call.GO, "Fine.")
    assert not Message.objects.exists()


def test_a_call_off_leads_the_booker_to_the_choice_and_nobody_else(season: Any) -> None:
    trip = _next_trip()
    booking = Booking.objects.filter(trip=trip, status="confirmed").first()
    assert booking is not None
    mate = booking.party.participants.exclude(email__iexact=booking.party.client.email).first()
    assert mate is not None
    type(mate).objects.filter(pk=mate.pk).update(email="mate@example.org")
    run_scheduler(at=NOON)
    _decide(trip, Call.CALL_OFF, "Swell of three metres on the bar.", NOON + HOUR)
    rows = {row.to_mail: row for row in _told(trip, MessageKind.CALL_OFF)}
    assert "/my/" not in rows["mate@example.org"].body
    page = _link(rows[booking.party.client.email.lower()].body, "my")
    with time_machine.travel(NOON + 2 * HOUR):
        shown = Client().get(page).content.decode()
    settlement = Settlement.objects.filter(booking=booking).first()
    assert settlement is not None
    if settlement.choice == "open":
        assert f"{page}choose/{settlement.pk}/" in shown


def test_a_price_note_goes_out_with_its_paper_and_the_page_to_say_yes(season: Any) -> None:
    run_scheduler(at=NOON)
    row = Message.objects.filter(kind=MessageKind.PRICE_NOTE).first()
    assert row is not None
    (paper,) = enclosed_files(bytes(row.mail))
    number = int(row.cause.split()[1])
    assert paper.name == row.enclosed[0]["name"] == f"price-note-{number:05d}.pdf"
    page = _link(row.body, "my")
    assert page in _words(paper.content).replace(" ", "")
    quote = Quote.objects.get(pk=number)
    with time_machine.travel(NOON):
        assert f"{page}yes/{quote.pk}/" in Client().get(page).content.decode()


def test_a_balance_goes_out_with_its_invoice(season: Any) -> None:
    run_scheduler(at=NOON)
    row = Message.objects.filter(kind=MessageKind.BALANCE).first()
    assert row is not None
    (paper,) = enclosed_files(bytes(row.mail))
    assert paper.name.startswith("invoice-")
    assert "/my/" in row.body


def test_a_balance_is_billed_when_it_is_asked_for(season: Any) -> None:
    """The page of the client then says how to pay it, and a second look bills nothing twice."""
    run_scheduler(at=NOON)
    row = Message.objects.filter(kind=MessageKind.BALANCE).first()
    assert row is not None
    assert row.party is not None
    booking = row.party.bookings.get(status="confirmed", trip=row.trip)
    account = booking_account(booking)
    assert account.billed == booking.price
    invoice = invoices_of(booking)[0]
    (paper,) = enclosed_files(bytes(row.mail))
    assert paper.name == f"invoice-{invoice.label}.pdf"
    with time_machine.travel(NOON):
        page = Client().get(_link(row.body, "my")).content.decode()
    assert grouped_by_four(invoice.reference) in page.replace("&nbsp;", " ")
    run_scheduler(at=NOON + HOUR)
    assert booking_account(booking) == account


def test_missing_forms_are_asked_for_at_each_signers_own_address(season_signing: Any) -> None:
    trip = _next_trip()
    run_scheduler(at=trip.starts_at - 100 * HOUR)
    rows = _told(trip, MessageKind.FORMS)
    assert rows
    for row in rows:
        if "/sign/" in row.body:
            with time_machine.travel(trip.starts_at - 99 * HOUR):
                assert Client().get(_link(row.body, "sign")).status_code == 200
    assert any("/sign/" in row.body for row in rows)


@pytest.fixture
def season_signing(season: Any) -> Any:
    """The season with the texts that have to be signed in force."""
    if not TextVersion.objects.exists():
        publish_starting_texts(checked_by="nobody", at=NOON - 24 * HOUR)
    return season


def _picture() -> bytes:
    out = io.BytesIO()
    exif = Image.Exif()
    exif[0x010F] = "A camera"
    Image.new("RGB", (60, 40), "teal").save(out, "JPEG", exif=exif)
    return out.getvalue()


def test_thanks_take_the_catch_and_pictures_drawn_anew(season_desk: Client) -> None:
    trip = _next_trip()
    address = f"/trips/{trip.pk}/messages/thanks/"
    start = season_desk.get(address).context["form"].initial
    typed = start | {"catch": "Áine: bass, 62 cm, released"}
    seen = season_desk.post(address, typed | {"look": "1"}).content.decode()
    assert "Áine: bass, 62 cm, released" in seen
    pictures = [io.BytesIO(_picture()), io.BytesIO(_picture())]
    for number, one in enumerate(pictures):
        one.name = f"{number}.jpg"
    sent = season_desk.post(address, typed | {"send": "1", "photos": pictures})
    assert sent.status_code == 302
    row = _told(trip, MessageKind.THANKS)[0]
    assert "bass, 62 cm" in row.body
    first, second = enclosed_files(bytes(row.mail))
    assert (first.name, second.name) == ("photo-1.jpg", "photo-2.jpg")
    assert b"A camera" not in first.content
    assert [one["size"] for one in row.enclosed] == [len(first.content), len(second.content)]
    wrong = io.BytesIO(b"not a picture at all")
    wrong.name = "one.jpg"
    refused = season_desk.post(address, typed | {"send": "1", "photos": [wrong]})
    assert refused.status_code == 422
    assert "bass, 62 cm" in refused.content.decode()


def test_seven_pictures_are_too_many(season: Any) -> None:
    with pytest.raises(ValidationError, match="6 pictures"):
        send_by_hand(
            trip_pk=_next_trip().pk,
            kind="thanks",
            subject="",
            body="",
            photos=[_picture()] * 7,
            once=uuid.uuid4(),
            at=NOON,
        )


def test_a_statement_goes_out_once_with_every_paper_on_it(season: Any) -> None:
    booking = Booking.objects.filter(trip=_next_trip(), status="confirmed").first()
    assert booking is not None
    client, once = booking.party.client, uuid.uuid4()
    row = send_statement(client=client, once=once, at=NOON)
    assert row is not None
    assert send_statement(client=client, once=once, at=NOON) is None
    (paper,) = enclosed_files(bytes(row.mail))
    told = _words(paper.content)
    assert "Statement of account" in told or "Kontoauszug" in told
    assert _link(row.body, "my")


def test_a_statement_is_looked_at_sent_and_refused_on_its_page(season_desk: Client) -> None:
    booking = Booking.objects.filter(trip=_next_trip(), status="confirmed").first()
    assert booking is not None
    address = f"/money/clients/{booking.party.client_id}/statement/"
    start = season_desk.get(address).context["form"].initial
    seen = season_desk.post(address, start | {"look": "1"})
    assert "left to pay" in seen.content.decode() or "is left" in seen.content.decode()
    assert season_desk.post(address, start | {"send": "1"}).status_code == 302
    stranger = Person.objects.create(given_name="Nobody", email="nobody@example.org")
    assert season_desk.get(f"/money/clients/{stranger.pk}/statement.pdf").status_code == 404


def test_overdue_by_hand_goes_ashore_with_the_card_and_to_no_client(season: Any) -> None:
    trip = _next_trip()
    wish: dict[str, Any] = {"trip_pk": trip.pk, "kind": "overdue", "subject": "", "body": ""}
    Watch.objects.filter(trip=trip).delete()
    with pytest.raises(ValidationError, match="set the watch first"):
        send_by_hand(**wish, once=uuid.uuid4(), at=NOON)
    WatchFactory(trip=trip, contact_name="Bríd Tern", contact_mail="brid@example.org")
    (row,) = send_by_hand(**wish, once=uuid.uuid4(), at=NOON)
    assert row.to_mail == "brid@example.org"
    assert row.body.startswith("Hello Bríd,")
    (card,) = enclosed_files(bytes(row.mail))
    assert card.name == "emergency-card.pdf"
    assert [one.to_mail for one in Message.objects.all()] == ["brid@example.org"]


def _asked(trip: Trip) -> tuple[Message, str]:
    run_scheduler(at=NOON)
    row = _told(trip, MessageKind.CONFIRMATION)[0]
    return row, _link(row.body, "answer")


def test_a_link_says_yes_and_then_no_and_looking_says_nothing(season_desk: Client) -> None:
    trip = _next_trip()
    row, address = _asked(trip)
    one = trip.attendees.get(mail__iexact=row.to_mail)
    with time_machine.travel(NOON + HOUR, tick=False) as clock:
        browser = Client(enforce_csrf_checks=True)
        assert browser.get(address).status_code == 200
        one.refresh_from_db()
        assert one.answer == "NEEDS-ACTION"
        for answer in ("ACCEPTED", "DECLINED"):
            said = browser.post(address, {"answer": answer, "comment": "Late <train>"})
            assert said.status_code == 200
            assert "Late &lt;train&gt;" in said.content.decode()
            one.refresh_from_db()
            assert (one.answer, one.answer_comment) == (answer, "Late <train>")
            clock.shift(60)
        assert browser.post(address, {"answer": "PERHAPS"}).status_code == 422
        answers = season_desk.get(f"/trips/{trip.pk}/answers/").content.decode()
        assert "is not coming" in answers


def test_an_answer_link_ends_when_the_day_moves_or_is_not_ours(season: Any) -> None:
    trip = _next_trip()
    row, address = _asked(trip)
    one = trip.attendees.get(mail__iexact=row.to_mail)
    with time_machine.travel(NOON + HOUR):
        assert Client().get(address[:-3] + "x/").status_code == 404
        type(one).objects.filter(pk=one.pk).update(asked_at=NOON + HOUR)
        older = Client().get(address)
    assert older.status_code == 404
    assert "newest message" in older.content.decode()


def test_answers_are_read_from_a_mailbox(season: Any, tmp_path: Path) -> None:
    trip = _next_trip()
    row, _address = _asked(trip)
    uid, version = trip.invite.uid, trip.invite.sequence
    reply = (
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//x//EN\r\nMETHOD:REPLY\r\nBEGIN:VEVENT\r\n"
        f"UID:{uid}\r\nSEQUENCE:{version}\r\nDTSTAMP:20260601T130000Z\r\n"
        f"DTSTART:20260603T050000Z\r\nATTENDEE;PARTSTAT=ACCEPTED:mailto:{row.to_mail}\r\n"
        "END:VEVENT\r\nEND:VCALENDAR\r\n"
    )
    mails = [
        f"From: {row.to_mail}\r\nSubject: Accepted\r\n"
        "Content-Type: text/calendar; method=REPLY\r\n\r\n" + reply,
        "Subject: Hello\r\n\r\nsee you there",
    ]
    box = mailbox.Maildir(tmp_path / "box")
    for mail in mails:
        box.add(mail.encode())
    out = io.StringIO()
    for _ in range(2):  # the mails stay where they are
        call_command("messages", "--mailbox", str(tmp_path / "box"), stdout=out)
    assert trip.attendees.get(mail__iexact=row.to_mail).answer == "ACCEPTED"
    assert "is coming" in out.getvalue()
    assert "no calendar answer" in out.getvalue()
    with pytest.raises(CommandError, match="no mailbox that can be read"):
        call_command("messages", "--mailbox", str(tmp_path / "none"))
