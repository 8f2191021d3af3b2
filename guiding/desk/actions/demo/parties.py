"""The demo's parties, from fresh questions to days fished long ago."""

from __future__ import annotations

import datetime
import uuid
from random import Random
from typing import Any

from django.core.exceptions import ValidationError

from bookings.actions import parties, quotes, trips
from bookings.models import Business, Client, Offer, Party, Trip
from bookings.rules.states import TripState
from guiding.days.actions.plans import change_plan, plan_day
from guiding.days.models import DayPlan, Spot
from guiding.days.queries.drops import permission_on
from guiding.desk.actions.demo.forecasts import past_decision
from guiding.desk.actions.demo.gear import Gear

_PAST = 22
_AHEAD = 18
_AT = {
    "Party day": "North Strand",
    "Family day": "Wreck Bay",
    "Ledge day": "Sker Ledge",
    "Open day": "Wreck Bay",
}
_NAMES = uuid.UUID("5a0d5a1c-0000-4000-8000-000000000026")


class _Maker:
    """Holds what every party of the season is made from."""

    def __init__(
        self,
        season: dict[str, Any],
        today: datetime.date,
        dice: Random,
        business: Business,
        spots: dict[str, Spot],
        offers: dict[str, Offer],
        gear: Gear,
    ) -> None:
        self.season, self.today, self.dice, self.business = season, today, dice, business
        self.spots, self.offers, self.gear = spots, offers, gear
        self.clients = [self._client(n, *person) for n, person in enumerate(season["clients"])]

    def _client(self, number: int, given: str, family: str, language: str) -> Client:
        return parties.save_client(
            country="IE",
            given_name=given,
            family_name=family,
            email=f"client{number + 1:02d}@example.org",
            phone=f"+3532091001{number + 10:02d}",
            language=language,
        )

    def noon(self, day: datetime.date) -> datetime.datetime:
        return datetime.datetime.combine(day, datetime.time(20), datetime.UTC)

    def trip(self, number: int, offer: Offer, day: datetime.date) -> DayPlan:
        """A planned trip on this day or, where the tide does not serve, on one soon after."""
        spot = self.spots[_AT[offer.name]]
        for later in range(15):
            on = day + datetime.timedelta(days=later)
            try:
                plan = plan_day(
                    offer=offer,
                    spot=spot,
                    day=on,
                    business=self.business,
                    at=self.noon(on - datetime.timedelta(days=40)),
                )
            except ValidationError:
                continue
            Trip.objects.filter(pk=plan.trip_id).update(
                uid=uuid.uuid5(_NAMES, f"{self.today} trip {number}")
            )
            plan.trip.refresh_from_db()
            self._choose_gear(plan, number)
            return plan
        raise ValueError(f"No day near {day} has a tide for {offer} at {spot}.")

    def _choose_gear(self, plan: DayPlan, number: int) -> None:
        if not permission_on(spot=plan.spot, on=plan.session_start.date()).may_drop:
            change_plan(plan=plan, reels=self.gear.reels[4:6])
            return
        packs = [pack for pack in self.gear.packs if pack.fits_id == self.gear.craft["Gannet"].pk]
        start = number % 3
        change_plan(
            plan=plan,
            craft=self.gear.craft["Gannet"],
            packs=packs[start : start + 4],
            reels=self.gear.reels[:4],
        )

    def party(
        self,
        client: Client,
        offer: Offer,
        *,
        heads: int,
        minors: int,
        asked: datetime.date,
        wished: datetime.date | None,
    ) -> Party:
        return parties.open_party(
            client=client,
            heads=heads,
            minors=minors,
            offer=offer,
            day_from=wished,
            day_until=wished,
            wishes=self.dice.choice(self.season["wishes"]),
            source=self.dice.choice(self.season["sources"]),
            at=self.noon(asked),
        )

    def name_people(self, party: Party, *, missing: int = 0) -> None:
        """Everybody by name, children with the booker as guardian; the last few still missing."""
        client = party.client
        booker = parties.save_participant(
            party=party,
            country="IE",
            on=self.today,
            given_name=client.given_name,
            family_name=client.family_name,
            email=client.email,
            phone=client.phone,
            born_on=self._birthday(26, 64),
            swims="yes",
        )
        for n in range(1, party.heads - missing):
            child = n > party.heads - 1 - party.minors
            names = self.season["children" if child else "companions"]
            parties.save_participant(
                party=party,
                country="IE",
                on=self.today,
                given_name=self.dice.choice(names),
                family_name=client.family_name if child else "",
                born_on=self._birthday(7, 15) if child else self._birthday(19, 66),
                swims=self.dice.choice(["yes", "yes", "yes", "no", "unknown"]),
                guardian=booker if child else None,
                told="carries an inhaler" if n == 2 and self.dice.random() < 0.3 else "",
            )

    def _birthday(self, youngest: int, oldest: int) -> datetime.date:
        days = self.dice.randrange(youngest * 366, oldest * 365)
        return self.today - datetime.timedelta(days=days)

    def book(self, party: Party, plan: DayPlan, *, until: str) -> None:
        """Hold, quote, send, accept; stops where `until` says (held, sent or accepted)."""
        asked = party.asked_at
        later = datetime.timedelta(hours=3)
        soon = max(asked, self.noon(self.today) - 2 * later)
        at = asked + later if until == "accepted" else soon
        booking = trips.hold_places(
            party=party,
            trip=plan.trip,
            heads=party.heads,
            at=at,
            hold_until=at + datetime.timedelta(days=quotes.VALID_DAYS),
        )
        if until == "held":
            return
        quote = quotes.draft_quote(
            party=party,
            offer=plan.trip.offer,
            heads=party.heads,
            children=party.minors if plan.trip.offer.child_price else 0,
            booking=booking,
            at=at,
        )
        quote = quotes.send_quote(quote=quote, at=at)
        if until == "accepted":
            quotes.accept_quote(quote=quote, at=at + datetime.timedelta(hours=20))


def make_parties(
    season: dict[str, Any],
    *,
    today: datetime.date,
    dice: Random,
    business: Business,
    spots: dict[str, Spot],
    offers: dict[str, Offer],
    gear: Gear,
) -> None:
    """About forty trips, past and to come, and a few questions still open."""
    maker = _Maker(season, today, dice, business, spots, offers, gear)
    _fished(maker)
    _ahead(maker)
    _asking(maker)


def _fished(maker: _Maker) -> None:
    for n in range(_PAST):
        offer = maker.offers[
            ("Party day", "Family day", "Party day", "Ledge day", "Open day")[n % 5]
        ]
        day = maker.today - datetime.timedelta(days=170 - 7 * n)
        plan = maker.trip(n, offer, day)
        heads, minors = _size(offer, n)
        asked = plan.trip.starts_at.date() - datetime.timedelta(days=38)
        party = maker.party(
            maker.clients[n % 25], offer, heads=heads, minors=minors, asked=asked, wished=None
        )
        maker.book(party, plan, until="accepted")
        maker.name_people(party)
        after = plan.trip.ends_at + datetime.timedelta(hours=3)
        decided = past_decision(maker.season, number=n, plan=plan, business=maker.business)
        if n % 7 == 3:
            reason = maker.dice.choice(maker.season["called_off"])
            reason = decided.reason if decided else reason
            for booking in plan.trip.bookings.all():
                trips.cancel_booking(booking=booking, at=plan.trip.starts_at)
            trips.move_trip_state(
                trip=plan.trip, to=TripState.CANCELLED, reason=reason, at=plan.trip.starts_at
            )
            parties.close_party(party=party, reason="day called off, money back", at=after)
            continue
        trips.move_trip_state(trip=plan.trip, to=TripState.FISHED, at=after)
        parties.close_party(party=party, reason="fished and settled", at=after)


def _ahead(maker: _Maker) -> None:
    """The next trip is a family's, with children; later ones are in every state."""
    for n in range(_AHEAD):
        names = ("Family day", "Party day", "Open day", "Party day", "Ledge day", "Family day")
        offer = maker.offers[names[n % 6]]
        day = maker.today + datetime.timedelta(days=2 + 4 * n)
        plan = maker.trip(_PAST + n, offer, day)
        heads, minors = _size(offer, n)
        if offer.name == "Open day" and n % 12 == 8:
            continue  # on sale, nobody on it yet
        asked = maker.today - datetime.timedelta(days=3 + n % 9)
        party = maker.party(
            maker.clients[(n + 1) % 25],
            offer,
            heads=heads,
            minors=minors,
            asked=asked,
            wished=plan.session_start.date(),
        )
        until = "accepted" if n < 10 else ("sent" if n % 2 else "held")
        maker.book(party, plan, until=until)
        if until == "accepted":
            maker.name_people(party, missing=1 if n in {3, 6} else 0)


def _asking(maker: _Maker) -> None:
    for n in range(5):
        offer = maker.offers["Party day" if n % 2 else "Family day"]
        wished = maker.today + datetime.timedelta(days=20 + 9 * n)
        maker.party(
            maker.clients[20 + n],
            offer,
            heads=2 + n % 3,
            minors=0,
            wished=wished,
            asked=maker.today - datetime.timedelta(days=n + 1),
        )


def _size(offer: Offer, n: int) -> tuple[int, int]:
    if offer.name == "Family day":
        return 4, 2
    if offer.name == "Ledge day":
        return 2, 0
    if offer.name == "Open day":
        return 2 + n % 2, 0
    return 3 + n % 2, 0
