"""The demo's signatures: texts out, some people signed, one still missing, some health notes."""

from __future__ import annotations

import datetime
import json
import math
import uuid
from collections.abc import Iterator
from random import Random
from typing import Any

from bookings.actions.handed_in import FormSigned, by_link
from bookings.actions.health import HealthAnswers
from bookings.actions.signatures import sign
from bookings.actions.signing_links import ask_to_sign, make_link
from bookings.actions.texts import publish_starting_texts
from bookings.models import Business, Trip
from bookings.queries.signatures import PersonState, outstanding
from bookings.queries.texts import texts_in
from bookings.rules.signing import FIELD_HEIGHT, FIELD_WIDTH
from bookings.sheets.sign_words import words_of

_DAY = datetime.timedelta(days=1)
_OUT_FOR = 230 * _DAY  # before the first of the demo's trips was sold
_PAST = 4  # of the fished trips, the newest are signed
_BROWSER = "An invented browser on an invented phone"


def make_signatures(season: dict[str, Any], *, today: datetime.date, dice: Random) -> None:
    """The next trip lacks one child, the second was asked, the third is ready; past ones signed.

    `dice` of their own, so that the rest of the season stays as it is without them.
    """
    zone = Business.objects.get().tz
    noon = datetime.datetime.combine(today, datetime.time(12), zone)
    publish_starting_texts(checked_by="nobody: the demo's starting texts", at=noon - _OUT_FOR)
    maker = _Maker(season, dice)
    ahead = Trip.objects.filter(starts_at__gt=noon, status=Trip.Status.CONFIRMED)
    soon = list(ahead.order_by("starts_at")[:3])
    for trip in soon[:1]:
        maker.everybody(trip, but=1, at=noon - _DAY)
    for trip in soon[1:2]:
        ask_to_sign(trip=trip, at=noon - _DAY)
    for trip in soon[2:]:
        maker.everybody(trip, but=0, at=noon - _DAY)
    past = Trip.objects.filter(ends_at__lt=noon, status=Trip.Status.FISHED)
    for trip in past.order_by("-starts_at")[:_PAST]:
        maker.everybody(trip, but=0, at=trip.starts_at - 5 * _DAY)


class _Maker:
    """Holds what the signatures of the season are made from."""

    def __init__(self, season: dict[str, Any], dice: Random) -> None:
        self.dice = dice
        self.health = self._health(season["health"], season["companions"])

    def everybody(self, trip: Trip, *, but: int, at: datetime.datetime) -> None:
        """All of a trip in the order of the list, `but` so many of the last."""
        people = outstanding(trip, at=at).people
        for state in people[: len(people) - but]:
            if state.minor is not None and state.signers:
                self._signs(trip, state, at)

    def _signs(self, trip: Trip, state: PersonState, at: datetime.datetime) -> None:
        client = state.booking.party.client
        language = "de" if client.language == "de" else "en"
        words, signer = words_of(language), state.signers[0]
        link, _ = make_link(signer=signer, trip=trip, at=at)
        typed = not state.minor and self.dice.random() < 0.25
        intent = words["intent_minor"].format(name=state.person) if state.minor else words["intent"]
        form = FormSigned(
            signer_name=signer.name,
            once=str(uuid.UUID(int=self.dice.getrandbits(128), version=4)),
            agrees=True,
            intent=intent,
            typed=signer.name if typed else "",
            drawn="" if typed else self._drawn(),
            photos="no" if self.dice.random() < 0.2 else "yes",
            health=next(self.health),
            relation="parent" if state.minor else "",
            contact_phone=client.phone if state.minor else "",
            responsible=signer.person if state.minor else None,
        )
        sign(
            trip=trip,
            person=state.person,
            signer=signer,
            texts=list(texts_in(language, state.kinds, at=at).values()),
            form=form,
            how=by_link(link, address=f"192.0.2.{self.dice.randrange(1, 255)}", agent=_BROWSER),
            link=link,
            at=at,
        )

    def _health(
        self, notes: list[dict[str, Any]], companions: list[str]
    ) -> Iterator[HealthAnswers]:
        """Every other person has something to tell; each names somebody to call."""
        number = 0
        while True:
            told = notes[number // 2 % len(notes)] if number % 2 else {}
            yield HealthAnswers(
                allergy="allergy" in told,
                allergy_note=told.get("allergy", ""),
                injector=told.get("injector", False),
                medicine="medicine" in told,
                medicine_note=told.get("medicine", ""),
                swims=number % 5 != 4,
                more=told.get("more", ""),
                kin_name=f"{companions[number % len(companions)]}, at home",
                kin_phone=f"+3532091002{number % 90 + 10}",
            )
            number += 1

    def _drawn(self) -> str:
        """A signature as a hand draws it: a line with loops that flattens out, and one below."""
        loops, lean = self.dice.uniform(4, 8), self.dice.uniform(0, math.tau)
        high, wide = self.dice.uniform(1800, 3000), self.dice.uniform(250, 600)
        end = self.dice.uniform(6500, 8600)
        first = []
        for n in range(140):
            share = n / 139
            turn = share * loops * math.tau + lean
            x = 900 + (end - 900) * share + wide * math.cos(turn) * FIELD_HEIGHT / FIELD_WIDTH * 2
            y = 5200 - high * math.sin(turn) * (1 - 0.7 * share) * (1 + 0.3 * math.sin(3.1 * turn))
            first.append([_inside(x), _inside(y)])
        below = [[_inside(1500 + n * (end - 1500) / 12), 8300 - 40 * n] for n in range(13)]
        return json.dumps([first, below])


def _inside(value: float) -> int:
    return round(min(max(value, 0), 10_000))
