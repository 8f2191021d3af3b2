"""Adding to the chain: one record after the other, however many sign at once."""

from __future__ import annotations

import datetime
import logging
import os
from collections.abc import Mapping
from functools import partial
from uuid import UUID

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from bookings.models import ChainHead, ChainRecord
from bookings.queries.heads import heads_file
from bookings.rules.evidence import (
    ChainedRecord,
    FieldValue,
    canonical_record,
    chained_record,
)

logger = logging.getLogger(__name__)


def lock_chain() -> ChainHead:
    """The end of the chain, held until this transaction is over: signatures queue here."""
    head = ChainHead.objects.select_for_update().filter(pk=1).first()
    if head is None:
        ChainHead.objects.get_or_create(pk=1)
        head = ChainHead.objects.select_for_update().get(pk=1)
    return head


@transaction.atomic
def add_to_chain(content: Mapping[str, FieldValue], *, at: datetime.datetime) -> ChainRecord:
    """The next record of the chain; its end is also written down outside the database."""
    head = lock_chain()
    before = ChainedRecord(head.number, "", "", head.own_hash) if head.number else None
    written = canonical_record({**content, "chain": str(head.chain)})
    link = chained_record(written, before)
    record = ChainRecord(
        number=link.number,
        content=link.content,
        previous_hash=link.previous_hash,
        own_hash=link.own_hash,
    )
    try:
        with transaction.atomic():
            record.save(force_insert=True)
    except IntegrityError:
        raise ValidationError(
            "The chain of records has another end than expected. Nothing was signed; "
            f"run {settings.PROGRAM} verify_waivers before anybody signs again."
        ) from None
    head.number, head.own_hash = link.number, link.own_hash
    head.save(update_fields=["number", "own_hash"])
    transaction.on_commit(partial(_remember, head.chain, link.number, link.own_hash, at))
    return record


def _remember(chain: UUID, number: int, own_hash: str, at: datetime.datetime) -> None:
    """Append one line; a full disk must not undo what somebody has signed."""
    file = heads_file(chain)
    line = f"{number} {own_hash} {at:%Y-%m-%dT%H:%M:%SZ}\n".encode("ascii")
    try:
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(file, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
        try:
            os.write(handle, line)
        finally:
            os.close(handle)
    except OSError as error:
        logger.warning("The end of the chain was not written to %s: %s", file, error.strerror)
