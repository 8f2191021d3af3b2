"""The demo's tides, spots, offers and rates."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

from bookings.actions.offers import save_offer
from bookings.models import CancellationLadder, LadderStep, Offer
from guiding.days.actions.spots import save_basis, save_rate, save_spot
from guiding.days.models import Spot, TideConstant, TideSource, TideTurn
from guiding.days.queries.tides import tide_for

_TABLE_DAYS = 400


def make_tides(season: dict[str, Any], *, today: datetime.date) -> dict[str, TideSource]:
    """One source of each kind: constants, a secondary place, a table of highs and lows."""
    found: dict[str, TideSource] = {}
    for entry in season["tides"]:
        fields = {
            name: value
            for name, value in entry.items()
            if name not in {"constants", "reference", "table_from", "table_shift_min"}
        }
        if "reference" in entry:
            fields["reference"] = found[entry["reference"]]
        source = TideSource(**fields)
        source.full_clean()
        source.save()
        TideConstant.objects.bulk_create(
            TideConstant(source=source, name=name, amplitude_m=amplitude, phase_deg=phase)
            for name, (amplitude, phase) in entry.get("constants", {}).items()
        )
        if "table_from" in entry:
            _fill_table(source, found[entry["table_from"]], entry["table_shift_min"], today)
        found[source.name] = source
    return found


def _fill_table(source: TideSource, like: TideSource, shift_min: int, today: datetime.date) -> None:
    """A table shaped like another place's tide, printed to the minute and the decimetre."""
    middle = datetime.datetime.combine(today, datetime.time(), datetime.UTC)
    half = datetime.timedelta(days=_TABLE_DAYS)
    tide, why = tide_for(like, start=middle - half, end=middle + half)
    if tide is None:
        raise ValueError(why)
    shift = datetime.timedelta(minutes=shift_min)
    TideTurn.objects.bulk_create(
        TideTurn(
            source=source,
            at=(turn.at + shift).replace(second=0, microsecond=0),
            height_m=round(turn.height_m, 1),
            high=turn.kind == "high",
        )
        for turn in tide.turns(middle - half, middle + half)
    )


def make_spots(
    season: dict[str, Any], *, tides: dict[str, TideSource], today: datetime.date
) -> dict[str, Spot]:
    found = {}
    for entry in season["spots"]:
        fields = {name: value for name, value in entry.items() if name != "tide"}
        spot = save_spot(
            tide_source=tides[entry["tide"]],
            walked_on=today - datetime.timedelta(days=190),
            **fields,
        )
        found[spot.name] = spot
    return found


def make_offers(season: dict[str, Any]) -> dict[str, Offer]:
    ladder = CancellationLadder.objects.create(name=season["ladder"]["name"])
    for days, keep, base, may_move in season["ladder"]["steps"]:
        LadderStep.objects.create(
            ladder=ladder, days_before=days, keep_percent=keep, base=base, may_move=may_move
        )
    found = {}
    for entry in season["offers"]:
        fields: dict[str, Any] = {
            name: Decimal(value)
            if name in {"price", "child_price", "minimum_charge", "hours", "fishing_hours"}
            else value
            for name, value in entry.items()
        }
        offer = save_offer(ladder=ladder, **fields)
        found[offer.name] = offer
    return found


def make_rates(season: dict[str, Any], *, today: datetime.date) -> None:
    since = datetime.date(today.year - 1, 1, 1)
    for driver, label, amount, per in season["rates"]:
        save_rate(
            driver=driver,
            label=label,
            amount=Decimal(amount),
            per=Decimal(per),
            valid_from=since,
        )
    basis = {
        name: Decimal(value) if isinstance(value, str) else value
        for name, value in season["basis"].items()
    }
    save_basis(valid_from=since, **basis)
