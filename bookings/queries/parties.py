"""Questions about parties: one with all its page shows, found by words, closed ones."""

from __future__ import annotations

from django.db.models import Prefetch, Q, QuerySet

from bookings.models import Client, Participant, Party, Quote
from bookings.queries.bookings import full_bookings
from bookings.queries.merges import standing


def closed_parties() -> QuerySet[Party]:
    """The closed cases, newest first."""
    return Party.objects.filter(state=Party.State.CLOSED).select_related("client", "offer")


def find_parties(words: str) -> QuerySet[Party]:
    """Cases by name, mail, telephone or wishes of the client."""
    wanted = Q()
    for word in words.split()[:6]:
        wanted &= (
            Q(client__given_name__icontains=word)
            | Q(client__family_name__icontains=word)
            | Q(client__email__icontains=word)
            | Q(client__phone__icontains=word)
            | Q(wishes__icontains=word)
            | Q(participants__given_name__icontains=word)
        )
    return Party.objects.filter(wanted).select_related("client", "offer").distinct()


def party_page(pk: int) -> Party | None:
    """One party with all that its page shows, in a constant number of queries."""
    return (
        Party.objects.select_related("client", "offer")
        .prefetch_related(
            Prefetch(
                "participants",
                Participant.objects.select_related("guardian").prefetch_related("guardians"),
            ),
            Prefetch(
                "bookings",
                full_bookings().order_by("-booked_at", "-pk"),
            ),
            Prefetch("quotes", Quote.objects.prefetch_related("lines")),
        )
        .filter(pk=pk)
        .first()
    )


def other_cases(party: Party) -> list[Party]:
    """The newest other cases of the same client."""
    return list(Party.objects.filter(client=party.client_id).exclude(pk=party.pk)[:10])


def known_clients(email: str, phone: str) -> list[Client]:
    """Clients with this mail or telephone: probably the same person, oldest entry first."""
    same = Q(pk__in=[])
    if email:
        same |= Q(email__iexact=email)
    if phone:
        same |= Q(phone=phone)
    return standing(Client.objects.filter(same))
