"""A mail as bytes, ready for a server, and what its parts are."""

from __future__ import annotations

import datetime
import email
import email.policy
import hashlib
from dataclasses import dataclass
from email.headerregistry import Address
from email.message import EmailMessage

from bookings.rules.messages import one_line


@dataclass(frozen=True, slots=True)
class Enclosed:
    """A file that goes along."""

    name: str
    media_type: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Addressed:
    """Who writes to whom."""

    from_name: str
    from_mail: str
    to_name: str
    to_mail: str


def mail_bytes(
    who: Addressed,
    subject: str,
    text: str,
    message_id: str,
    sent_at: datetime.datetime,
    enclosed: tuple[Enclosed, ...] = (),
) -> bytes:
    """A mail with words and files. The same arguments give the same bytes.

    Raises ValueError for an address that cannot stand in a header.
    """
    message = EmailMessage(policy=email.policy.SMTP)
    message["From"] = _address(who.from_name, who.from_mail)
    message["To"] = _address(who.to_name, who.to_mail)
    message["Subject"] = one_line(subject)
    message["Date"] = sent_at.astimezone(datetime.UTC)
    message["Message-ID"] = message_id
    message.set_content(text, cte="quoted-printable")
    for one in enclosed:
        main, _slash, sub = one.media_type.partition(";")[0].partition("/")
        message.add_attachment(one.content, maintype=main, subtype=sub, filename=one.name)
    if enclosed:
        message.set_boundary("=_" + hashlib.sha256(message_id.encode()).hexdigest()[:32])
    return message.as_bytes()


def stable_message_id(cause: str, to_mail: str, domain: str) -> str:
    """The Message-ID of what is told to one person: the same for every attempt to send it."""
    seed = hashlib.sha256(f"{cause}\0{to_mail.lower()}".encode()).hexdigest()
    return f"<{seed[:40]}@{domain}>"


def enclosed_files(mail: bytes) -> tuple[Enclosed, ...]:
    """The files of a mail, as they went along."""
    message = email.message_from_bytes(mail, policy=email.policy.default)
    found = []
    for part in message.walk():
        if part.get_content_disposition() != "attachment":
            continue
        content = part.get_payload(decode=True)
        if isinstance(content, bytes):
            name = part.get_filename() or "file"
            found.append(Enclosed(name, part.get_content_type(), content))
    return tuple(found)


def _address(name: str, mail: str) -> Address:
    try:
        return Address(display_name=one_line(name), addr_spec=mail)
    except (ValueError, IndexError) as wrong:
        raise ValueError(
            f"{mail!r} is not a mail address; write it like anna@example.org."
        ) from wrong
