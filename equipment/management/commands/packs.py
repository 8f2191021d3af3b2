"""`manage.py packs`: every flight pack, its state and the number that decides."""

from __future__ import annotations

from typing import Any

from django.core.management.base import CommandParser

from equipment.management.asking import GearCommand, day
from equipment.queries.packs import PackSheet, pack_sheets


class Command(GearCommand):
    help = "Print every flight pack in use with its health, cycles, state and reason."
    example = "manage.py packs --on 2026-06-14 --json"

    def add_arguments(self, parser: CommandParser) -> None:
        self.add_common(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        sheets = pack_sheets(on=day(options["on"]))
        if options["json"]:
            self.print_json([_facts(sheet) for sheet in sheets])
            return
        for sheet in sheets:
            health = "–" if sheet.health_share is None else f"{sheet.health_share:.0%}"
            self.stdout.write(
                f"{sheet.label}  {sheet.verdict.state.value}  health {health}  "
                f"{sheet.cycles} cycle{'s' * (sheet.cycles != 1)}  {sheet.verdict.reason}"
            )
        if not sheets:
            self.stdout.write("No flight pack is in use on that day.")


def _facts(sheet: PackSheet) -> dict[str, object]:
    return {
        "label": sheet.label,
        "chemistry": sheet.chemistry.value,
        "cells_series": sheet.cells_series,
        "rated_ah": sheet.rated_ah,
        "rated_wh": sheet.rated_wh,
        "state": sheet.verdict.state.value,
        "reason": sheet.verdict.reason,
        "health_share": sheet.health_share,
        "cycles": sheet.cycles,
        "spread_mv": sheet.spread_mv,
        "cell_mohm": sheet.cell_mohm,
        "checked_on": sheet.facts.checked_on,
        "bought_on": sheet.bought_on,
    }
