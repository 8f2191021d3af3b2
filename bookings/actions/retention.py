"""Erasing what has been kept for long enough, and holding what an incident still needs."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from functools import partial

from django.db import transaction
from django.db.models import ProtectedError
from django.utils import timezone

from bookings.actions.chain import add_to_chain, lock_chain
from bookings.actions.health import erase_notes, erase_told
from bookings.actions.locks import lock_clients, lock_parties
from bookings.models import (
    BrowserTrace,
    Client,
    Guardian,
    Hold,
    OwedCopy,
    PaperSheet,
    Participant,
    RetentionRule,
    RetentionRun,
    Signature,
    Trip,
)
from bookings.queries.health import told_due
from bookings.queries.records import ERASED
from bookings.queries.retention import due, rules_in_force, signatures_due
from bookings.rules.retention import KeepRule, Kept


@transaction.atomic
def set_rule(*, kind: str, days: int) -> RetentionRule:
    """Keep a kind for so many days from now on."""
    rule = RetentionRule.objects.filter(kind=kind).first() or RetentionRule(kind=kind)
    rule.days = days
    rule.full_clean()
    rule.save()
    return rule


@transaction.atomic
def hold_trip(*, trip: Trip, reason: str, at: datetime.datetime | None = None) -> Hold:
    """Erase nothing about this trip until the hold is released."""
    hold = Hold(trip=trip, reason=reason.strip(), held_at=at or timezone.now())
    hold.full_clean()
    hold.save()
    return hold


@transaction.atomic
def release_hold(*, hold: Hold, at: datetime.datetime | None = None) -> Hold:
    """From here on the rules count again."""
    hold.released_at = at or timezone.now()
    hold.save(update_fields=["released_at"])
    return hold


@transaction.atomic
def carry_out(*, at: datetime.datetime | None = None, by: str = "the rule") -> dict[str, int]:
    """Erase everything whose time is up; how much of each kind went."""
    at = at or timezone.now()
    lock_chain()  # before what is erased: a form signed meanwhile takes the chain first as well
    erased = {}
    for kind, rule in rules_in_force().items():
        erased[kind.value] = _erase(rule, at, by)
    RetentionRun.objects.create(ran_at=at, erased=erased)
    return erased


def _erase(rule: KeepRule, at: datetime.datetime, by: str) -> int:
    why = f"kept {rule.days} day{'s' * (rule.days != 1)}"
    match rule.kind:
        case Kept.HEALTH:
            told = told_due(ended_before=at - datetime.timedelta(days=rule.days))
            gone = erase_told(told, by=by, at=at, why=why)
            return gone + erase_notes(due(rule, at=at), by=by, at=at, why=why)
        case Kept.TRACE:
            return empty_traces([trace.pk for trace in due(rule, at=at)], at=at)
        case Kept.ENQUIRY:
            return _forget_questions(rule, at)
        case Kept.PERSON:
            return _forget_particulars([person.pk for person in due(rule, at=at)])
        case Kept.SIGNATURE:
            return erase_signatures(signatures_due(rule, at=at), why=why, at=at)
        case _:
            rows = due(rule, at=at)
            count = rows.count()
            rows.delete()
            return count


def empty_traces(pks: Sequence[int], *, at: datetime.datetime) -> int:
    """Address and browser gone; their fingerprint in the record stays."""
    return BrowserTrace.objects.filter(pk__in=pks, erased_at=None).update(
        address="", agent="", salt="", erased_at=at
    )


@transaction.atomic
def erase_signatures(signatures: Sequence[Signature], *, why: str, at: datetime.datetime) -> int:
    """What the records hold is gone, and the chain itself says so and still holds."""
    numbers = [signature.record_id for signature in signatures]
    if not numbers:
        return 0
    add_to_chain({"act": ERASED, "records": numbers, "why": why, "erased_at": at}, at=at)
    gone = Signature.objects.filter(pk__in=numbers)
    sheets = list(gone.exclude(sheet=None).values_list("sheet", flat=True).distinct())
    empty_traces(list(gone.exclude(trace=None).values_list("trace", flat=True)), at=at)
    OwedCopy.objects.filter(signature__in=numbers).delete()
    gone.update(sealed="", sheet=None, erased_at=at)
    for sheet in PaperSheet.objects.filter(pk__in=sheets, signatures=None):
        transaction.on_commit(partial(sheet.file.storage.delete, str(sheet.file.name)))
        sheet.delete()
    return len(numbers)


def _forget_questions(rule: KeepRule, at: datetime.datetime) -> int:
    """Cases that came to nothing, and bookers of whom nothing else is left."""
    count = 0
    parties = list(due(rule, at=at).select_related("client").order_by("pk"))
    lock_clients(party.client_id for party in parties)
    lock_parties(party.pk for party in parties)
    for party in parties:
        try:
            with transaction.atomic():
                client = party.client
                party.quotes.all().delete()
                party.delete()
                if not client.parties.exists():
                    pk = client.pk
                    client.delete()
                    Client.history.filter(id=pk).delete()
        except ProtectedError:
            continue  # something else stands on it; it is kept with that
        count += 1
    return count


def _forget_particulars(pks: Sequence[int]) -> int:
    """Mail, telephone and birth date gone; the name stays with the booking."""
    people = Participant.objects.filter(pk__in=pks)
    Guardian.objects.filter(ward__in=pks).update(email="", phone="")
    return people.update(email="", phone="", born_on=None)
