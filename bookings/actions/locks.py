"""The one order in which rows are locked, so that nobody waits in a ring.

Business, bank line, chain, trips, clients, parties, ledger. A row of the list is locked before
those of the kinds behind it; several of one kind by primary key, all of them at the beginning.
Waiting list, price notes, bookings, settlements and invitations need no place in it: whoever writes
several of them holds their trip or their party first, and queues there. On SQLite a transaction
that writes is alone from its beginning, and these only read.

No lock here stops a row that points at the locked one (`no_key`): a mail or a payment written down
meanwhile does not wait for a trip that somebody changes.
"""

from __future__ import annotations

from collections.abc import Iterable

from bookings.models import Client, MoneyEntry, MoneySeries, Party, Trip


def lock_trips(pks: Iterable[int]) -> list[Trip]:
    """The trips as they stand now, with their offers: first of all, before anything is written.

    Every action that writes a trip or a booking waits here; what is read after it holds until the
    transaction ends.
    """
    return list(
        Trip.objects.select_for_update(of=("self",), no_key=True)
        .select_related("offer")
        .filter(pk__in=set(pks))
        .order_by("pk")
    )


def lock_clients(pks: Iterable[int]) -> list[Client]:
    """The clients, where which cases are theirs is about to change."""
    rows = Client.objects.select_for_update(no_key=True)
    return list(rows.filter(pk__in=set(pks)).order_by("pk"))


def lock_parties(pks: Iterable[int]) -> list[Party]:
    """The parties, after the trips: whoever writes their money or their names waits here.

    Without their clients: a party whose client was merged while we waited would fall out of a join.
    """
    rows = Party.objects.select_for_update(no_key=True)
    return list(rows.filter(pk__in=set(pks)).order_by("pk"))


def lock_ledger(year: int) -> dict[str, MoneySeries]:
    """The next numbers of a year by kind of paper: last of all, held as short as can be.

    All kinds at once: an invoice with a transfer and a transfer with a credit note would else take
    them crosswise.
    """
    rows = MoneySeries.objects.select_for_update(no_key=True).filter(year=year).order_by("kind")
    found = {row.kind: row for row in rows}
    missing = sorted(set(MoneyEntry.Kind.values) - found.keys())
    if missing:  # the first paper of a year; two who come at once meet at the first kind
        new = [MoneySeries(kind=kind, year=year) for kind in missing]
        MoneySeries.objects.bulk_create(new, ignore_conflicts=True)
        found = {row.kind: row for row in rows.all()}
    return found
