"""The places of a trip: who has them, who holds them for now, and how many are left."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from bookings.rules.deadlines import has_lapsed
from bookings.rules.states import BookingState


@dataclass(frozen=True, slots=True)
class Claim:
    """One booking's claim on a trip; `lapses_at` (aware) ends a tentative one, None never does."""

    heads: int
    state: BookingState
    lapses_at: datetime | None = None
    whole_trip: bool = False


@dataclass(frozen=True, slots=True)
class PlacesCount:
    """Places of a trip: confirmed + held + left = places, unless it was oversold by hand."""

    places: int
    confirmed: int
    held: int
    left: int


def count_places(places: int, claims: Sequence[Claim], at: datetime) -> PlacesCount:
    """How many places of a trip are confirmed, held and left at an instant.

    `places` 0 or more; `at` aware. A claim on the whole trip takes all places. Cancelled claims and
    tentative ones that have lapsed take none. Left is never below 0. Errors: a naive instant,
    negative figures. Source: house rule.
    """
    if places < 0:
        raise ValueError(f"Places: {places} is below 0; enter 0 or more.")
    confirmed = _taken(places, claims, BookingState.CONFIRMED, at)
    held = _taken(places, claims, BookingState.TENTATIVE, at)
    return PlacesCount(places, confirmed, held, max(places - confirmed - held, 0))


def checked_claim(places: int, claims: Sequence[Claim], wanted: Claim, at: datetime) -> PlacesCount:
    """The places after one more claim, or a ValueError that says how many are left.

    `claims` are the others, without the one wanted; `at` aware. Errors: too few places, a wish for
    the whole trip when somebody has a place, no heads. Source: house rule.
    """
    if wanted.heads < 1:
        raise ValueError(f"Heads: {wanted.heads} needs no place; enter 1 or more.")
    now = count_places(places, claims, at)
    if wanted.heads > now.left or wanted.heads > places:
        raise ValueError(
            f"{wanted.heads} place{' is' if wanted.heads == 1 else 's are'} wanted and "
            f"{now.left} of {places} {'is' if now.left == 1 else 'are'} left; choose another day "
            "or a smaller party."
        )
    if wanted.whole_trip and now.confirmed + now.held:
        raise ValueError(
            f"The whole trip is wanted and {now.confirmed + now.held} of its places are taken; "
            "choose another day."
        )
    return count_places(places, (*claims, wanted), at)


def _taken(places: int, claims: Sequence[Claim], state: BookingState, at: datetime) -> int:
    return sum(
        places if claim.whole_trip else claim.heads
        for claim in claims
        if claim.state is state and not _is_over(claim, at)
    )


def _is_over(claim: Claim, at: datetime) -> bool:
    return (
        claim.state is BookingState.TENTATIVE
        and claim.lapses_at is not None
        and has_lapsed(claim.lapses_at, at)
    )
