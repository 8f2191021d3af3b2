"""`manage.py permits`: the papers as they stand on a day, and what booked trips lack."""

from __future__ import annotations

import datetime
import json as jsonlib

from django.core.management.base import BaseCommand, CommandError, CommandParser

from bookings.models import Business
from guiding.days.queries.plans import spots
from guiding.days.sheets.day import cast_only_reason
from guiding.desk.sheets.safety import TripPapers, papers_ahead
from guiding.safety.queries.papers import CHECK, PaperAnswer, standing


class Command(BaseCommand):
    help = (
        "Say which papers hold on a day, where bait may be dropped, and what trips booked on it "
        "lack. Example: manage.py permits --on 2026-06-13 --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--on", required=True, help="the day, such as 2026-06-13")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *, on: str, json: bool, **_: object) -> None:
        day = _day(on)
        business = Business.objects.first()
        if business is None:
            raise CommandError("There is no business yet: open the desk once, or load the demo.")
        midnight = datetime.datetime.combine(day, datetime.time(), business.tz)
        papers = standing(day)
        trips = papers_ahead(at=midnight, business=business, on=day)
        drops = {spot.name: cast_only_reason(spot, day) for spot in spots()}
        if json:
            record = {
                "on": day.isoformat(),
                "papers": [_paper(answer) for answer in papers],
                "drops": [
                    {"spot": name, "may_drop": not why, "why": why or ""}
                    for name, why in drops.items()
                ],
                "trips": [_trip(one) for one in trips],
                "note": CHECK,
            }
            self.stdout.write(jsonlib.dumps(record, ensure_ascii=False, indent=1))
            return
        for answer in papers:
            self.stdout.write(f"{answer.state.value}: {answer.sentence}")
        for name, why in drops.items():
            self.stdout.write(f"{name}: {why or 'bait may be dropped.'}")
        for one in trips:
            word = "may not be confirmed" if one.blocks else "may be confirmed"
            self.stdout.write(f"trip {one.trip.pk}: {word}. {' '.join(one.blocks)}".rstrip())
        self.stdout.write(f"{len(papers)} papers asked for, {len(trips)} trips. {CHECK}")


def _day(text: str) -> datetime.date:
    try:
        day = datetime.date.fromisoformat(text)
    except ValueError:
        raise CommandError(f"{text!r} is no day: write it like 2026-06-13.") from None
    if not 1990 <= day.year < 2100:
        raise CommandError(f"The year {day.year} cannot be right: give one from 1990 to 2099.")
    return day


def _paper(answer: PaperAnswer) -> dict[str, object]:
    paper = answer.paper
    return {
        "kind": answer.kind.name,
        "for": answer.subject,
        "state": answer.state.value,
        "hard": answer.kind.hard,
        "number": paper.number if paper else None,
        "issuer": paper.issuer if paper else None,
        "valid_from": paper.valid_from.isoformat() if paper else None,
        "holds_until": paper.holds_until.isoformat() if paper else None,
        "sentence": answer.sentence,
    }


def _trip(one: TripPapers) -> dict[str, object]:
    return {
        "trip": one.trip.pk,
        "may_be_confirmed": not one.blocks,
        "blocks": one.blocks,
        "warns": [answer.sentence for answer in one.gaps if not answer.blocks],
    }
