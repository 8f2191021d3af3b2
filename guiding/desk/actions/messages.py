"""Messages written from what the tables say, each in one transaction with what it tells."""

from __future__ import annotations

import datetime
import logging
from collections.abc import Callable, Iterator

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.urls import reverse

from bookings.actions.fixing import fix_paid_days
from bookings.actions.money.invoices import invoice_balance, invoice_deposit
from bookings.actions.signing_links import Asked, ask_to_sign
from bookings.models import Booking, Business, Message, MessageKind, SchedulerRun
from bookings.queries.money import booking_account, invoices_of
from bookings.queries.signatures import outstanding
from bookings.queries.signers import send_to
from bookings.queries.signing_links import states_to_ask
from bookings.rules.mail import Enclosed
from guiding.desk.actions.copies import write_copies
from guiding.desk.actions.invites import tell_calendars
from guiding.desk.actions.price_notes import write_price_note
from guiding.desk.actions.reminding import write_reminder
from guiding.desk.actions.writing import (
    PDF,
    readers,
    to_party,
    trip_sheet_of,
    written_for,
)
from guiding.desk.queries.due_messages import Due, due_messages
from guiding.desk.sheets.gather import TripFile, gather
from guiding.desk.sheets.languages import language_of
from guiding.desk.sheets.messages import (
    balance_values,
    forms_values,
    handed_on,
    signing_lines,
    trip_values,
    written,
)
from guiding.desk.sheets.money import entry_paper

logger = logging.getLogger(__name__)
_BETWEEN_RUNS = datetime.timedelta(seconds=50)


def run_scheduler(*, at: datetime.datetime) -> int:
    """Write every message that is due; how many there were. One worker at a time does it.

    What goes wrong with one message is told on Today and holds up none of the others.
    """
    if not _our_turn(at):
        return 0
    written_count, problems = 0, []
    try:
        fix_paid_days(at=at)  # first: who has paid is confirmed in the same round
    except Exception:
        logger.exception("The days whose first part has come in could not be given")
        problems.append("Days whose first part has come in could not be given; the log says why.")
    for due in due_messages(at=at):
        try:
            written_count += write_due(due, at=at)
        except (ValueError, ValidationError) as problem:
            words = " ".join(getattr(problem, "messages", None) or [str(problem)])
            problems.append(f"{due.what}: {words}")
        except Exception:
            logger.exception("The message %s could not be written", due.cause)
            problems.append(f"{due.what}: it could not be written; the log says why.")
    SchedulerRun.objects.update(ended_at=at, written=written_count, problems=problems[:20])
    return written_count


@transaction.atomic
def _our_turn(at: datetime.datetime) -> bool:
    if SchedulerRun.objects.get_or_create(pk=1, defaults={"started_at": at})[1]:
        return True
    return bool(
        SchedulerRun.objects.filter(started_at__lte=at - _BETWEEN_RUNS).update(started_at=at)
    )


@transaction.atomic
def write_due(due: Due, *, at: datetime.datetime) -> int:
    """Write what one cause asks for; how many mails that were."""
    if due.kind == MessageKind.CONFIRMATION:
        return len(tell_calendars(trip_pk=due.trip_pk or 0, at=at))
    return sum(1 for row in _WRITERS[due.kind](due, at) if row is not None)


def _file(due: Due) -> TripFile:
    file = gather(due.trip_pk or 0, business=Business.objects.get())
    if file is None:
        raise ValueError("The trip is gone.")
    return file


def _booking(file: TripFile, due: Due) -> Booking:
    for booking in file.bookings:
        if booking.pk == due.booking_pk:
            return booking
    raise ValueError("The booking is no longer live.")


def _forms(due: Due, at: datetime.datetime) -> Iterator[Message | None]:
    """What is missing, to whoever booked; a link to sign, to each signer at their own address."""
    file = _file(due)
    booking = _booking(file, due)
    values, language = forms_values(file, booking, at=at), language_of(booking)
    if not values["missing"]:
        return
    booker, with_booker = booking.party.client.email.lower(), []
    for one in _asked_to_sign(file, booking, at):
        address = settings.PUBLIC_URL + reverse("sign_start", args=[one.token])
        line = (", ".join(one.names), address)
        if one.signer.email.lower() in {"", booker}:
            to_hand_on = send_to(one.signer, by_mail=True).booker is not None
            names = handed_on(line[0], one.signer.name, language) if to_hand_on else line[0]
            with_booker.append((names, address))
            continue
        own = values | {
            "first_name": one.signer.name.split(" ")[0],
            "missing": "\n".join(f"- {name}" for name in one.names),
            "sign": signing_lines([line], language),
        }
        words = written(due.kind, language, own)
        to = (one.signer.name, one.signer.email)
        yield to_party(file, booking, due.kind, due.cause, words, at, to=to, due_at=due.send_at)
    words = written(due.kind, language, values | {"sign": signing_lines(with_booker, language)})
    yield to_party(file, booking, due.kind, due.cause, words, at, due_at=due.send_at)


def _asked_to_sign(file: TripFile, booking: Booking, at: datetime.datetime) -> list[Asked]:
    """Everybody who still has to sign for somebody of one booking, each with a new link."""
    stand = outstanding(file.trip, at=at)
    keys = [
        key
        for key, (_signer, states) in states_to_ask(stand).items()
        if any(state.booking.pk == booking.pk for state in states)
    ]
    return ask_to_sign(trip=file.trip, only=keys, by_mail=True, at=at) if keys else []


def _balance(due: Due, at: datetime.datetime) -> Iterator[Message | None]:
    """What is left to pay, with the invoice it stands on; billed now if it was not before."""
    file = _file(due)
    booking = _booking(file, due)
    values, due_on = balance_values(file, booking, on=at.astimezone(file.business.tz).date())
    if due_on is None:
        return
    account = booking_account(booking)
    if account.open <= 0:
        bill = invoice_balance if account.billed else invoice_deposit
        bill(booking=booking, at=at)
    words = written_for(due.kind, booking.party, values, at=at)
    invoice = invoices_of(booking).first()
    enclosed = (
        (Enclosed(f"invoice-{invoice.label}.pdf", PDF, entry_paper(invoice)),) if invoice else ()
    )
    yield to_party(
        file, booking, due.kind, due.cause, words, at, enclosed=enclosed, due_at=due.send_at
    )


def _trip_sheet(due: Due, at: datetime.datetime) -> Iterator[Message | None]:
    """To everybody of a party who gave a mail address, with the paper as it is now."""
    file = _file(due)
    booking = _booking(file, due)
    enclosed = trip_sheet_of(file, booking, at=at)
    for name, mail, first_name in readers(booking):
        values = trip_values(file, booking, first_name=first_name)
        words = written(due.kind, language_of(booking), values)
        yield to_party(
            file,
            booking,
            due.kind,
            due.cause,
            words,
            at,
            to=(name, mail),
            enclosed=enclosed,
            due_at=due.send_at,
        )


def _thanks(due: Due, at: datetime.datetime) -> Iterator[Message | None]:
    file = _file(due)
    booking = _booking(file, due)
    words = written(due.kind, language_of(booking), trip_values(file, booking))
    yield to_party(file, booking, due.kind, due.cause, words, at, due_at=due.send_at)


_WRITERS: dict[str, Callable[[Due, datetime.datetime], Iterator[Message | None]]] = {
    MessageKind.FORMS: _forms,
    MessageKind.BALANCE: _balance,
    MessageKind.REMINDER: write_reminder,
    MessageKind.TRIP_SHEET: _trip_sheet,
    MessageKind.THANKS: _thanks,
    MessageKind.PRICE_NOTE: write_price_note,
    MessageKind.COPY: write_copies,
}
