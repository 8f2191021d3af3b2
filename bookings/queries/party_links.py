"""Whose page a link opens, and why it opens nothing."""

from __future__ import annotations

import datetime
import hmac
from hashlib import sha256

from django.db.models import QuerySet

from bookings.models import Party, PartyLink

_LONGEST = 100


class ShutPartyLinkError(Exception):
    """The link opens nothing; `reason` is 'unknown', 'over' or 'revoked'."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


def token_hash(token: str) -> str:
    """What is kept of a link's secret: 256 random bits need no salt."""
    return sha256(token.encode()).hexdigest()


def party_of_link(token: str, *, at: datetime.datetime) -> Party:
    """The party whose page a secret opens; ShutPartyLinkError says why it opens none."""
    if len(token) > _LONGEST:
        raise ShutPartyLinkError("unknown")
    wanted = token_hash(token)
    link = PartyLink.objects.select_related("party__client").filter(token_hash=wanted).first()
    if link is None or not hmac.compare_digest(link.token_hash, wanted):
        raise ShutPartyLinkError("unknown")
    if link.revoked_at is not None:
        raise ShutPartyLinkError("revoked")
    if link.expires_at <= at:
        raise ShutPartyLinkError("over")
    return link.party


def open_links(party: Party, *, at: datetime.datetime) -> QuerySet[PartyLink]:
    """Links that open the page of a party, newest first."""
    return PartyLink.objects.filter(party=party, revoked_at=None, expires_at__gt=at)
