"""`manage.py pack_forecast`: cycles left of a cell or pack from a file of its capacities."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError, CommandParser

from equipment.management.asking import GearCommand, number
from equipment.queries.cycles_file import CycleSeries, read_cycles, read_kinds
from equipment.rules.fade import (
    CellLife,
    Forecast,
    forecast_cycles_left,
    forecast_report,
    forecast_report_lines,
)


class Command(GearCommand):
    help = (
        "Print the cycles left until capacity falls to the retirement share, with the band that "
        "should hold eight times in ten; or, with --report, how such forecasts did on published "
        "cells that were cycled to their end."
    )
    example = "manage.py pack_forecast --cycles p3.csv --upto 120 --retire-at 0.8 --json"
    reads_tables = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--cycles", metavar="FILE", help="CSV with the columns cycle and capacity_ah"
        )
        parser.add_argument("--upto", metavar="CYCLE", help="look no further than this cycle")
        parser.add_argument(
            "--retire-at", default="0.8", metavar="SHARE", help="share of rated (0.8)"
        )
        parser.add_argument("--rated", metavar="AH", help="rated capacity, where no table says it")
        parser.add_argument(
            "--report", action="store_true", help="print the table of the published cells"
        )
        parser.add_argument("--json", action="store_true", help="print facts for another program")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            if options["report"]:
                self._report()
            else:
                self._forecast(options)
        except ValueError as error:
            raise CommandError(str(error)) from None

    def _forecast(self, options: dict[str, Any]) -> None:
        if not options["cycles"]:
            raise CommandError("Name the file of capacities with --cycles FILE.csv.")
        upto, rated = options["upto"], options["rated"]
        series = read_cycles(
            path=Path(options["cycles"]),
            upto=number(upto, "--upto", above=0, up_to=1e6) if upto is not None else math.inf,
            rated_ah=number(rated, "--rated", above=0, up_to=1000) if rated is not None else None,
        )
        found = forecast_cycles_left(
            cycles=series.cycles,
            capacities_ah=series.capacities_ah,
            rated_ah=series.rated_ah,
            retire_share=number(options["retire_at"], "--retire-at", above=0, up_to=1),
        )
        facts = _facts(series, found)
        if options["json"]:
            self.print_json(facts)
            return
        for name, value in facts.items():
            self.stdout.write(f"{name.replace('_', ' ')}: {'–' if value is None else value}")

    def _report(self) -> None:
        folder = Path(settings.FIXTURES_DIR) / "reference"
        kinds = read_kinds(path=folder / "battery_cells_meta.csv")
        cells = []
        for name, kind in kinds.items():
            series = read_cycles(path=folder / f"battery_cell_{name}.csv")
            cells.append(CellLife(name, kind, series.rated_ah, series.cycles, series.capacities_ah))
        for line in forecast_report_lines(trial=forecast_report(cells=tuple(cells))):
            self.stdout.write(line)


def _facts(series: CycleSeries, found: Forecast) -> dict[str, object]:
    return {
        "health": None if found.health_share is None else round(found.health_share, 4),
        "cycles_left": found.cycles_left,
        "low": found.low,
        "high": found.high,
        "method": found.method,
        "why": f"{found.why} {series.rated_from}".strip(),
    }
