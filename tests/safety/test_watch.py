"""The watch, with a moved clock and a real mail server on this machine."""

from __future__ import annotations

import datetime
import email
import socket
from collections.abc import Iterator
from email.message import Message
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.db import IntegrityError, connections, transaction

from bookings.models import Trip
from guiding.days.models import DayPlan
from guiding.safety.actions.watch import record_home, run_watch, set_watch, stand_down, tell
from guiding.safety.models import Watch, WatchMessage
from guiding.safety.rules.watch import Step, WatchTimes, sent_late, watch_steps_due
from tests.factories import BookingFactory, TripFactory
from tests.factories_days import DayPlanFactory
from tests.factories_safety import WatchFactory

OVERDUE = datetime.datetime(2026, 6, 13, 16, 15, tzinfo=datetime.UTC)
START = datetime.datetime(2026, 6, 13, 4, 0, tzinfo=datetime.UTC)
CONTACT, GUIDE = "brid@marramhead.example", "orla@marramhead.example"
MINUTE = datetime.timedelta(minutes=1)


class Post:
    """A mail server that can be taken down and brought up again on the same port."""

    def __init__(self) -> None:
        self.got: list[Message] = []
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.up()

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        self.got.append(email.message_from_bytes(envelope.content))
        return "250 kept"

    def up(self) -> None:
        self.server = Controller(self, hostname="127.0.0.1", port=self.port)
        self.server.start()

    def down(self) -> None:
        self.server.stop()

    def to(self, address: str) -> list[str]:
        return [
            "".join(str(mail["Subject"]).splitlines()) for mail in self.got if mail["To"] == address
        ]


@pytest.fixture
def post(settings: Any) -> Iterator[Post]:
    office = Post()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", office.port
    settings.EMAIL_USE_TLS, settings.EMAIL_HOST_USER = False, ""
    yield office
    office.down()


@pytest.fixture
def plan(business: Any) -> DayPlan:
    plan = DayPlanFactory(
        trip=TripFactory(status="confirmed"), overdue_at=OVERDUE, spot__name="North Strand"
    )
    BookingFactory(trip=plan.trip, heads=3)
    return plan


@pytest.fixture
def watch(plan: DayPlan) -> Watch:
    return WatchFactory(trip=plan.trip)


def minutes_of(watch: Watch, start: datetime.datetime, end: datetime.datetime) -> None:
    """The scheduler, every five minutes from start to end."""
    at = start
    while at <= end:
        run_watch(at=at)
        at += 5 * MINUTE


def test_each_step_is_told_once_though_the_scheduler_runs_every_five_minutes(
    watch: Watch, post: Post
) -> None:
    minutes_of(watch, START - 1090 * MINUTE, START - 1000 * MINUTE)
    minutes_of(watch, OVERDUE - 60 * MINUTE, OVERDUE + 120 * MINUTE)
    assert post.to(CONTACT) == [
        "Please keep watch: 3 people at North Strand, overdue from Saturday 13 June, 17:15 "
        "(Europe/Dublin)",
        "OVERDUE: no word from Orla Tern at North Strand",
        "STILL OVERDUE: no word from Orla Tern at North Strand",
    ]
    assert len(post.to(GUIDE)) == 1
    steps = WatchMessage.objects.values_list("step", flat=True)
    assert sorted(steps) == ["again", "card", "overdue", "reminder"]
    assert not WatchMessage.objects.filter(late=True).exists()


def test_nobody_is_told_when_home_was_recorded(watch: Watch, post: Post) -> None:
    run_watch(at=OVERDUE - 100 * MINUTE)
    record_home(watch=watch, at=OVERDUE - MINUTE)
    minutes_of(watch, OVERDUE, OVERDUE + 90 * MINUTE)
    assert len(post.to(CONTACT)) == 1  # the card, before the trip
    assert post.to(GUIDE) == []


def test_a_contact_who_was_told_hears_that_they_are_home_once(watch: Watch, post: Post) -> None:
    run_watch(at=OVERDUE)
    record_home(watch=watch, at=OVERDUE + 10 * MINUTE)
    again = record_home(watch=watch, at=OVERDUE + 20 * MINUTE)
    assert again.home_at == OVERDUE + 10 * MINUTE
    minutes_of(watch, OVERDUE + 10 * MINUTE, OVERDUE + 90 * MINUTE)
    assert post.to(CONTACT)[1:] == [
        "OVERDUE: no word from Orla Tern at North Strand",
        "All home: Orla Tern and 3 people from North Strand",
    ]


def test_a_restart_between_the_steps_changes_nothing(watch: Watch, post: Post) -> None:
    run_watch(at=OVERDUE)
    for connection in connections.all():
        if not connection.in_atomic_block:
            connection.close()
    fresh = Watch.objects.get(pk=watch.pk)
    assert fresh.messages.count() == 3
    run_watch(at=OVERDUE + MINUTE)
    run_watch(at=OVERDUE + 30 * MINUTE)
    assert [subject.split(":")[0] for subject in post.to(CONTACT)[1:]] == [
        "OVERDUE",
        "STILL OVERDUE",
    ]


def test_the_mail_server_down_for_an_hour_loses_nothing(watch: Watch, post: Post) -> None:
    run_watch(at=START - 100 * MINUTE)
    post.got.clear()
    post.down()
    minutes_of(watch, OVERDUE - 5 * MINUTE, OVERDUE + 55 * MINUTE)
    waiting = WatchMessage.objects.filter(sent_at=None)
    assert sorted(waiting.values_list("step", flat=True)) == ["again", "overdue", "reminder"]
    overdue = waiting.get(step="overdue")
    assert overdue.attempts == 12
    assert "ConnectionRefusedError" in overdue.last_error
    post.up()
    minutes_of(watch, OVERDUE + 60 * MINUTE, OVERDUE + 90 * MINUTE)
    assert post.to(CONTACT) == [
        "LATE: OVERDUE: no word from Orla Tern at North Strand",
        "LATE: STILL OVERDUE: no word from Orla Tern at North Strand",
    ]
    assert (
        "LATE: this was due at 17:15"
        in post.got[1].get_payload(0).get_payload(decode=True).decode()
    )
    rows = WatchMessage.objects.exclude(step="card")
    assert {(row.late, row.sent_at) for row in rows} == {(True, OVERDUE + 60 * MINUTE)}


def test_home_while_the_mail_server_is_down_raises_no_alarm_afterwards(
    watch: Watch, post: Post
) -> None:
    run_watch(at=START - 100 * MINUTE)
    post.down()
    run_watch(at=OVERDUE + 5 * MINUTE)
    record_home(watch=watch, at=OVERDUE + 20 * MINUTE)
    post.up()
    minutes_of(watch, OVERDUE + 30 * MINUTE, OVERDUE + 60 * MINUTE)
    assert len(post.to(CONTACT)) == 2  # the card and, as an alarm was on its way, 'all home'
    dropped = WatchMessage.objects.get(step="overdue")
    assert dropped.sent_at is None
    assert dropped.dropped_reason == "home was recorded before it went out"


def test_a_server_that_was_off_all_afternoon_tells_late(watch: Watch, post: Post) -> None:
    run_watch(at=OVERDUE + 200 * MINUTE)
    told = WatchMessage.objects.get(step="overdue")
    assert told.late
    assert told.sent_at == OVERDUE + 200 * MINUTE


def test_the_message_says_where_and_that_it_is_no_rescue_service(watch: Watch, post: Post) -> None:
    run_watch(at=OVERDUE)
    mail = next(one for one in post.got if str(one["Subject"]).startswith("OVERDUE"))
    text = mail.get_payload(0).get_payload(decode=True).decode()
    for words in (
        "53.42000, -9.95000",
        "53°25.200′N 009°57.000′W",
        "29U",
        "This is no rescue service",
    ):
        assert words in text
    assert mail.get_payload(1).get_filename() == "emergency-card.pdf"
    assert mail["Message-ID"] == f"<{watch.messages.get(step='overdue').key}@marramhead.example>"
    assert mail["Auto-Submitted"] == "auto-generated"


def test_a_step_is_written_once_whoever_asks(watch: Watch, business: Any) -> None:
    given = {"watch": watch, "business": business, "step": Step.OVERDUE, "due_at": OVERDUE}
    assert [tell(at=OVERDUE, **given), tell(at=OVERDUE, **given)] == [1, 0]
    row = WatchMessage.objects.get()
    row.pk, row.key = None, "00000000-0000-4000-8000-000000000000"
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save(force_insert=True)


def test_the_watch_sets_itself_with_the_contact_of_the_last_one(watch: Watch, post: Post) -> None:
    later = DayPlanFactory(
        trip=TripFactory(
            status="confirmed",
            starts_at=START + datetime.timedelta(days=7),
            ends_at=START + datetime.timedelta(days=7, hours=11),
        ),
        session_start=START + datetime.timedelta(days=7, hours=2),
        session_end=START + datetime.timedelta(days=7, hours=8),
        overdue_at=OVERDUE + datetime.timedelta(days=7),
    )
    assert run_watch(at=START - datetime.timedelta(days=5)).set == 1
    assert Watch.objects.get(trip=later.trip).contact_mail == CONTACT
    assert post.to(CONTACT)[-1].startswith("You keep watch: 0 people at")


def test_a_trip_called_off_or_stood_down_is_not_waited_for(watch: Watch, post: Post) -> None:
    Trip.objects.filter(pk=watch.trip_id).update(status="cancelled")
    run_watch(at=OVERDUE + 60 * MINUTE)
    Trip.objects.filter(pk=watch.trip_id).update(status="confirmed")
    with pytest.raises(ValidationError, match="Say why"):
        stand_down(watch=watch, reason="", at=START)
    with pytest.raises(ValidationError, match="They may be out"):
        stand_down(watch=watch, reason="the van would not start", at=START)
    stand_down(watch=watch, reason="the van would not start", at=START - MINUTE)
    run_watch(at=OVERDUE + 60 * MINUTE)
    assert post.got == []


def test_the_time_may_be_moved_until_the_contact_is_told(plan: DayPlan, post: Post) -> None:
    given = {"trip": plan.trip, "contact_name": "Bríd", "contact_mail": CONTACT}
    watch = set_watch(overdue_at=OVERDUE, at=START, **given)
    run_watch(at=OVERDUE - 30 * MINUTE)
    set_watch(overdue_at=OVERDUE + 60 * MINUTE, at=OVERDUE - 20 * MINUTE, **given)
    minutes_of(watch, OVERDUE - 20 * MINUTE, OVERDUE + 55 * MINUTE)
    assert [subject.split(":")[0] for subject in post.to(CONTACT)] == [
        "LATE",
        "Changed, please keep watch",
    ]
    run_watch(at=OVERDUE + 60 * MINUTE)
    assert len(post.to(CONTACT)) == 3
    with pytest.raises(ValidationError, match="has been told that you are overdue"):
        set_watch(overdue_at=OVERDUE + 120 * MINUTE, at=OVERDUE + 61 * MINUTE, **given)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"overdue_at": START}, "after pick-up"),
        ({"overdue_at": START + datetime.timedelta(days=9)}, "within 36 hours"),
        ({"contact_mail": "not a mail"}, "valid email"),
        ({"contact_name": "x" * 300}, "at most 100"),
        ({"at": OVERDUE + MINUTE}, "That time has passed"),
    ],
)
def test_a_watch_that_makes_no_sense_is_refused(
    plan: DayPlan, fields: dict[str, Any], sentence: str
) -> None:
    given = {"overdue_at": OVERDUE, "contact_name": "Bríd", "contact_mail": CONTACT, "at": START}
    with pytest.raises(ValidationError, match=sentence):
        set_watch(trip=plan.trip, **(given | fields))
    assert not Watch.objects.exists()


def test_the_demo_season_tells_nobody(watch: Watch, business: Any, post: Post) -> None:
    business.is_demo = True
    business.save()
    run_watch(at=OVERDUE)
    assert post.got == []
    assert set(WatchMessage.objects.values_list("dropped_reason", flat=True)) == {
        "demo season: nothing is sent to anybody"
    }


def test_the_steps_by_the_clock() -> None:
    times = WatchTimes(START, OVERDUE)
    assert [one.step for one in watch_steps_due(times, (), START)] == [Step.CARD]
    late = watch_steps_due(times, (Step.CARD,), OVERDUE + 30 * MINUTE)
    assert [one.step for one in late] == [Step.REMINDER, Step.OVERDUE, Step.AGAIN]
    home = WatchTimes(START, OVERDUE, home_at=OVERDUE)
    assert watch_steps_due(home, (Step.CARD,), OVERDUE + 90 * MINUTE) == ()
    assert not sent_late(OVERDUE, OVERDUE + 10 * MINUTE)
    assert sent_late(OVERDUE, OVERDUE + 11 * MINUTE)


def test_a_watch_that_is_set_late_has_its_card_due_then() -> None:
    at = START - 30 * MINUTE
    (card,) = watch_steps_due(WatchTimes(START, OVERDUE, set_at=at), (), at)
    assert card.due_at == at


def test_the_command_runs_without_anything_to_do(db: None, capsys: Any) -> None:
    call_command("watch")
    assert "0 watches set, 0 messages due, 0 sent, 0 waiting" in capsys.readouterr().out
