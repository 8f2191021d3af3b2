"""Answers: read, judged, taken over; everything else refused with a sentence."""

import base64
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.calendars.invite import invite_ics
from guiding.calendars.records import Answer
from guiding.calendars.reply import Reply, answered, read_reply, reply_in_mail, reply_refusal
from tests.calendars.made_invites import ANNA, BRAM, trip

UID = "trip-0042@marramhead.example"


def reply_ics(**changes: str) -> bytes:
    """What a calendar program sends back; written by the library, not by ours."""
    calendar = icalendar.Calendar()
    calendar.add("prodid", "-//Invented//EN")
    calendar.add("version", "2.0")
    calendar.add("method", changes.get("method", "REPLY"))
    event = icalendar.Event()
    event.add("uid", changes.get("uid", UID))
    event.add("dtstamp", datetime(2026, 5, 5, 8, tzinfo=UTC))
    event.add("sequence", int(changes.get("sequence", "0")))
    event.add("organizer", "mailto:desk@marramhead.example")
    event.add("comment", changes.get("comment", "See you\nthere"))
    attendee = icalendar.vCalAddress(changes.get("address", f"MAILTO:{ANNA.mail}"))
    attendee.params["PARTSTAT"] = icalendar.vText(changes.get("answer", "ACCEPTED"))
    attendee.params["CN"] = icalendar.vText("Anna Probe")
    event.add("attendee", attendee, encode=0)
    calendar.add_component(event)
    return calendar.to_ical()


def test_an_answer_is_read() -> None:
    reply = read_reply(reply_ics())
    assert reply == Reply(
        uid=UID,
        mail=ANNA.mail,
        name="Anna Probe",
        answer=Answer.ACCEPTED,
        sequence=0,
        dtstamp=datetime(2026, 5, 5, 8, tzinfo=UTC),
        comment="See you there",
    )


def test_an_answer_taken_over_changes_one_attendee_and_not_the_sequence() -> None:
    invite = trip(sequence=2)
    after = answered(invite, read_reply(reply_ics(sequence="2", answer="declined")))
    assert [one.answer for one in after.attendees] == [Answer.DECLINED, Answer.NEEDS_ACTION]
    assert after.sequence == 2
    assert after.dtstamp == invite.dtstamp


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"sequence": "1"}, "older version"),
        ({"sequence": "3"}, "never sent"),
        ({"uid": "another"}, "another event"),
        ({"address": "mailto:eve@example.org"}, "was not invited"),
    ],
)
def test_an_answer_that_does_not_count_says_why(changes: dict[str, str], reason: str) -> None:
    reply = read_reply(reply_ics(**({"sequence": "2"} | changes)))
    refusal = reply_refusal(reply, trip(sequence=2))
    assert refusal is not None
    assert reason in refusal
    with pytest.raises(ValueError, match=reason):
        answered(trip(sequence=2), reply)


def test_an_answer_overtaken_by_a_later_one_is_left() -> None:
    early = read_reply(reply_ics())
    late = replace(early, dtstamp=early.dtstamp + timedelta(minutes=5), answer=Answer.DECLINED)
    assert "later answer" in (reply_refusal(early, trip(), last=late) or "")
    assert reply_refusal(late, trip(), last=early) is None


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"method": "REQUEST"}, "is no answer"),
        ({"answer": "PERHAPS"}, "'PERHAPS'"),
        ({"address": "tel:+353"}, "no mail address"),
        ({"address": "mailto:a@example.org,b@example.org"}, "is not a mail address"),
    ],
)
def test_a_wrong_answer_is_refused_with_a_sentence(changes: dict[str, str], reason: str) -> None:
    with pytest.raises(ValueError, match=reason):
        read_reply(reply_ics(**changes))


def test_an_answer_for_two_people_or_two_events_is_refused() -> None:
    two = reply_ics().replace(
        b"END:VEVENT", b"ATTENDEE;PARTSTAT=ACCEPTED:mailto:b.client@example.org\r\nEND:VEVENT"
    )
    with pytest.raises(ValueError, match="names none or several"):
        read_reply(two)
    lines = reply_ics().split(b"BEGIN:VEVENT")
    event = b"BEGIN:VEVENT" + lines[1].split(b"END:VCALENDAR")[0]
    other = event.replace(UID.encode(), b"another")
    both = lines[0] + event + other + b"END:VCALENDAR\r\n"
    with pytest.raises(ValueError, match="several events"):
        read_reply(both)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"BEGIN:VCALENDAR",
        b"\xff\xfe",
        b"hello",
        b"BEGIN:VEVENT\r\nEND:VEVENT\r\n",
        b"x" * 300_000,
    ],
)
def test_what_is_no_calendar_is_refused(data: bytes) -> None:
    with pytest.raises(ValueError, match=r"answer|calendar"):
        read_reply(data)


def test_an_invitation_is_not_taken_for_an_answer() -> None:
    with pytest.raises(ValueError, match="METHOD is not REPLY"):
        read_reply(invite_ics(trip()))


@given(cut=st.integers(0, 500), paste=st.binary(max_size=20))
def test_damage_never_ends_in_anything_but_a_sentence(cut: int, paste: bytes) -> None:
    good = reply_ics()
    place = cut % len(good)
    try:
        reply = read_reply(good[:place] + paste + good[place + len(paste) :])
    except ValueError as refused:
        reason = str(refused)
    else:
        reason = f"{reply.answer} was read."
    assert reason.endswith(".")


def mail(calendar: bytes, sender: str, kind: str = "text/calendar; method=REPLY") -> bytes:
    return (
        (
            f"From: {sender}\r\nTo: desk@marramhead.example\r\nSubject: Accepted\r\n"
            "MIME-Version: 1.0\r\nContent-Type: multipart/alternative; boundary=b\r\n\r\n"
            "--b\r\nContent-Type: text/plain\r\n\r\nAnna accepts.\r\n"
            f"--b\r\nContent-Type: {kind}; charset=UTF-8\r\n"
            "Content-Transfer-Encoding: base64\r\n\r\n"
        ).encode()
        + base64.encodebytes(calendar).replace(b"\n", b"\r\n")
        + b"--b--\r\n"
    )


def test_the_answer_counts_for_whom_the_calendar_part_names() -> None:
    """RFC 6047, 2.3: the addresses of the mail's headers say nothing."""
    reply = reply_in_mail(mail(reply_ics(), "Somebody Else <eve@example.net>"))
    assert reply.mail == ANNA.mail


def test_a_mail_without_an_answer_is_left_to_the_reader() -> None:
    with pytest.raises(ValueError, match="holds no calendar answer"):
        reply_in_mail(b"From: a@example.org\r\nSubject: Re\r\n\r\nWe are coming.\r\n")
    with pytest.raises(ValueError, match="holds no calendar answer"):
        reply_in_mail(mail(invite_ics(trip()), BRAM.mail or "", "text/calendar; method=REQUEST"))
