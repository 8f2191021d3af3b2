"""`manage.py cost`: what a planned trip costs and what it must bring."""

from __future__ import annotations

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from bookings.models import Business, Trip
from guiding.days.queries.plans import plan_of
from guiding.days.sheets.cost import trip_cost
from guiding.days.sheets.cost_facts import cost_facts


class Command(BaseCommand):
    help = (
        "Print the cost sheet of a planned trip: lines, totals, break-evens, parties, private "
        "price. Example: manage.py cost 7 --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("trip", type=int, help="number of the trip")
        parser.add_argument("--json", action="store_true", help="print JSON; money as text")

    def handle(self, *, trip: int, json: bool, **_: object) -> None:
        business = Business.objects.first()
        row = Trip.objects.select_related("offer").filter(pk=trip).first()
        if business is None or row is None:
            raise CommandError(f"There is no trip {trip}.")
        plan = plan_of(row)
        if plan is None:
            raise CommandError(f"Trip {trip} has no plan yet: choose its spot first.")
        cost = trip_cost(trip=row, plan=plan, business=business)
        if isinstance(cost, str):
            raise CommandError(cost)
        facts = cost_facts(cost)
        self.stdout.write(_dump(facts) if json else _text(facts))


def _dump(facts: dict[str, Any]) -> str:
    return json.dumps(facts, ensure_ascii=False, indent=2)


def _text(facts: dict[str, Any]) -> str:
    lines = [f"{line['label']:<40}{line['amount']:>12}" for line in facts["lines"]]
    for name in ("trip_direct", "guide_time", "overhead", "before_heads", "contribution_per_head"):
        if facts[name] is not None:
            lines.append(f"{name.replace('_', ' ').capitalize():<40}{facts[name]:>12}")
    for name, point in (facts["break_even"] or {}).items():
        found = (
            f"{point['heads']} heads ({point['heads_exact']})" if point["heads"] else point["why"]
        )
        lines.append(f"Break-even, {name.replace('_', ' ')}: {found}")
    for row in facts["parties"]:
        lines.append(
            f"{row['heads']} heads: income {row['income']}, after all costs "
            f"{row['after_all_costs']}, {row['earned_per_guide_hour']} per guide hour"
        )
    private = facts["private_day"]
    lines.append(f"Private day for {private['heads']}: {private['price'] or private['why']}")
    lines.append(f"All sums in {facts['currency']}.")
    return "\n".join(lines)
