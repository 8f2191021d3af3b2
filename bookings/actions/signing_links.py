"""Private links for signing: made, sent, taken back."""

from __future__ import annotations

import datetime
import secrets
from collections.abc import Collection
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from bookings.models import SigningLink, Trip
from bookings.queries.signatures import outstanding
from bookings.queries.signers import Signer, send_to, signing_rules
from bookings.queries.signing_links import states_to_ask, token_hash

SECRET_BYTES = 32  # 256 bits


@dataclass(frozen=True, slots=True)
class Asked:
    """Somebody asked to sign: the secret is known here and now and never again."""

    signer: Signer
    link: SigningLink
    token: str
    names: tuple[str, ...]


@transaction.atomic
def make_link(
    *,
    signer: Signer,
    trip: Trip,
    way: str = SigningLink.Way.LINK,
    by_mail: bool = False,
    at: datetime.datetime | None = None,
) -> tuple[SigningLink, str]:
    """A new link and its secret, of which only a hash is kept."""
    at = at or timezone.now()
    rules = signing_rules()
    if trip.ends_at <= at:
        raise ValidationError("This trip is over: nobody can sign for it any more.")
    if way == SigningLink.Way.PHONE:
        expires_at = at + datetime.timedelta(minutes=rules.phone_minutes)
    else:
        after = trip.ends_at + datetime.timedelta(days=1)
        expires_at = min(at + datetime.timedelta(days=rules.link_days), after)
    token = secrets.token_urlsafe(SECRET_BYTES)
    to = send_to(signer, by_mail=by_mail)
    link = SigningLink(
        token_hash=token_hash(token),
        person=signer.person,
        guardian=None if signer.person else signer.guardian,
        trip=trip,
        way=way,
        sent_to=to.email or to.phone,
        made_at=at,
        expires_at=expires_at,
    )
    link.full_clean()
    link.save()
    return link, token


@transaction.atomic
def ask_to_sign(
    *,
    trip: Trip,
    only: Collection[tuple[str, int]] = (),
    by_mail: bool = False,
    at: datetime.datetime | None = None,
) -> list[Asked]:
    """A link for everybody who still has something to sign, or for `only` these signers.

    `by_mail` where it is mailed: then who has a telephone alone is asked through the booker.
    """
    at = at or timezone.now()
    wanted = states_to_ask(outstanding(trip, at=at))
    asked = []
    for key, (signer, states) in wanted.items():
        if only and key not in only:
            continue
        link, token = make_link(signer=signer, trip=trip, by_mail=by_mail, at=at)
        names = tuple(str(state.person) for state in states)
        asked.append(Asked(signer, link, token, names))
    return asked


@transaction.atomic
def take_back_links(
    *, trip: Trip, only: tuple[str, int] | None = None, at: datetime.datetime | None = None
) -> int:
    """Shut the links of a trip, or of one signer; how many there were."""
    links = SigningLink.objects.filter(trip=trip, revoked_at=None)
    if only:
        kind, pk = only
        links = links.filter(**{kind: pk})
    return links.update(revoked_at=at or timezone.now())
