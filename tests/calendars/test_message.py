"""The mail that carries an invitation."""

import email
from email import policy
from email.message import EmailMessage

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.calendars.invite import cancellation, invite_ics
from guiding.calendars.message import Enclosure, invite_message
from guiding.calendars.records import Attendee, Invite, Person
from tests.calendars.made_invites import ANNA, BRAM, GUIDE, STAMP, trip
from tests.reference.published import rows


def sent(invite: Invite | None = None, **changes) -> EmailMessage:
    """A message written and read back as it would arrive."""
    arguments = {"subject": "Shore day on 18 July", "text": "Sat 18 July, 06:00, the slip."}
    message = invite_message(invite or trip(), ANNA.mail, **(arguments | changes))
    read = email.message_from_bytes(message.as_bytes(), policy=policy.default)
    assert isinstance(read, EmailMessage)
    return read


def outline(part: EmailMessage, level: int = 0) -> list[tuple[int, str]]:
    """The tree of types."""
    found = [(level, part.get_content_type())]
    for one in part.iter_parts() if part.is_multipart() else ():
        found += outline(one, level + 1)
    return found


@pytest.mark.parametrize("html", ["", "<p>Sat 18 July</p>"])
def test_structure_is_the_published_one(html: str) -> None:
    """RFC 6047, 2.4, and what the sources of the table found mail programs to accept."""
    wanted = [
        (int(row["level"]), row["content_type"].split(";")[0])
        for row in rows("cal_mime_structure")
        if html or "optional" not in row["part"]
    ]
    message = sent(html=html)
    assert outline(message) == wanted
    for name in ("From", "To", "Subject", "Date", "Message-ID"):
        assert message[name]


def test_both_calendar_parts_hold_the_same_bytes_and_the_method() -> None:
    invite = trip()
    parts = [one for one in sent(invite).walk() if one.get_content_type() == "text/calendar"]
    assert [one.get_payload(decode=True) for one in parts] == [invite_ics(invite)] * 2
    assert {one.get_param("method") for one in parts} == {"REQUEST"}
    assert {one.get_param("charset") for one in parts} == {"UTF-8"}
    assert parts[0].get_content_disposition() is None
    assert parts[1].get_content_disposition() == "attachment"
    assert parts[1].get_filename() == "invite.ics"


def test_a_cancellation_says_so_in_the_part_too() -> None:
    parts = sent(cancellation(trip(), STAMP)).walk()
    methods = [
        one.get_param("method") for one in parts if one.get_content_type() == "text/calendar"
    ]
    assert methods == ["CANCEL", "CANCEL"]


def test_everything_fits_a_path_of_seven_bits() -> None:
    """RFC 6047, 2.5: quoted-printable or base64 for anything beyond ASCII."""
    invite = trip(summary="Pêche – 日の出", attendees=(Attendee("Zoë Ångström", ANNA.mail),))
    data = invite_message(
        invite, ANNA.mail, "Tag für Zoë", "Grüße\n" + "lang " * 300, html="<p>Grüße</p>"
    ).as_bytes()
    data.decode("ascii")
    assert max(len(line) for line in data.split(b"\r\n")) <= 998
    assert b"\n" not in data.replace(b"\r\n", b"")
    read = sent(invite, text="Grüße", subject="Tag für Zoë")
    assert read["Subject"] == "Tag für Zoë"
    assert read["To"].addresses[0].display_name == "Zoë Ångström"
    body = read.get_body(("plain",))
    assert body is not None
    assert body.get_content().strip() == "Grüße"


@given(
    subject=st.text(max_size=80),
    name=st.text(max_size=40),
    file_name=st.text(max_size=40),
    text=st.text(max_size=200),
)
def test_no_text_opens_a_header(subject: str, name: str, file_name: str, text: str) -> None:
    hostile = "\r\nBcc: eve@example.net\r\n\r\nbody"
    plain = set(sent(enclosures=(Enclosure("a.pdf", "application/pdf", b"%PDF"),)).keys())
    message = sent(
        trip(
            organizer=Person(name + hostile, GUIDE.mail),
            attendees=(Attendee(name + hostile, ANNA.mail), BRAM),
        ),
        subject=subject + hostile,
        text=text,
        enclosures=(Enclosure(file_name + hostile, "application/pdf", b"%PDF"),),
    )
    assert set(message.keys()) == plain
    assert [one.addr_spec for one in message["To"].addresses] == [ANNA.mail]
    assert [one.addr_spec for one in message["From"].addresses] == [GUIDE.mail]
    assert outline(message)[-1] == (1, "application/pdf")


def test_a_message_id_or_a_media_type_cannot_open_a_header() -> None:
    message = sent(message_id="<a@b>\r\nBcc: eve@example.net")
    assert "Bcc" not in message
    with pytest.raises(ValueError, match="media type"):
        Enclosure("a.pdf", "application/pdf\r\nBcc: eve@example.net", b"")


def test_same_arguments_same_bytes() -> None:
    one = invite_message(trip(), ANNA.mail, "Day", "Words").as_bytes()
    assert one == invite_message(trip(), ANNA.mail, "Day", "Words").as_bytes()
    other = invite_message(trip(), BRAM.mail or "", "Day", "Words")
    assert other["Message-ID"] != invite_message(trip(), ANNA.mail, "Day", "Words")["Message-ID"]


def test_a_stranger_or_an_entry_of_a_feed_is_refused() -> None:
    with pytest.raises(ValueError, match="is not an attendee"):
        invite_message(trip(), "eve@example.org", "Day", "Words")
    with pytest.raises(ValueError, match="without METHOD"):
        invite_message(trip(method=None), ANNA.mail or "", "Day", "Words")
