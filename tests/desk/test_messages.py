"""What goes out by itself, when, to whom and with what; and what is written by hand."""

from __future__ import annotations

import datetime
import io
import json
import uuid
from pathlib import Path
from typing import Any

import pypdf
import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.test import Client

from bookings.actions.messages import save_message_rule, save_message_text
from bookings.models import Booking, Message, MessageKind, MessageText, SchedulerRun, Trip
from bookings.rules.mail import enclosed_files
from bookings.rules.states import TripState
from guiding.desk.actions.messages import run_scheduler
from guiding.desk.actions.telling import move_and_tell, send_by_hand
from guiding.desk.queries.due_messages import due_messages
from tests.season import NOON

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)


def _next_trip() -> Trip:
    trip = Trip.objects.filter(starts_at__gt=NOON, status="confirmed", plan__isnull=False).first()
    assert trip is not None
    return trip


def _kinds(trip: Trip) -> set[str]:
    return set(Message.objects.filter(trip=trip).values_list("kind", flat=True))


def test_a_season_is_told_once_and_in_daytime(season: Any) -> None:
    at = datetime.datetime(2026, 6, 1, 22, 30, tzinfo=datetime.UTC)  # half past eleven, local
    written = run_scheduler(at=at)
    assert written == Message.objects.count() > 0
    run = SchedulerRun.objects.get()
    assert run.problems == []
    assert run_scheduler(at=at + datetime.timedelta(minutes=2)) == 0
    assert due_messages(at=at + datetime.timedelta(minutes=3)) == []
    morning = datetime.datetime(2026, 6, 2, 7, 0, tzinfo=datetime.UTC)
    for row in Message.objects.exclude(kind=MessageKind.PRICE_NOTE):
        assert row.due_at >= morning, row.cause


def test_one_worker_at_a_time_looks_for_what_is_due(season: Any) -> None:
    assert run_scheduler(at=NOON) > 0
    Message.objects.all().delete()
    assert run_scheduler(at=NOON + datetime.timedelta(seconds=20)) == 0


def test_the_trip_sheet_goes_out_two_days_before_with_the_paper(season: Any) -> None:
    trip = _next_trip()
    early = trip.starts_at - 49 * HOUR
    assert MessageKind.TRIP_SHEET not in {
        one.kind for one in due_messages(at=early) if one.trip_pk == trip.pk
    }
    at = trip.starts_at - 47 * HOUR
    run_scheduler(at=at)
    rows = Message.objects.filter(trip=trip, kind=MessageKind.TRIP_SHEET)
    assert rows
    paper, page = enclosed_files(bytes(rows[0].mail))
    assert (paper.name, page.name) == ("trip-sheet.pdf", "child-page.pdf")  # minors come along
    assert rows[0].enclosed[0]["size"] == len(paper.content)
    reader = pypdf.PdfReader(io.BytesIO(paper.content))
    assert trip.offer.name in reader.pages[0].extract_text()
    assert len(reader.pages) <= 2


def test_a_rule_switched_off_writes_nothing(season: Any) -> None:
    for kind in ("confirmation", "price_note", "forms", "balance", "trip_sheet", "thanks"):
        save_message_rule(kind=kind, automatic=False, hours=48)
    assert run_scheduler(at=NOON) == 0


def test_calling_off_tells_everybody_in_the_same_transaction(season: Any) -> None:
    trip = _next_trip()
    run_scheduler(at=NOON)
    bookers = {
        booking.party.client.email.lower()
        for booking in Booking.objects.filter(trip=trip).exclude(status="cancelled")
    } - {""}
    assert bookers
    _moved, count = move_and_tell(trip=trip, to=TripState.CANCELLED, reason="Swell of 3 m", at=NOON)
    rows = Message.objects.filter(trip=trip, kind=MessageKind.CALL_OFF)
    assert count == len(rows)
    assert bookers <= {row.to_mail.lower() for row in rows}
    assert all("Swell of 3 m" in row.body and row.due_at == NOON for row in rows)
    assert all(b"METHOD:CANCEL" in enclosed_files(bytes(row.mail))[0].content for row in rows)


def test_a_refusal_tells_nobody(season: Any) -> None:
    trip = _next_trip()
    run_scheduler(at=NOON)
    before = Message.objects.count()
    with pytest.raises(ValidationError):
        move_and_tell(trip=trip, to=TripState.CANCELLED, reason=" ", at=NOON)
    assert Message.objects.count() == before


def test_one_party_without_an_address_holds_up_nobody(season: Any) -> None:
    trip = _next_trip()
    booking = Booking.objects.filter(trip=trip, status="confirmed").first()
    assert booking is not None
    type(booking.party.client).objects.filter(pk=booking.party.client_id).update(email="")
    booking.party.participants.update(email="")
    at = trip.starts_at - 47 * HOUR
    assert run_scheduler(at=at) > 0
    assert not any("could not be written" in one for one in SchedulerRun.objects.get().problems)


def test_by_hand_once_however_often_it_is_pressed(season: Any) -> None:
    trip = _next_trip()
    given: dict[str, Any] = {
        "trip_pk": trip.pk,
        "kind": "go",
        "subject": "We go on {day}",
        "body": "Hello {first_name}, {reason}",
        "reason": "Light wind {from} the east.",
        "once": uuid.uuid4(),
        "at": NOON,
    }
    rows = send_by_hand(**given)
    assert rows
    assert send_by_hand(**given) == []
    assert "Light wind {from} the east." in rows[0].body
    wrong = {"kind": "hold", "body": "Hello {shoe_size}", "once": uuid.uuid4()}
    with pytest.raises(ValidationError, match="not known"):
        send_by_hand(**(given | wrong))


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        ("Hello {shoe_size}", "{shoe_size} is not known"),
        ("Hello {first_name", "not closed"),
        ("Hello {first_name.__class__}", "not known"),
        ("Hello {first_name!r}", "nothing may follow"),
        ("Hello {}", "not known"),
        ("", "cannot be blank"),
    ],
)
def test_a_text_that_cannot_be_filled_is_not_saved(db: None, body: str, sentence: str) -> None:
    with pytest.raises(ValidationError, match=sentence.replace("{", r"\{")):
        save_message_text(kind="go", language="en", subject="We go", body=body)


def test_our_own_words_are_used_and_kept_as_they_went(season: Any) -> None:
    trip = _next_trip()
    save_message_text(kind="go", language="en", subject="Off we go", body="Hi {first_name}")
    rows = send_by_hand(trip_pk=trip.pk, kind="go", subject="", body="", once=uuid.uuid4(), at=NOON)
    english = [row for row in rows if row.subject == "Off we go"]
    assert english
    save_message_text(kind="go", language="en", subject="Changed", body="Changed")
    english[0].refresh_from_db()
    assert english[0].subject == "Off we go"


def test_a_german_party_is_written_to_in_german(season: Any) -> None:
    trip = _next_trip()
    booking = Booking.objects.filter(trip=trip, status="confirmed").first()
    assert booking is not None
    type(booking.party.client).objects.filter(pk=booking.party.client_id).update(language="de")
    (row, *_rest) = send_by_hand(
        trip_pk=trip.pk, kind="go", subject="", body="", once=uuid.uuid4(), at=NOON
    )
    assert row.subject.startswith("Wir fahren")
    assert any(word in row.subject for word in ("Juni", "Juli"))


def test_the_command_prints_what_is_due(season: Any, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("messages", "--due", "--json")
    facts = json.loads(capsys.readouterr().out)
    assert {"kind", "what", "cause", "trip", "event_at", "send_at"} == set(facts[0])
    assert not Message.objects.exists()
    run_scheduler(at=NOON)
    call_command("messages", "--state", "queued", "--json")
    assert len(json.loads(capsys.readouterr().out)) == Message.objects.count()


def test_the_command_refuses_in_one_sentence(season: Any, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("messages", "--answer", str(tmp_path / "none.eml"))
    mail = tmp_path / "mail.eml"
    mail.write_text("Subject: hello\n\nyes")
    with pytest.raises(CommandError, match="no calendar answer"):
        call_command("messages", "--answer", str(mail))


def test_a_test_mail_says_what_the_server_said(business: Any, settings: Any) -> None:
    from tests.bookings.mail_server import Server, free_port

    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_USE_TLS = "127.0.0.1", False
    settings.EMAIL_PORT = free_port()
    with pytest.raises(CommandError, match="not reached"):
        call_command("send_test_mail", "orla@marramhead.example")
    with Server().open() as server, time_machine.travel(NOON):
        settings.EMAIL_PORT = server.port
        call_command("send_test_mail", "orla@marramhead.example")
        server.refuse_rcpt = lambda _to: "550 no such person here"
        with pytest.raises(CommandError, match="no such person here"):
            call_command("send_test_mail", "nobody@marramhead.example")
        with pytest.raises(CommandError):
            call_command("send_test_mail", "not an address")
    assert [to for to, _raw in server.taken] == ["orla@marramhead.example"]


def test_words_looked_at_and_left_alone_go_in_each_partys_language(season_desk: Client) -> None:
    trip = _next_trip()
    booking = Booking.objects.filter(trip=trip, status="confirmed").first()
    assert booking is not None
    type(booking.party.client).objects.filter(pk=booking.party.client_id).update(language="de")
    address = f"/trips/{trip.pk}/messages/go/"
    given = season_desk.get(address).context["form"].initial | {"reason": "Wind <3>"}
    seen = season_desk.post(address, given | {"look": "1"})
    assert "Wind &lt;3&gt;" in seen.content.decode()
    assert not Message.objects.exists()
    for _ in range(2):  # pressed twice
        assert season_desk.post(address, given | {"send": "1"}).status_code == 302
    row = Message.objects.get(party=booking.party)
    assert row.subject.startswith("Wir fahren")
    assert row.made_by is not None


def test_an_unknown_field_is_refused_on_the_page_with_what_was_typed(season_desk: Client) -> None:
    address = "/setup/messages/words/forms/en/"
    typed = {"subject": "Forms", "body": "Dear {shoe_size}, sign"}
    answer = season_desk.post(address, typed | {"save": "1"})
    assert answer.status_code == 422
    assert "Dear {shoe_size}, sign" in answer.content.decode()
    assert "is not known in this message" in answer.content.decode()
    seen = season_desk.post(address, typed | {"body": "Dear {first_name}:\n{missing}", "look": "1"})
    assert seen.status_code == 200
    assert not MessageText.objects.exists()


def test_the_rules_and_the_mail_settings_are_set_from_setup(season_desk: Client) -> None:
    page = " ".join(season_desk.get("/setup/messages/").content.decode().split())
    assert "168 hours before pick-up" in page
    season_desk.post("/setup/messages/rules/forms/", {"hours": "72"})
    assert "by hand only" in season_desk.get("/setup/messages/").content.decode()
    season_desk.post("/setup/messages/quiet/", {"quiet_from": "22:00", "quiet_until": "07:00"})
    assert "22:00" in season_desk.get("/setup/messages/").content.decode()
    assert season_desk.post("/setup/messages/rules/forms/", {"hours": "-1"}).status_code == 422
