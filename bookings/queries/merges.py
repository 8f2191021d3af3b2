"""Clients who may be one person, and those who were found to be."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet
from django.db.models.functions import Lower

from bookings.models import Client, ClientMerge

_MOST = 50  # on one page; the rest comes up as these are dealt with
_MOST_NAMESAKES = 6  # more clients of one name, mail or number are nobody's doubles


@dataclass(frozen=True, slots=True)
class Doubles:
    """Two clients who may be one person; the older row is `kept` unless you say otherwise."""

    kept: Client
    gone: Client
    reason: str


def standing_clients() -> QuerySet[Client]:
    """Clients who have not been found to be somebody else."""
    return Client.objects.exclude(
        pk__in=ClientMerge.objects.filter(undone_at=None).values("gone")
    ).order_by("pk")


def standing(found: Iterable[Client]) -> list[Client]:
    """Each client as they stand now: who was found to be another is that other; nobody twice."""
    now = {client.pk: client for client in found}
    for _ in range(20):  # a chain of merges; it has no ring, because only who stands is merged
        away = ClientMerge.objects.filter(gone__in=now, undone_at=None).select_related("kept")
        moved = {merge.gone_id: merge.kept for merge in away}
        if not moved:
            break
        kept = {client.pk: client for client in moved.values()}
        now = {pk: client for pk, client in now.items() if pk not in moved} | kept
    return [now[pk] for pk in sorted(now)]


def one_person(pks: Iterable[int]) -> set[int]:
    """Those clients and all who were found to be the same person, on either side."""
    found, fresh = set(pks), set(pks)
    while fresh:
        pairs = ClientMerge.objects.filter(
            Q(kept__in=fresh) | Q(gone__in=fresh), undone_at=None
        ).values_list("kept", "gone")
        fresh = {pk for pair in pairs for pk in pair} - found
        found |= fresh
    return found


def doubles() -> list[Doubles]:
    """Pairs who share a mail, a telephone or a whole name, surest first; a few queries in all.

    Who was parted before is not proposed again.
    """
    clients = standing_clients().annotate(low_mail=Lower("email"))
    named = clients.exclude(family_name="").annotate(
        low_given=Lower("given_name"), low_family=Lower("family_name")
    )
    groups = [
        ("the same mail", _groups(clients.exclude(email=""), "low_mail")),
        ("the same telephone", _groups(clients.exclude(phone=""), "phone")),
        ("the same name", _groups(named, "low_given", "low_family")),
    ]
    apart = _parted()
    found: dict[tuple[int, int], Doubles] = {}
    for reason, members in groups:
        for group in members:
            for at, kept in enumerate(group):
                for gone in group[at + 1 :]:
                    key = (kept.pk, gone.pk)
                    if key not in apart and not (reason.endswith("name") and _differ(kept, gone)):
                        found.setdefault(key, Doubles(kept, gone, reason))
    return list(found.values())[:_MOST]


def _groups(clients: QuerySet[Client], *columns: str) -> list[list[Client]]:
    """Clients who agree in these columns, group by group."""
    counted = (
        clients.order_by().values(*columns).annotate(count=Count("pk")).filter(count__gt=1)
    ).order_by(*columns)
    keys = [
        tuple(row[column] for column in columns)
        for row in counted[:_MOST]
        if row["count"] <= _MOST_NAMESAKES
    ]
    if not keys:
        return []
    wanted = Q(pk__in=[])
    for key in keys:
        wanted |= Q(**dict(zip(columns, key, strict=True)))
    groups: dict[tuple[str, ...], list[Client]] = {key: [] for key in keys}
    for client in clients.filter(wanted).order_by("pk"):
        groups[tuple(getattr(client, column) for column in columns)].append(client)
    return list(groups.values())


def _differ(one: Client, other: Client) -> bool:
    """Namesakes: another mail and another telephone."""
    mails = one.email and other.email and one.email.lower() != other.email.lower()
    return bool(mails and one.phone and other.phone and one.phone != other.phone)


def _parted() -> set[tuple[int, int]]:
    pairs = ClientMerge.objects.exclude(undone_at=None).values_list("kept", "gone")
    return {(min(pair), max(pair)) for pair in pairs}


def maybe_same(client: Client, words: str = "") -> list[Client]:
    """Who else this client may be: by the words given or else by mail, telephone and name."""
    if words.split():
        wanted = Q()
        for word in words.split()[:6]:
            wanted &= (
                Q(given_name__icontains=word)
                | Q(family_name__icontains=word)
                | Q(email__icontains=word)
                | Q(phone__icontains=word)
            )
    else:
        wanted = Q(pk__in=[])
        if client.email:
            wanted |= Q(email__iexact=client.email)
        if client.phone:
            wanted |= Q(phone=client.phone)
        if client.family_name:
            wanted |= Q(
                family_name__iexact=client.family_name, given_name__iexact=client.given_name
            )
    others = standing_clients().filter(wanted).exclude(pk=client.pk)
    return list(others.annotate(cases=Count("parties"))[:20])


def merges(client: Client | None = None) -> QuerySet[ClientMerge]:
    """Merges that stand, newest first; of one client or of all."""
    found = ClientMerge.objects.filter(undone_at=None).select_related("kept", "gone")
    return found if client is None else found.filter(kept=client)


def merge_above(merge: ClientMerge) -> ClientMerge | None:
    """A later merge that took the kept client away again; it must be undone first."""
    found = ClientMerge.objects.filter(gone=merge.kept_id, undone_at=None)
    return found.select_related("kept").first()
