"""Who stands behind a private link, and what that person may sign."""

from __future__ import annotations

import datetime
import hmac
from dataclasses import dataclass
from hashlib import sha256

from bookings.models import Booking, Participant, SigningLink, Trip
from bookings.queries.signatures import Outstanding, PersonState, outstanding
from bookings.queries.signers import Signer, of_guardian, of_person


class ShutLinkError(Exception):
    """The link opens nothing; `reason` is 'unknown', 'over', 'revoked' or 'off'."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


@dataclass(frozen=True, slots=True)
class OpenLink:
    """A link that opens: who signs, for which trip, and for whom there is something to sign."""

    link: SigningLink
    signer: Signer
    stand: Outstanding
    people: tuple[PersonState, ...]

    @property
    def trip(self) -> Trip:
        return self.stand.trip

    def adults_beside(self, state: PersonState) -> list[PersonState]:
        """Grown people of the same party, who may stay responsible for a minor."""
        return [
            other
            for other in self.stand.people
            if other.booking.pk == state.booking.pk and other.minor is False
        ]

    def of(self, person_pk: int) -> PersonState | None:
        """The person, when this link may sign for them; None for anybody else."""
        return next((state for state in self.people if state.person.pk == person_pk), None)


def token_hash(token: str) -> str:
    """What is kept of a link's secret: 256 random bits need no salt."""
    return sha256(token.encode()).hexdigest()


def open_link(token: str, *, at: datetime.datetime) -> OpenLink:
    """The link of a secret, with what it opens. ShutLinkError says why it opens nothing."""
    wanted = token_hash(token)
    link = (
        SigningLink.objects.select_related(
            "person__party__client",
            "guardian__person__party__client",
            "guardian__ward__party__client",
            "trip__offer",
        )
        .filter(token_hash=wanted)
        .first()
    )
    if link is None or not hmac.compare_digest(link.token_hash, wanted):
        raise ShutLinkError("unknown")
    if link.revoked_at is not None:
        raise ShutLinkError("revoked")
    if link.expires_at <= at:
        raise ShutLinkError("over")
    signer = _signer(link)
    stand = outstanding(link.trip, at=at)
    people = tuple(state for state in stand.people if _signs_for(signer, state))
    if not people and not _still_on(link):
        raise ShutLinkError("off")
    return OpenLink(link, signer, stand, people)


def _signer(link: SigningLink) -> Signer:
    if link.person is not None:
        return of_person(link.person)
    assert link.guardian is not None  # noqa: S101  a constraint of the table
    return of_guardian(link.guardian)


def _signs_for(signer: Signer, state: PersonState) -> bool:
    """Themselves when of age or not known to be a minor; else those they answer for."""
    return any(signer.key == other.key for other in state.signers)


def _still_on(link: SigningLink) -> bool:
    person: Participant = link.person or link.guardian.ward  # type: ignore[union-attr]
    return (
        link.trip.status != Trip.Status.CANCELLED
        and Booking.objects.filter(
            party=person.party_id, trip=link.trip_id, status=Booking.Status.CONFIRMED
        ).exists()
    )


def open_links(trip: Trip, *, at: datetime.datetime) -> list[SigningLink]:
    """Links of a trip that open something, newest first."""
    return list(
        SigningLink.objects.filter(trip=trip, revoked_at=None, expires_at__gt=at).select_related(
            "person", "guardian"
        )
    )


def states_to_ask(stand: Outstanding) -> dict[tuple[str, int], tuple[Signer, list[PersonState]]]:
    """Signers with something still to sign, each with the people they sign for."""
    found: dict[tuple[str, int], tuple[Signer, list[PersonState]]] = {}
    for state in stand.missing:
        for signer in state.signers:
            found.setdefault(signer.key, (signer, []))[1].append(state)
    return found
