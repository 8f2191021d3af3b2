"""Yes or no to an invitation: given on the page of a link, or in mails that came back."""

from __future__ import annotations

import datetime
import mailbox
from collections.abc import Iterator
from pathlib import Path

from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.actions.invites import keep_answer
from bookings.models import TripAttendee
from guiding.desk.actions.invites import take_answer

_Answer = TripAttendee.Answer
BY_LINK = (_Answer.ACCEPTED, _Answer.TENTATIVE, _Answer.DECLINED)


@transaction.atomic
def answer_by_link(
    *, attendee: TripAttendee, answer: str, comment: str = "", at: datetime.datetime
) -> TripAttendee:
    """What somebody says on the page of their link; the newest word holds."""
    if answer not in BY_LINK:
        raise ValidationError("Say that you come, that you do not, or that you are not sure.")
    return keep_answer(
        attendee=attendee,
        answer=answer,
        sequence=attendee.trip.invite.sequence,
        stamp=at,
        comment=" ".join(comment.split()),
    )


def take_mailbox(*, path: Path, at: datetime.datetime) -> Iterator[tuple[str, str]]:
    """The answers in a mailbox, a Maildir folder or an mbox file: the subject of each mail and
    what came of it. Mails stay where they are; what was taken before is taken without a change.

    OSError where the mailbox cannot be read.
    """
    box: mailbox.Maildir | mailbox.mbox
    if path.is_dir():
        box = mailbox.Maildir(path, create=False)
        for part in ("new", "cur"):
            if not (path / part).is_dir():
                raise NotADirectoryError(20, "it has no folder 'new' or 'cur'")
    else:
        path.open("rb").close()
        box = mailbox.mbox(path, create=False)
    for key in box.keys():  # noqa: SIM118  iterating a mailbox gives mails, not keys
        subject = " ".join(str(box[key]["Subject"] or "without a subject").split())
        try:
            row = take_answer(mail=box.get_bytes(key), at=at)
        except ValidationError as refusal:
            yield subject, " ".join(refusal.messages)
        else:
            yield subject, f"{row.name or row.mail} {row.get_answer_display()}"
