"""Writes about the words of our messages and the rules by which they go out."""

from __future__ import annotations

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.models import MessageRule, MessageText, QuietHours
from bookings.rules.message_words import LANGUAGES
from bookings.rules.messages import text_problems


@transaction.atomic
def save_message_text(
    *,
    kind: str,
    language: str,
    subject: str,
    body: str,
    at: datetime.datetime | None = None,
) -> MessageText:
    """Our own wording; a field that this kind does not know is refused."""
    if language not in LANGUAGES:
        raise ValidationError({"language": f"Texts are kept in {', '.join(LANGUAGES)}."})
    try:
        problems = {
            name: text_problems(kind, text) for name, text in (("subject", subject), ("body", body))
        }
    except ValueError as refusal:
        raise ValidationError({"kind": str(refusal)}) from None
    if any(problems.values()):
        raise ValidationError({name: list(found) for name, found in problems.items() if found})
    row = MessageText.objects.filter(kind=kind, language=language).first() or MessageText(
        kind=kind, language=language
    )
    row.subject, row.body, row.changed_at = (
        subject.strip(),
        body.strip(),
        at or timezone.now(),
    )
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def back_to_house_text(*, kind: str, language: str) -> None:
    """Drop our own wording; the house's stands again."""
    MessageText.objects.filter(kind=kind, language=language).delete()


@transaction.atomic
def save_message_rule(
    *, kind: str, automatic: bool, hours: int, again_hours: int = 0, most: int = 1
) -> MessageRule:
    """When a kind goes by itself; `again_hours` and `most` where it is said more than once."""
    row = MessageRule.objects.filter(kind=kind).first() or MessageRule(kind=kind)
    row.automatic, row.hours = automatic, hours
    row.again_hours, row.most = again_hours, most
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def save_quiet_hours(*, quiet_from: datetime.time, quiet_until: datetime.time) -> QuietHours:
    row = QuietHours.objects.first() or QuietHours()
    row.quiet_from, row.quiet_until = quiet_from, quiet_until
    row.full_clean()
    row.save()
    return row
