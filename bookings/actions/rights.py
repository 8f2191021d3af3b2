"""What a person may ask for: their data in a file, and to be forgotten where the law lets us."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field
from typing import Any

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.module_loading import import_string

from bookings.actions.health import erase_notes, erase_told, look_at_notes
from bookings.actions.retention import empty_traces
from bookings.models import (
    Booking,
    Client,
    Guardian,
    HealthLog,
    HealthNote,
    Message,
    MessageKind,
    OwedCopy,
    Participant,
    Party,
    Signature,
    SigningLink,
    ToldNote,
    TripAttendee,
    TripInvite,
)
from bookings.queries.merges import one_person
from bookings.queries.retention import held_trips
from bookings.queries.rights import PersonFile, participants_with, person_file, roots

FORGOTTEN = "Forgotten"
# Letters that speak of money are kept as long as the money itself.
_MONEY_LETTERS = (MessageKind.PRICE_NOTE, MessageKind.CONFIRMATION, MessageKind.BALANCE)


@dataclass(slots=True)
class Erasure:
    """What went, and what stays with the reason why."""

    email: str
    erased: list[str] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)

    def note(self, count: int, one: str, many: str) -> None:
        if count:
            self.erased.append(f"{count} {one if count == 1 else many}")


@transaction.atomic
def give_person_file(
    *,
    email: str,
    user: AbstractBaseUser | None = None,
    by: str = "",
    at: datetime.datetime | None = None,
) -> PersonFile:
    """Everything kept of a person; the look at their health notes is written down."""
    at = at or timezone.now()
    file = person_file(email, at=at)
    if not file.rows:
        raise ValidationError(f"Nothing is kept of {email!r}. Check how the address is written.")
    look_at_notes(
        notes=file.health_notes,
        user=user,
        by=by,
        act=HealthLog.Act.EXPORTED,
        why="asked for by the person",
        at=at,
    )
    return file


@transaction.atomic
def erase_person(*, email: str, by: str, at: datetime.datetime | None = None) -> Erasure:
    """Forget a person as far as the law lets us, and say what stays and why.

    Refused while they are on a trip to come. Money and signed records stay as they were written.
    """
    at = at or timezone.now()
    email = email.strip()
    if not roots(email):
        raise ValidationError(f"Nothing is kept of {email!r}. Check how the address is written.")
    bearers = Client.objects.filter(email__iexact=email).values_list("pk", flat=True)
    clients = Client.objects.filter(pk__in=one_person(bearers))
    people = participants_with(email)
    guardians = Guardian.objects.filter(Q(email__iexact=email) | Q(person__in=people)).exclude(
        ward__party__bookings__trip__in=held_trips()
    )
    _refuse_before_a_trip(clients, people, guardians, at)
    done = Erasure(email)
    _health(done, people, guardians, by, at)
    _signing(done, email, people, guardians, at)
    _letters(done, email)
    _people(done, list(people.values_list("pk", flat=True)))
    _bookers(done, list(clients))
    _others(done)
    return done


def _refuse_before_a_trip(
    clients: QuerySet[Client],
    people: QuerySet[Participant],
    guardians: QuerySet[Guardian],
    at: datetime.datetime,
) -> None:
    parties = Party.objects.filter(
        Q(client__in=clients)
        | Q(participants__in=people)
        | Q(participants__in=guardians.values("ward"))
    )
    ahead = (
        Booking.objects.filter(party__in=parties, trip__ends_at__gt=at)
        .exclude(status=Booking.Status.CANCELLED)
        .select_related("trip__offer")
        .first()
    )
    if ahead:
        raise ValidationError(
            f"This person is on a trip to come, {ahead.trip}. Cancel the booking or take them off "
            "the list first; then they can be forgotten."
        )


def _health(
    done: Erasure,
    people: QuerySet[Participant],
    guardians: QuerySet[Guardian],
    by: str,
    at: datetime.datetime,
) -> None:
    notes = HealthNote.objects.filter(
        Q(participant__in=people) | Q(signature__guardian__in=guardians)
    )
    held = notes.filter(trip__in=held_trips()).count()
    gone = notes.exclude(trip__in=held_trips())
    told = ToldNote.objects.filter(participant__in=people)
    of_held = told.filter(participant__party__bookings__trip__in=held_trips()).distinct()
    held += of_held.count()
    told = told.exclude(pk__in=of_held.values("pk"))
    why = "asked for by the person"
    done.note(
        erase_notes(gone, by=by, at=at, why=why) + erase_told(told, by=by, at=at, why=why),
        "health note",
        "health notes",
    )
    if held:
        done.kept.append(f"Health notes ({held}): an incident of that trip still needs them.")


def _signing(
    done: Erasure,
    email: str,
    people: QuerySet[Participant],
    guardians: QuerySet[Guardian],
    at: datetime.datetime,
) -> None:
    signed = Signature.objects.filter(
        Q(participant__in=people, by_guardian=False)
        | Q(guardian__in=guardians)
        | Q(sealed__icontains=f'"signer_contact":"{email}"')
    )
    stay = signed.filter(erased_at=None).count()
    if stay:
        done.kept.append(
            f"Signed records ({stay}): needed where a claim is made or defended; erased by rule "
            "when their time is up."
        )
    traces = signed.exclude(trace=None).exclude(trip__in=held_trips())
    emptied = empty_traces(list(traces.values_list("trace", flat=True)), at=at)
    done.note(emptied, "address and browser of a signature", "addresses and browsers of signatures")
    links = SigningLink.objects.filter(
        Q(person__in=people) | Q(guardian__in=guardians) | Q(sent_to__iexact=email)
    )
    done.note(links.count(), "private link", "private links")
    links.delete()
    OwedCopy.objects.filter(to__iexact=email).delete()
    done.note(guardians.count(), "guardian's particulars", "guardians' particulars")
    Guardian.objects.filter(pk__in=list(guardians.values_list("pk", flat=True))).delete()


def _letters(done: Erasure, email: str) -> None:
    """Mails to them and the invites that name them; letters about money stay with the money."""
    mails = Message.objects.filter(to_mail__iexact=email)
    money = mails.filter(kind__in=_MONEY_LETTERS)
    if money.exists():
        done.kept.append(f"Letters about money ({money.count()}): business letters, by tax law.")
    gone = mails.exclude(kind__in=_MONEY_LETTERS)
    done.note(gone.count(), "message", "messages")
    gone.delete()
    TripAttendee.objects.filter(refused_from__iexact=email).update(refused_from="")
    trips = list(TripAttendee.objects.filter(mail__iexact=email).values_list("trip", flat=True))
    TripAttendee.objects.filter(mail__iexact=email).delete()
    for invite in TripInvite.objects.filter(trip__in=trips):
        invite.told = _without(invite.told, email.lower())
        invite.save(update_fields=["told"])


def _without(told: Any, email: str) -> Any:
    """The same JSON without whoever bears the address."""
    if isinstance(told, dict):
        return {name: _without(value, email) for name, value in told.items()}
    if isinstance(told, list):
        return [_without(each, email) for each in told if not _names(each, email)]
    return "" if isinstance(told, str) and email in told.lower() else told


def _names(told: Any, email: str) -> bool:
    return isinstance(told, dict) and any(
        isinstance(value, str) and email in value.lower() for value in told.values()
    )


def _people(done: Erasure, pks: list[int]) -> None:
    """People of parties: the row stays, because a booking counts heads; who it was does not."""
    held = set(
        Participant.objects.filter(pk__in=pks, party__bookings__trip__in=held_trips()).values_list(
            "pk", flat=True
        )
    )
    if held:
        done.kept.append(f"Particulars ({len(held)}): an incident of their trip still needs them.")
    gone = [pk for pk in pks if pk not in held]
    if name := getattr(settings, "BOOKINGS_FORGOTTEN", ""):
        done.kept += import_string(name)(people=gone)  # a higher house's records, and what stays
    Participant.objects.filter(pk__in=gone).update(
        given_name=FORGOTTEN,
        family_name="",
        email="",
        phone="",
        born_on=None,
        swims=Participant.Swims.UNKNOWN,
        is_client=False,
    )
    done.note(len(gone), "person on a list", "people on lists")


def _bookers(done: Erasure, clients: list[Client]) -> None:
    for client in clients:
        blank: dict[str, str] = {"email": "", "phone": "", "note": ""}
        if Party.objects.filter(client=client, money__isnull=False).exists():
            done.kept.append(f"{client}: name, invoices and payments, as long as tax law asks.")
        else:
            blank |= {"given_name": FORGOTTEN, "family_name": ""}
        Client.objects.filter(pk=client.pk).update(**blank)
        Client.history.filter(id=client.pk).delete()
        Party.objects.filter(client=client).update(wishes="", source="", closed_reason="")
    done.note(len(clients), "booker's particulars", "bookers' particulars")


def _others(done: Erasure) -> None:
    """Rows elsewhere that still bear the address: said, so that somebody looks at them."""
    for model, pks in roots(done.email).items():
        if model not in {Signature, Message, Client, Participant, Guardian}:
            done.kept.append(
                f"{str(model._meta.verbose_name_plural).capitalize()} ({len(pks)}): "
                "kept for the safety of a trip; look at them yourself."
            )
