"""The key to a party's own page: made, shown once, taken back."""

from __future__ import annotations

import datetime
import secrets

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.actions.locks import lock_parties
from bookings.models import Ask, Party, PartyLink
from bookings.queries.party_links import token_hash

OPEN_FOR = datetime.timedelta(days=180)  # house default
_MOST_ASKS = 20


@transaction.atomic
def make_party_link(
    *, party: Party, until: datetime.datetime | None = None, at: datetime.datetime | None = None
) -> str:
    """A new link; the secret comes back once and is kept nowhere. Older links stay as they are."""
    at = at or timezone.now()
    token = secrets.token_urlsafe(32)
    link = PartyLink(
        party=party, token_hash=token_hash(token), made_at=at, expires_at=until or at + OPEN_FOR
    )
    if link.expires_at <= at:
        raise ValidationError("This link would be over before it begins.")
    link.full_clean()
    link.save()
    return token


@transaction.atomic
def revoke_party_links(*, party: Party, at: datetime.datetime | None = None) -> int:
    """Take every link of a party back; how many there were."""
    links = PartyLink.objects.filter(party=party, revoked_at=None)
    return links.update(revoked_at=at or timezone.now())


@transaction.atomic
def ask_for_change(*, party: Party, text: str, at: datetime.datetime | None = None) -> Ask:
    """What a client would like to be different; the same words twice are one question."""
    at = at or timezone.now()
    lock_parties([party.pk])
    text = text.strip()
    if not text:
        raise ValidationError({"text": "Write what you would like to change."})
    waiting = Ask.objects.filter(party=party, answered_at=None)
    known = waiting.filter(text=text).first()
    if known is not None:
        return known
    if waiting.count() >= _MOST_ASKS:
        raise ValidationError("We have many questions of yours already. Please ring us instead.")
    ask = Ask(party=party, text=text, asked_at=at)
    ask.full_clean()
    ask.save()
    return ask


@transaction.atomic
def answer_ask(*, ask: Ask, at: datetime.datetime | None = None) -> Ask:
    """Tick a question off."""
    Ask.objects.filter(pk=ask.pk, answered_at=None).update(answered_at=at or timezone.now())
    ask.refresh_from_db()
    return ask
