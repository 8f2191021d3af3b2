"""Loads the demo season, whole or not at all."""

from __future__ import annotations

import datetime
import json
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from bookings.models import Business, Party, Trip
from guiding.desk.actions.demo.catches import make_catches
from guiding.desk.actions.demo.drops import make_drops, make_permits
from guiding.desk.actions.demo.forecasts import make_closures, make_forecasts
from guiding.desk.actions.demo.gear import log_use, make_gear
from guiding.desk.actions.demo.money import make_money
from guiding.desk.actions.demo.parties import make_parties
from guiding.desk.actions.demo.places import make_offers, make_rates, make_spots, make_tides
from guiding.desk.actions.demo.safety import make_safety
from guiding.desk.actions.demo.signing import make_signatures
from guiding.desk.actions.first_run import open_business

SEED = 26


@dataclass(frozen=True, slots=True)
class DemoLoaded:
    """What the command tells: the day the season lies around, and the login."""

    day: datetime.date
    new: bool
    email: str
    password: str
    trips: int
    parties: int


@transaction.atomic
def load_demo(
    *, today: datetime.date, source: Path, at: datetime.datetime | None = None
) -> DemoLoaded:
    """Build the demo season around a day; loaded before, it is left as it is.

    Its forecasts are as fresh as can be at `at`, a moment of that day; noon where none is given.
    ValidationError when the database holds a real business: demo and real data never mix.
    """
    season: dict[str, Any] = json.loads(source.read_text(encoding="utf-8"))
    login = season["login"]
    business = Business.objects.first()
    if business is not None:
        if not business.is_demo:
            raise ValidationError(
                f"This database holds the books of {business}. The demo season goes into an "
                "empty one only: name another with DATABASE_URL or SANDSPIKE_DATA."
            )
        return _told(business.demo_day or today, login, new=False)
    open_business(password=login["password"], is_demo=True, demo_day=today, **season["business"])
    business = Business.objects.get()
    dice = Random(SEED)  # noqa: S311  invented data, not a secret
    tides = make_tides(season, today=today)
    spots = make_spots(season, tides=tides, today=today)
    make_permits(season, spots=spots, today=today)
    offers = make_offers(season)
    make_rates(season, today=today)
    gear = make_gear(season, today=today, dice=dice)
    make_parties(
        season, today=today, dice=dice, business=business, spots=spots, offers=offers, gear=gear
    )
    make_money(today=today, business=business)
    make_drops(season, today=today, dice=dice)
    noon = datetime.datetime.combine(today, datetime.time(12), business.tz)
    make_closures(season, spots=spots, today=today)
    make_forecasts(season, spots=spots, today=today, at=at or noon)
    log_use(season, gear=gear, today=today, dice=dice)
    make_signatures(season, today=today, dice=Random(SEED + 1))  # noqa: S311  invented as well
    make_catches(season, today=today, dice=Random(SEED + 2))  # noqa: S311  invented as well
    make_safety(source.with_name("safety.json"), business=business, spots=spots, today=today)
    return _told(today, login, new=True)


def _told(day: datetime.date, login: dict[str, str], *, new: bool) -> DemoLoaded:
    return DemoLoaded(
        day=day,
        new=new,
        email=login["email"],
        password=login["password"],
        trips=Trip.objects.count(),
        parties=Party.objects.count(),
    )
