"""The keys of the health notes, changed; every note is then encrypted anew."""

from __future__ import annotations

from dataclasses import dataclass

from cryptography.fernet import InvalidToken
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import Value
from django.db.models.functions import Cast

from bookings.models import HealthKeyError, HealthNote, ToldNote
from bookings.models.keys import (
    cipher,
    current_keys,
    has_keys,
    keys_from_environment,
    new_key,
    write_keys,
)


@dataclass(frozen=True, slots=True)
class Rotation:
    """What a change of keys did: notes encrypted anew, keys that still open something."""

    notes: int
    keys: int
    in_environment: bool


def rotate_keys(*, drop_old: bool = False) -> Rotation:
    """Put a new key first and encrypt every note anew; refused while a note cannot be opened.

    The key before stays, to open what another process wrote in the same moment, unless it is
    dropped at once; older ones go. Keys in the environment are changed by whoever sets it: then
    this encrypts anew with the first of them.
    """
    try:
        if keys_from_environment():
            return Rotation(_encrypt_anew(), len(current_keys()), True)
        if not has_keys() and (HealthNote.objects.exists() or ToldNote.objects.exists()):
            cipher()  # tells which file is missing
        # First the key, then the notes: a stop in between leaves notes that a known key opens.
        write_keys((new_key(), *(current_keys() if has_keys() else ())))
        notes = _encrypt_anew()
        newest, *older = current_keys()
        kept = () if drop_old else older[:1]
        write_keys((newest, *kept))
        return Rotation(notes, 1 + len(kept), False)
    except HealthKeyError as problem:
        raise ValidationError(str(problem)) from None


@transaction.atomic
def _encrypt_anew() -> int:
    return _table_anew(HealthNote, "facts", "answers") + _table_anew(ToldNote, "words")


def _table_anew(table: type[models.Model], *columns: str) -> int:
    """The tokens themselves are read and written, past the field that would open them."""
    text = models.TextField()
    raw = table._base_manager.select_for_update().annotate(
        **{f"raw_{name}": Cast(name, text) for name in columns}
    )
    rows = list(raw.order_by("pk").values_list("pk", *(f"raw_{name}" for name in columns)))
    for pk, *tokens in rows:
        table._base_manager.filter(pk=pk).update(
            **{
                name: Value(_anew(token), output_field=text)
                for name, token in zip(columns, tokens, strict=True)
            }
        )
    return len(rows)


def _anew(token: str) -> str:
    try:
        return cipher().rotate(token.encode("ascii")).decode("ascii")
    except InvalidToken:
        raise ValidationError(
            "A health note is opened by none of the keys. Put the backup of the keys in place "
            "first; nothing was encrypted anew."
        ) from None
