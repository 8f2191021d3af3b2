"""`manage.py sortie`: one drop on one pack, from the gear list and the craft's own log."""

from __future__ import annotations

import datetime
import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from equipment.models import Craft, FlightPack
from equipment.queries.packs import pack_sheets
from guiding.days.management.dates import iso_day
from guiding.days.queries.flights import logged_drops
from guiding.days.queries.flying import flying_defaults
from guiding.days.sheets.flying import craft_of, pack_of
from guiding.flying.craft import Craft as Flown
from guiding.flying.craft import Pack
from guiding.flying.defaults import FlyingDefaults
from guiding.flying.estimate import DropEstimate, drop_estimate
from guiding.flying.flight import DropFlight
from guiding.flying.line_pull import LinkWindow, spare_pull_n, weak_link_window
from guiding.flying.strength import strength_n_from_kgf


class Command(BaseCommand):
    help = (
        "Print energy, time, percent and drops per pack of a bait flown out, from the craft's log "
        "once it is long enough. Example: manage.py sortie --craft Gannet --pack P5 --distance 300 "
        "--bait-g 400 --wind-ms 5 --line-mm 0.3 --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--craft", required=True, help="label of the craft")
        parser.add_argument("--pack", required=True, help="label of the flight pack")
        parser.add_argument("--distance", required=True, type=float, help="drop distance, m")
        parser.add_argument("--bait-g", required=True, type=float, help="bait and rig, g")
        parser.add_argument("--wind-ms", required=True, type=float, help="mean wind, m/s")
        parser.add_argument("--line-mm", required=True, type=float, help="diameter of the line, mm")
        parser.add_argument("--height-m", type=float, default=15.0, help="height of flight, m")
        parser.add_argument(
            "--wind-off-path-deg",
            type=float,
            help="0 on the nose on the way out, 180 from behind; left out: the worst is taken",
        )
        parser.add_argument("--pack-c", type=float, default=15.0, help="the pack's own, °C")
        parser.add_argument("--charged", type=float, default=100.0, help="charge at take-off, %%")
        parser.add_argument(
            "--line-kgf", type=float, help="strength of the main line: adds the weak link's window"
        )
        parser.add_argument("--on", help="the day, such as 2026-06-13; today when left out")
        parser.add_argument("--json", action="store_true", help="print JSON; units in the names")

    def handle(self, *, json: bool, **typed: Any) -> None:
        on = iso_day(typed["on"]) if typed["on"] else timezone.localdate()
        row = Craft.objects.filter(label__iexact=typed["craft"]).first()
        if row is None:
            raise CommandError(_unknown("craft", typed["craft"], Craft.objects.all()))
        try:
            craft = craft_of(row)
            pack = _pack(typed, on)
            flight = DropFlight(
                distance_m=typed["distance"],
                payload_g=typed["bait_g"],
                wind_ms=typed["wind_ms"],
                line_mm=typed["line_mm"],
                height_m=typed["height_m"],
                wind_off_path_deg=typed["wind_off_path_deg"],
            )
            defaults = flying_defaults()
            log = logged_drops(craft=row.pk, on=on, newest=defaults.learn_newest_drops)
            estimate = drop_estimate(craft, pack, flight, log, defaults)
            window = _window(craft, flight, typed["line_kgf"], defaults)
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        facts = sortie_facts(craft, pack, flight, estimate, window)
        self.stdout.write(_dump(facts) if json else _text(facts))


def _pack(typed: dict[str, Any], on: datetime.date) -> Pack:
    named = FlightPack.objects.filter(label__iexact=typed["pack"]).order_by("label")
    sheets = pack_sheets(on=on, packs=named)
    if not sheets:
        raise CommandError(_unknown("flight pack", typed["pack"], FlightPack.objects.all()))
    return pack_of(sheets[0], pack_c=typed["pack_c"], charged_share=typed["charged"] / 100)


def _unknown(what: str, label: str, rows: Any) -> str:
    known = ", ".join(rows.order_by("label").values_list("label", flat=True)) or "none yet"
    return f"There is no {what} {label!r}. Known: {known}."


def _window(
    craft: Flown, flight: DropFlight, line_kgf: float | None, defaults: FlyingDefaults
) -> LinkWindow | None:
    if line_kgf is None:
        return None
    return weak_link_window(craft, flight, strength_n_from_kgf(line_kgf), defaults)


def sortie_facts(
    craft: Flown,
    pack: Pack,
    flight: DropFlight,
    estimate: DropEstimate,
    window: LinkWindow | None,
) -> dict[str, Any]:
    """What the command prints; every number has its unit in its name."""
    use, model = estimate.use, estimate.model
    facts: dict[str, Any] = {
        "craft": craft.name,
        "pack_rated_wh": round(pack.rated_wh, 1),
        "pack_health_share": round(pack.health_share, 3),
        "distance_m": flight.distance_m,
        "payload_g": flight.payload_g,
        "wind_ms": flight.wind_ms,
        "line_mm": flight.line_mm,
        "source": use.source,
        "from_log": use.from_log,
        "drops_logged": use.drops,
        "energy_wh": round(use.energy_wh, 2),
        "energy_home_wh": round(use.energy_home_wh, 2),
        "time_s": round(use.time_s, 1),
        "percent": round(use.percent, 1),
        "percent_low": round(use.low_percent, 1),
        "percent_high": round(use.high_percent, 1),
        "model_energy_wh": round(use.model_energy_wh, 2),
        "model_bias_share": _rounded(use.model_bias_share),
        "usable_wh": round(estimate.usable_wh, 2),
        "drops_per_pack": estimate.drops,
        "drops_per_pack_low": estimate.drops_low,
        "drops_per_pack_high": estimate.drops_high,
        "turn_back_percent": estimate.turn_back_percent,
        "out_ms": round(model.out_ms, 2),
        "home_ms": round(model.home_ms, 2),
        "line_pull_n": round(model.line_pull_n, 2),
        "spare_pull_n": round(spare_pull_n(craft, flight.payload_g), 2),
        "note": estimate.note,
    }
    if window is not None:
        facts["weak_link"] = {
            "open": window.is_open,
            "low_n": round(window.low_n, 1),
            "high_n": round(window.high_n, 1),
            "sentence": window.sentence(),
        }
    return facts


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def _dump(facts: dict[str, Any]) -> str:
    return json.dumps(facts, ensure_ascii=False, indent=2)


def _text(facts: dict[str, Any]) -> str:
    lines = [
        f"One drop takes {facts['energy_wh']} Wh in {facts['time_s'] / 60:.1f} min: "
        f"{facts['percent']} % of the pack ({facts['percent_low']} to {facts['percent_high']} %), "
        f"{facts['source']}.",
        f"Drops a pack: {facts['drops_per_pack']} ({facts['drops_per_pack_low']} to "
        f"{facts['drops_per_pack_high']}). Turn back at {facts['turn_back_percent']} %.",
        f"The line pulls {facts['line_pull_n']} N, the craft has {facts['spare_pull_n']} N to "
        f"spare; home at {facts['home_ms']} m/s.",
    ]
    if facts["note"]:
        lines.append(facts["note"])
    if "weak_link" in facts:
        lines.append(facts["weak_link"]["sentence"])
    return "\n".join(lines)
