"""Writes about the watch: set, moved, home, and what is told.

A step is first written down, once, and then sent: what the mail server does not take stays written
and goes out later, marked late. A message that was handed to the mail server the moment the
machine went down may go out a second time under the same Message-ID: better twice than never.
"""

from __future__ import annotations

import datetime
import logging
from dataclasses import dataclass
from smtplib import SMTPException
from typing import Any

from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage
from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from bookings.models import Booking, Business, Trip
from guiding.days.models import DayPlan
from guiding.papers.emergency_card import emergency_card_pdf
from guiding.papers.formats import clock
from guiding.safety.models import Watch, WatchMessage
from guiding.safety.queries.watch import off_before, set_by_themselves, waiting, watches_out
from guiding.safety.rules.watch import (
    KNOWS,
    Step,
    WatchTimes,
    is_running,
    sent_late,
    watch_steps_due,
)
from guiding.safety.sheets.card import emergency_card
from guiding.safety.sheets.watch import watch_message

log = logging.getLogger(__name__)
_LONGEST = datetime.timedelta(hours=36)
_WITH_CARD = (Step.CARD, Step.MOVED, Step.OVERDUE, Step.AGAIN)
_WORRYING = (Step.REMINDER.value, Step.OVERDUE.value, Step.AGAIN.value)


@dataclass(frozen=True, slots=True)
class WatchRun:
    """What one run of the watch did."""

    set: int
    made: int
    sent: int
    waiting: int


@transaction.atomic
def set_watch(
    *,
    trip: Trip,
    overdue_at: datetime.datetime,
    contact_name: str,
    contact_mail: str,
    contact_phone: str = "",
    at: datetime.datetime | None = None,
) -> Watch:
    """Set the watch over a trip, or change it while nobody was told that it is overdue."""
    at = at or timezone.now()
    watch = Watch.objects.select_for_update().filter(trip=trip).first() or Watch(trip=trip)
    if watch.is_over:
        raise ValidationError("This watch is over: they are home, or it was stood down.")
    if watch.pk and watch.messages.filter(step=Step.OVERDUE).exists():
        raise ValidationError(
            f"{watch.contact_name} has been told that you are overdue. Ring them; a later time "
            "here would not reach them."
        )
    out = bool(watch.pk) and is_running(trip.starts_at, watch.is_over, at)
    if not out and trip.status not in {Trip.Status.TENTATIVE, Trip.Status.CONFIRMED}:
        raise ValidationError(f"The trip is {trip.get_status_display()}: there is nobody out.")
    if not DayPlan.objects.filter(trip=trip).exists():
        raise ValidationError("The trip has no plan yet: the contact could not be told where.")
    if not trip.starts_at < overdue_at <= trip.ends_at + _LONGEST:
        raise ValidationError(
            {"overdue_at": "Give a time after pick-up, within 36 hours of drop-off."}
        )
    if overdue_at <= at:
        raise ValidationError({"overdue_at": "That time has passed. Give one still to come."})
    watch.overdue_at, watch.contact_name = overdue_at, contact_name.strip()
    watch.contact_mail, watch.contact_phone = contact_mail.strip(), contact_phone.strip()
    watch.set_at = at
    watch.full_clean()
    watch.save()
    _told_anew(watch, at)
    return watch


def _told_anew(watch: Watch, at: datetime.datetime) -> None:
    """A contact who knows hears what holds now; what never went out would name old times."""
    for_old_time = (*KNOWS, Step.REMINDER)
    watch.messages.filter(step__in=for_old_time, sent_at=None, dropped_at=None).delete()
    if watch.messages.filter(step__in=KNOWS).exclude(sent_at=None).exists():
        business = Business.objects.get()
        tell(watch=watch, business=business, step=Step.MOVED, due_at=at, at=at)


def move_watch(*, trip: Trip, by: datetime.timedelta, at: datetime.datetime) -> Watch | None:
    """The watch over a trip whose end moved, as much later or earlier; None where nobody waits."""
    watch = Watch.objects.filter(trip=trip, home_at=None, stood_down_at=None).first()
    if watch is None or not by:
        return watch
    return set_watch(
        trip=trip,
        overdue_at=watch.overdue_at + by,
        contact_name=watch.contact_name,
        contact_mail=watch.contact_mail,
        contact_phone=watch.contact_phone,
        at=at,
    )


@transaction.atomic
def record_home(*, watch: Watch, by: Any = None, at: datetime.datetime | None = None) -> Watch:
    """Everybody is home: said once; whoever was told of an overdue party hears of it."""
    watch = Watch.objects.select_for_update(of=("self",)).get(pk=watch.pk)
    if watch.home_at is not None:
        return watch
    watch.home_at, watch.home_by = at or timezone.now(), by
    watch.save(update_fields=["home_at", "home_by"])
    WatchMessage.objects.filter(
        watch=watch, step__in=_WORRYING, sent_at=None, dropped_at=None
    ).update(dropped_at=watch.home_at, dropped_reason="home was recorded before it went out")
    return watch


@transaction.atomic
def stand_down(*, watch: Watch, reason: str, at: datetime.datetime | None = None) -> Watch:
    """No watch after all, with a reason, before anybody is out; a contact who knows is told."""
    at = at or timezone.now()
    if not reason.strip():
        raise ValidationError({"reason": "Say why nobody needs to be waited for."})
    watch = Watch.objects.select_for_update(of=("self",)).select_related("trip").get(pk=watch.pk)
    if watch.is_over:
        return watch
    if is_running(watch.trip.starts_at, watch.is_over, at):
        raise ValidationError(
            "They may be out: this watch ends when everybody is home, and in no other way."
        )
    watch.stood_down_at, watch.stood_down_reason = at, reason.strip()
    watch.full_clean()
    watch.save()
    watch.messages.filter(sent_at=None, dropped_at=None).update(
        dropped_at=watch.stood_down_at, dropped_reason="the watch was stood down"
    )
    if watch.messages.filter(step__in=KNOWS).exclude(sent_at=None).exists():
        tell(watch=watch, business=Business.objects.get(), step=Step.OFF, due_at=at, at=at)
    return watch


def called_off(*, trip: Trip | None = None, at: datetime.datetime) -> None:
    """End the watches over days that were called off before anybody was out; of one trip or all."""
    for watch in off_before(trip):
        reason = f"called off: {watch.trip.cancelled_reason}"[:200]
        if not is_running(watch.trip.starts_at, watch.is_over, at):
            stand_down(watch=watch, reason=reason, at=at)


def set_itself(*, at: datetime.datetime, trip: Trip | None = None) -> int:
    """Set the watch over confirmed trips that have none, one or all; how many it was.

    Where nobody is named to wait, or a time no longer fits, Today and Safety say so.
    """
    count = 0
    for each, contact in set_by_themselves(at=at, trip=trip):
        try:
            set_watch(trip=each, at=at, **contact)
            count += 1
        except ValidationError as refusal:
            log.warning("No watch over %s: %s", each, " ".join(refusal.messages))
    return count


def run_watch(*, at: datetime.datetime | None = None) -> WatchRun:
    """Set what sets itself, write down every step that is due, and send what waits."""
    at = at or timezone.now()
    business = Business.objects.first()
    if business is None:
        return WatchRun(0, 0, 0, 0)
    called_off(at=at)
    set_now = set_itself(at=at)
    made = sum(_write_due(watch, business, at) for watch in watches_out(at=at))
    sent = sum(_send(message.pk, business, at) for message in waiting())
    return WatchRun(set_now, made, sent, waiting().count())


def _write_due(watch: Watch, business: Business, at: datetime.datetime) -> int:
    told = tuple(Step(message.step) for message in watch.messages.all())
    times = WatchTimes(watch.trip.starts_at, watch.overdue_at, watch.home_at, watch.set_at)
    made = 0
    for due in watch_steps_due(times, told, at):
        made += tell(watch=watch, business=business, step=due.step, due_at=due.due_at, at=at)
    return made


def tell(
    *,
    watch: Watch,
    business: Business,
    step: Step,
    due_at: datetime.datetime,
    at: datetime.datetime,
) -> int:
    """Write down what is to be told; 1 when it is new, 0 when this step was written before."""
    words = watch_message(
        watch=watch,
        plan=DayPlan.objects.select_related("spot", "vehicle").get(trip=watch.trip_id),
        business=business,
        people=_heads(watch.trip),
        step=step,
    )
    try:
        with transaction.atomic():
            # Home may have been recorded since the list was read: the row decides.
            held = Watch.objects.select_for_update(of=("self",)).get(pk=watch.pk)
            over = held.home_at is not None and step is not Step.HOME
            if over or (held.stood_down_at is not None and step is not Step.OFF):
                return 0
            WatchMessage.objects.create(
                watch=watch,
                step=step.value,
                due_at=due_at,
                made_at=at,
                to=words.to,
                subject=words.subject,
                body=words.body,
            )
    except IntegrityError:
        return 0
    return 1


def _heads(trip: Trip) -> int:
    live = Booking.objects.filter(trip=trip).exclude(status=Booking.Status.CANCELLED)
    return sum(live.values_list("heads", flat=True))


def _send(pk: int, business: Business, at: datetime.datetime) -> int:
    """Send one message that waits; 1 when it went out. Two runs at once never send it twice."""
    with transaction.atomic():
        message = (
            WatchMessage.objects.select_for_update(of=("self",))
            .select_related("watch__trip__offer")
            .get(pk=pk)
        )
        if message.sent_at is not None or message.dropped_at is not None:
            return 0
        if business.is_demo:
            WatchMessage.objects.filter(pk=pk).update(
                dropped_at=at, dropped_reason="demo season: nothing is sent to anybody"
            )
            return 0
        late = sent_late(message.due_at, at)
        try:
            _mail(message, business, at, late).send()
        except (OSError, SMTPException) as error:
            WatchMessage.objects.filter(pk=pk).update(
                attempts=F("attempts") + 1,
                last_error=f"{type(error).__name__}: {error}"[:300],
            )
            log.warning("Watch message %s could not be sent: %s", pk, error)
            return 0
        WatchMessage.objects.filter(pk=pk).update(
            attempts=F("attempts") + 1, last_error="", sent_at=at, late=late
        )
    return 1


def _mail(
    message: WatchMessage, business: Business, at: datetime.datetime, late: bool
) -> EmailMessage:
    due = clock(message.due_at, business.tz, business.locale)
    note = f"LATE: this was due at {due}; it could not be sent before.\n\n" if late else ""
    domain = business.email.rsplit("@", 1)[-1]
    mail = EmailMessage(
        subject=f"{'LATE: ' if late else ''}{message.subject}",
        body=note + message.body,
        to=[message.to],
        reply_to=[business.email],
        headers={
            "Message-ID": f"<{message.key}@{domain}>",
            "Auto-Submitted": "auto-generated",  # RFC 3834, section 5
        },
    )
    if message.step in _WITH_CARD:
        mail.attach("emergency-card.pdf", _card(message.watch, business), "application/pdf")
    return mail


def _card(watch: Watch, business: Business) -> bytes:
    plan = DayPlan.objects.select_related("spot", "vehicle").get(trip=watch.trip_id)
    return emergency_card_pdf(
        emergency_card(
            business=business,
            trip=watch.trip,
            plan=plan,
            people=_heads(watch.trip),
            day=plan.session_start.astimezone(business.tz).date(),
            printed_at=watch.set_at.replace(microsecond=0),
            keeper=watch,
        )
    )
