"""`manage.py find_days`: the days that serve a party, best first, and why the others do not."""

from __future__ import annotations

import datetime
import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from bookings.models import Offer
from guiding.days.management.dates import iso_day
from guiding.days.management.reading import spot_named, the_business
from guiding.days.queries.plans import spots
from guiding.days.sheets.find_days import DayOption, FoundDays, RefusedDay, Search, find_days

_REACH = datetime.timedelta(days=59)


class Command(BaseCommand):
    help = (
        "Print ranked days with the parts of their score, and the gate that refused each other "
        "one. Example: manage.py find_days --offer 'Party day' --from 2026-06-01 --to 2026-07-30 "
        "--heads 4 --minors 1 --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--offer", default="", help="name or number; every offer if left out")
        parser.add_argument("--spot", default="", help="only this spot")
        parser.add_argument("--from", dest="first", default="", help="first day; today")
        parser.add_argument("--to", dest="last", default="", help="last day; two months on")
        parser.add_argument("--heads", type=int, default=2)
        parser.add_argument("--minors", type=int, default=0)
        parser.add_argument("--youngest", type=int, default=None, help="age of the youngest")
        parser.add_argument("--weekdays", default="", help="digits, Monday 0: 56 for a weekend")
        parser.add_argument("--flown", action="store_true", help="bait is to be flown out")
        parser.add_argument("--most", type=int, default=20, help="so many choices are printed")
        parser.add_argument("--json", action="store_true", help="print JSON; times in UTC")

    def handle(self, *, offer: str, spot: str, json: bool, most: int, **asked: Any) -> None:
        business, now = the_business(), timezone.now()
        today = now.astimezone(business.tz).date()
        first = iso_day(asked["first"]) if asked["first"] else today
        search = Search(
            first=first,
            last=iso_day(asked["last"]) if asked["last"] else first + _REACH,
            offers=_offers(offer),
            spots=(spot_named(spot),) if spot else tuple(spots()),
            heads=asked["heads"],
            minors=asked["minors"],
            youngest=asked["youngest"],
            weekdays=asked["weekdays"],
            flown=asked["flown"],
        )
        _check(search)
        try:
            found = find_days(search=search, business=business, at=now)
        except (ValueError, OverflowError) as refusal:
            raise CommandError(str(refusal)) from None
        facts = found_facts(found, most)
        self.stdout.write(_dump(facts) if json else _text(facts))


def _offers(typed: str) -> tuple[Offer, ...]:
    if not typed:
        return tuple(Offer.objects.all())
    found = Offer.objects.filter(name__iexact=typed).first()
    if found is None and typed.isdigit():
        found = Offer.objects.filter(pk=int(typed[:9])).first()
    if found is None:
        known = ", ".join(Offer.objects.values_list("name", flat=True)) or "none yet"
        raise CommandError(f"There is no offer {typed!r}. Known offers: {known}.")
    return (found,)


def _check(search: Search) -> None:
    if not 1 <= search.heads <= 60 or not 0 <= search.minors <= search.heads:
        raise CommandError(
            f"{search.heads} heads with {search.minors} minors is no party: give 1 to 60 heads."
        )
    if any(digit not in "0123456" for digit in search.weekdays):
        raise CommandError(
            f"{search.weekdays!r} names no weekdays: write digits from 0 (Monday) to 6."
        )


def found_facts(found: FoundDays, most: int) -> dict[str, Any]:
    """What the command prints."""
    return {
        "from": found.search.first.isoformat(),
        "to": found.search.last.isoformat(),
        "tried": found.tried,
        "choices": len(found.options),
        "days": [_option(option) for option in found.options[: max(most, 0)]],
        "refused": [_refused(row) for row in found.refused],
    }


def _option(option: DayOption) -> dict[str, Any]:
    times = option.times
    return {
        "day": option.day.isoformat(),
        "spot": option.spot.name,
        "offer": option.offer.name,
        "score": option.score.points,
        "parts": [
            {"name": part.name, "points": part.points, "most": part.most, "why": part.why}
            for part in option.score.parts
        ],
        "pick_up_utc": _utc(times.pick_up),
        "session_utc": [_utc(times.session_start), _utc(times.session_end)],
        "drop_off_utc": _utc(times.drop_off),
        "why": option.why,
        "cast_only": bool(option.cast_only),
        "trip": option.join.pk if option.join else None,
    }


def _refused(row: RefusedDay) -> dict[str, str]:
    return {
        "day": row.day.isoformat(),
        "spot": row.spot.name,
        "offer": row.offer.name,
        "gate": row.refusal.gate.value,
        "why": row.refusal.why,
    }


def _utc(at: datetime.datetime) -> str:
    return f"{at:%Y-%m-%dT%H:%M:%SZ}"


def _dump(facts: dict[str, Any]) -> str:
    return json.dumps(facts, ensure_ascii=False, indent=2)


def _text(facts: dict[str, Any]) -> str:
    lines = [f"{facts['choices']} choices of {facts['tried']} tried."]
    for day in facts["days"]:
        parts = ", ".join(f"{part['name']} {part['points']:g}" for part in day["parts"])
        lines.append(f"{day['day']}  {day['score']:5.1f}  {day['spot']}, {day['offer']} ({parts})")
    for row in facts["refused"]:
        lines.append(f"{row['day']}  no     {row['spot']}, {row['offer']}: {row['why']}")
    return "\n".join(lines)
