"""The outbox: written with what it tells, claimed by one worker, handed over at most once.

No queue beside it: the row is the only truth of what was sent. A worker claims a row with a lease,
gives the server all of the mail but the last dot, writes down that it is handing over, and only
then sends the dot. Killed before that, the mail was certainly not taken over and goes out again;
killed after it, it may have been, and a person decides. Nothing narrower is possible: SMTP has no
way to ask a server whether it has a message.
"""

from __future__ import annotations

import datetime
import hashlib
import uuid
from collections.abc import Callable, Iterable

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.utils import timezone

from bookings.models import Business, Message, Party, QuietHours, Trip
from bookings.rules.mail import Addressed, Enclosed, enclosed_files, mail_bytes, stable_message_id
from bookings.rules.messages import one_line, wait_after

LEASE = datetime.timedelta(minutes=5)


@transaction.atomic
def put_in_outbox(
    *,
    kind: str,
    cause: str,
    to_mail: str,
    subject: str,
    body: str,
    to_name: str = "",
    party: Party | None = None,
    trip: Trip | None = None,
    enclosed: Iterable[Enclosed] = (),
    mail: Callable[[str, datetime.datetime], bytes] | None = None,
    due_at: datetime.datetime | None = None,
    by_rule: bool = False,
    user: User | None = None,
    at: datetime.datetime | None = None,
) -> Message | None:
    """Write a mail to one person, unless they were told this already: then None.

    `mail` makes the bytes from Message-ID and date where words and files are not all of it.
    """
    at = at or timezone.now()
    due_at = max(due_at or at, at)
    business = Business.objects.get()
    if told(cause=cause, to_mail=to_mail):
        return None
    message_id = stable_message_id(cause, to_mail, business.email.rpartition("@")[2])
    subject = one_line(subject)
    who = Addressed(business.name, business.email, to_name, to_mail)
    try:
        raw = (
            mail(message_id, due_at)
            if mail
            else mail_bytes(who, subject, body, message_id, due_at, tuple(enclosed))
        )
    except ValueError as refusal:
        raise ValidationError({"to_mail": str(refusal)}) from None
    if by_rule:
        # RFC 3834, section 5: nobody pressed a button, so no "I am away" is to come back.
        raw = b"Auto-Submitted: auto-generated\r\n" + raw
    row = Message(
        kind=kind,
        cause=cause,
        party=party,
        trip=trip,
        lane=f"party {party.pk}" if party else f"mail {to_mail.lower()}",
        to_name=to_name[:200],
        to_mail=to_mail,
        subject=subject,
        body=body,
        enclosed=_listed(raw),
        mail=raw,
        message_id=message_id,
        by_rule=by_rule,
        made_at=at,
        made_by=user,
        due_at=due_at,
        next_try_at=due_at,
    )
    row.full_clean(exclude=["mail"], validate_constraints=False)
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        return None  # somebody else told it a moment ago
    return row


def told(*, cause: str, to_mail: str) -> bool:
    """Whether somebody was told this, or will be."""
    return Message.objects.filter(cause=cause, to_mail__iexact=to_mail).exists()


def _listed(raw: bytes) -> list[dict[str, object]]:
    return [
        {
            "name": one.name,
            "media_type": one.media_type,
            "size": len(one.content),
            "sha256": hashlib.sha256(one.content).hexdigest(),
        }
        for one in enclosed_files(raw)
    ]


@transaction.atomic
def claim_next(*, at: datetime.datetime, lease: datetime.timedelta = LEASE) -> Message | None:
    """The next mail that is due, claimed for the caller until the lease ends; None when none is.

    Within a lane nothing overtakes. On PostgreSQL workers pass over each other's rows; SQLite has
    one writer at a time, and its transactions take the lock at their beginning.
    """
    waiting_before = Message.objects.filter(
        lane=OuterRef("lane"), state__in=Message.WAITING, due_at__lte=OuterRef("due_at")
    ).filter(Q(due_at__lt=OuterRef("due_at")) | Q(pk__lt=OuterRef("pk")))
    skips = _can_skip()
    found = (
        Message.objects.filter(state=Message.State.QUEUED, next_try_at__lte=at)
        .filter(~Exists(waiting_before))
        .order_by("due_at", "pk")
        .select_for_update(of=("self",) if skips else (), skip_locked=skips)
        .first()
    )
    if found is None:
        return None
    return _claimed(found, at, lease)


@transaction.atomic
def claim_this(
    *, message: Message, at: datetime.datetime, lease: datetime.timedelta = LEASE
) -> Message:
    """Claim one mail that waits, whatever stands before it."""
    found = (
        Message.objects.select_for_update(of=("self",) if _can_skip() else ())
        .filter(pk=message.pk, state=Message.State.QUEUED)
        .first()
    )
    if found is None:
        raise ValidationError("This mail does not wait to be sent.")
    return _claimed(found, at, lease)


def _can_skip() -> bool:
    return bool(connection.features.has_select_for_update_skip_locked)


def _claimed(found: Message, at: datetime.datetime, lease: datetime.timedelta) -> Message:
    found.state, found.claim = Message.State.CLAIMED, str(uuid.uuid4())
    found.claimed_until = at + lease
    found.attempts += 1
    found.save(update_fields=["state", "claim", "claimed_until", "attempts"])
    return found


def hand_over(*, message: Message) -> bool:
    """Say that the last dot is about to be sent; False when the claim is no longer ours."""
    return bool(_ours(message, Message.State.CLAIMED).update(state=Message.State.HANDED))


def mark_sent(*, message: Message, at: datetime.datetime) -> None:
    """The server has it. True even if the lease ended in between."""
    _ours(message, Message.State.HANDED, Message.State.UNSURE).update(
        state=Message.State.SENT, sent_at=at, claim="", claimed_until=None, last_error=""
    )


def mark_failed(*, message: Message, error: str, for_good: bool, at: datetime.datetime) -> None:
    """The server has said no: try again later, or put it before the guide."""
    most = QuietHours.objects.values_list("most_attempts", flat=True).first() or 12
    given_up = for_good or message.attempts >= most
    _ours(message, Message.State.CLAIMED, Message.State.HANDED).update(
        state=Message.State.DEAD if given_up else Message.State.QUEUED,
        next_try_at=max(at + wait_after(message.attempts), message.due_at),
        last_error=one_line(error)[:300],
        claim="",
        claimed_until=None,
    )


def mark_untried(*, message: Message, error: str, at: datetime.datetime) -> None:
    """No server was reached: the mail is not at fault and keeps its attempts."""
    _ours(message, Message.State.CLAIMED).update(
        state=Message.State.QUEUED,
        attempts=F("attempts") - 1,
        next_try_at=max(at, message.due_at),
        last_error=one_line(error)[:300],
        claim="",
        claimed_until=None,
    )


def _ours(message: Message, *states: str) -> QuerySet[Message]:
    return Message.objects.filter(pk=message.pk, claim=message.claim, state__in=states)


@transaction.atomic
def take_back_expired(*, at: datetime.datetime) -> tuple[int, int]:
    """Claims of workers that are gone: how many go out again, how many may have gone out."""
    gone = Message.objects.filter(claimed_until__lte=at)
    again = gone.filter(state=Message.State.CLAIMED).update(
        state=Message.State.QUEUED, claim="", claimed_until=None
    )
    # The claim stays: a worker that only slept may still say that the server has it.
    unsure = gone.filter(state=Message.State.HANDED).update(
        state=Message.State.UNSURE,
        claimed_until=None,
        last_error="The worker ended while the server took it over. Ask whether it arrived.",
    )
    return again, unsure


def _changed(message: Message, allowed: Iterable[str], refusal: str, **values: object) -> Message:
    changed = Message.objects.filter(pk=message.pk, state__in=list(allowed)).update(**values)
    if not changed:
        raise ValidationError(refusal)
    message.refresh_from_db()
    return message


def send_again(*, message: Message, at: datetime.datetime | None = None) -> Message:
    """Once more, after a look: what was not delivered, or perhaps."""
    at = at or timezone.now()
    return _changed(
        message,
        [Message.State.DEAD, Message.State.UNSURE],
        "Only a mail that was not delivered, or perhaps not, is sent again.",
        state=Message.State.QUEUED,
        next_try_at=max(at, message.due_at),
        attempts=0,
        claim="",
        last_error="",
    )


def it_arrived(*, message: Message, at: datetime.datetime | None = None) -> Message:
    """The guide found out that a doubtful mail is there."""
    return _changed(
        message,
        [Message.State.UNSURE],
        "This mail is not in doubt.",
        state=Message.State.SENT,
        sent_at=at or timezone.now(),
        claim="",
        last_error="",
    )


def withdraw(*, message: Message) -> Message:
    """Not to be sent after all; it stays in the list."""
    return _changed(
        message,
        [Message.State.QUEUED, Message.State.DEAD],
        "It is too late: the mail is on its way or gone.",
        state=Message.State.WITHDRAWN,
    )


def note_bounce(*, message: Message, note: str, at: datetime.datetime | None = None) -> Message:
    """A mail came back: why, in a sentence."""
    if not note.strip():
        raise ValidationError({"note": "Say what the returned mail says."})
    return _changed(
        message,
        [Message.State.SENT],
        "Only a mail that was sent can come back.",
        bounced_at=at or timezone.now(),
        bounce_note=one_line(note),
    )
