"""Two clients who are one person: their cases come together, and can be parted again.

Money, papers and signed forms hang on the party and its people, which stay as they are; only the
client of the party changes. What is printed on a paper was frozen when it was made.
"""

from __future__ import annotations

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.actions.locks import lock_clients, lock_parties
from bookings.models import Client, ClientMerge, Party
from bookings.queries.merges import merge_above

_FILLED, _JOINED = "filled", "joined"
_FIELDS = ("family_name", "email", "phone", "address", "tax_number")
_MOST_NOTE = 2000


@transaction.atomic
def merge_clients(
    *, kept: Client, gone: Client, at: datetime.datetime | None = None
) -> ClientMerge:
    """All cases of `gone` become cases of `kept`; what `kept` lacks is filled in from `gone`."""
    if kept.pk == gone.pk:
        raise ValidationError("That is one and the same entry. Choose the other one.")
    kept, gone = _locked(kept.pk, gone.pk)
    _check_stand(kept, gone)
    pks = list(Party.objects.filter(client=gone).order_by("pk").values_list("pk", flat=True))
    lock_parties(pks)
    filled = {name: _FILLED for name in _FIELDS if not getattr(kept, name) and getattr(gone, name)}
    for name in filled:
        setattr(kept, name, getattr(gone, name))
    if gone.note:
        filled["note"] = _JOINED if kept.note else _FILLED
        kept.note = f"{kept.note}\n\n{gone.note}" if kept.note else gone.note
    if len(kept.note) > _MOST_NOTE:
        raise ValidationError(
            f"Their notes together are longer than {_MOST_NOTE} letters. Shorten one of them first."
        )
    if filled:
        kept.full_clean()
        kept.save()
    Party.objects.filter(pk__in=pks).update(client=kept)
    merge = ClientMerge(kept=kept, gone=gone, parties=pks, filled=filled, at=at or timezone.now())
    merge.full_clean()
    merge.save()
    return merge


@transaction.atomic
def undo_merge(*, merge: ClientMerge, at: datetime.datetime | None = None) -> ClientMerge:
    """Part them again: the cases go back, and what was filled in is emptied where it still stands.

    Cases that were opened since stay where they are.
    """
    kept, gone = _locked(merge.kept_id, merge.gone_id)
    merge = ClientMerge.objects.select_for_update(of=("self",), no_key=True).get(pk=merge.pk)
    if merge.undone_at is not None:
        raise ValidationError(f"{gone} and {kept} are parted already.")
    above = merge_above(merge)
    if above is not None:
        raise ValidationError(
            f"{kept} was later found to be {above.kept}. Part those two first, then these."
        )
    lock_parties(merge.parties)
    Party.objects.filter(pk__in=merge.parties, client=kept).update(client=gone)
    for name, how in merge.filled.items():
        setattr(kept, name, _without(getattr(kept, name), getattr(gone, name), how))
    if merge.filled:
        kept.full_clean()
        kept.save()
    merge.undone_at = at or timezone.now()
    merge.full_clean()
    merge.save()
    return merge


@transaction.atomic
def keep_apart(*, one: Client, other: Client, at: datetime.datetime | None = None) -> ClientMerge:
    """They are two people: not proposed again. Kept as a merge that was undone at once."""
    if one.pk == other.pk:
        raise ValidationError("That is one and the same entry. Choose the other one.")
    one, other = _locked(one.pk, other.pk)
    _check_stand(one, other)
    at = at or timezone.now()
    merge = ClientMerge(kept=one, gone=other, at=at, undone_at=at)
    merge.full_clean()
    merge.save()
    return merge


def _locked(first: int, second: int) -> tuple[Client, Client]:
    """Both rows, locked in one order whoever asks, and given back in the order asked for."""
    found = {client.pk: client for client in lock_clients([first, second])}
    return found[first], found[second]


def _check_stand(kept: Client, gone: Client) -> None:
    away = ClientMerge.objects.filter(gone__in=[kept, gone], undone_at=None)
    for merge in away.select_related("kept", "gone"):
        raise ValidationError(f"{merge.gone} was found to be {merge.kept} already.")


def _without(now: str, added: str, how: str) -> str:
    """A field as it was before the merge; what was typed over it since stays."""
    if how == _FILLED:
        return "" if now == added else now
    return now.replace(f"\n\n{added}", "", 1)
