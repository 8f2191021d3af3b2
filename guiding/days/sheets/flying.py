"""Rows of the gear list turned into what the flying rules reckon with."""

from __future__ import annotations

from equipment.models import Craft as CraftRow
from equipment.queries.lines import ReelSheet
from equipment.queries.packs import PackSheet
from guiding.days.models import Charger as ChargerRow
from guiding.days.queries.flights import UNMEASURED_HEALTH
from guiding.flying.craft import Craft, MainLine, Pack
from guiding.flying.pack_plan import Charger
from guiding.flying.strength import strength_n_from_kgf


def craft_of(row: CraftRow) -> Craft:
    """A craft as its maker and its owner describe it; ValueError where its figures cannot be."""
    if row.max_takeoff_kg <= row.mass_kg:
        raise ValueError(
            f"The take-off limit of {row.label} is {row.max_takeoff_kg:g} kg and its own mass "
            f"{row.mass_kg:g} kg: it may carry nothing; correct one of the two."
        )
    return Craft(
        name=row.label,
        empty_kg=row.mass_kg,
        rotor_count=row.rotors,
        rotor_diameter_m=row.rotor_diameter_m,
        payload_limit_g=(row.max_takeoff_kg - row.mass_kg) * 1000,
        wind_limit_ms=row.wind_limit_ms,
        airspeed_loaded_ms=row.airspeed_out_ms,
        airspeed_empty_ms=row.airspeed_home_ms,
        efficiency_share=row.efficiency,
        takeoff_limit_kg=row.max_takeoff_kg,
        thrust_max_n=row.max_thrust_n,
    )


def pack_of(sheet: PackSheet, *, pack_c: float, charged_share: float = 1.0) -> Pack:
    """A pack as it is on a day; one that was never measured is reckoned a little worn."""
    health = UNMEASURED_HEALTH if sheet.health_share is None else min(sheet.health_share, 1.0)
    return Pack(sheet.rated_wh, health, pack_c, charged_share)


def main_line_of(sheet: ReelSheet | None) -> MainLine | None:
    """The line on a reel as it is on a day; None where none is spooled."""
    if sheet is None or sheet.diameter_mm is None or sheet.strength_kgf is None:
        return None
    return MainLine(
        diameter_mm=sheet.diameter_mm,
        strength_n=strength_n_from_kgf(sheet.strength_kgf),
        spooled_m=sheet.left_m or 0.0,
    )


def charger_of(row: ChargerRow) -> Charger:
    return Charger(power_w=row.power_w, slots=row.slots, source_wh=row.source_wh)
