"""Volts, watt-hours and amperes of a flight pack, by chemistry."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

# Arithmetic in binary floats leaves dust in the last digits; it must not tip a limit.
_DUST_DIGITS = 6


class Chemistry(StrEnum):
    """What the cells are made of."""

    LIPO = "lipo"
    LI_ION = "liion"
    LIHV = "lihv"


class VoltLevel(StrEnum):
    """A level of charge or load that has a voltage of its own."""

    FULL = "full"
    NOMINAL = "nominal"
    STORAGE = "storage"
    REST_MIN = "rest_min"
    LOAD_MIN = "load_min"
    DAMAGE = "damage"


@dataclass(frozen=True, slots=True)
class CellVolts:
    """Volts of one cell of a chemistry; None where no source gives a value."""

    full_v: float
    nominal_v: float
    storage_v: float
    rest_min_v: float | None
    load_min_v: float | None
    damage_v: float | None


_CELL_VOLTS: dict[Chemistry, CellVolts] = {
    # 4.20, 3.70 and 3.80: training texts that agree; 3.70 at rest and 3.5, 3.0 under load:
    # PX4 user guide, battery page.
    Chemistry.LIPO: CellVolts(4.20, 3.70, 3.80, 3.70, 3.50, 3.00),
    # 4.2: charge limit of the NASA and CALCE series; 3.6: data of an NCA cell; 3.0, 2.7, 2.5:
    # PX4 user guide. Storage 3.7: common practice, no source.
    Chemistry.LI_ION: CellVolts(4.20, 3.60, 3.70, 3.00, 2.70, 2.50),
    # 4.35 and 3.8: a multirotor text; 3.8 as the nominal voltage is from memory.
    Chemistry.LIHV: CellVolts(4.35, 3.80, 3.80, None, None, None),
}


def cell_volts(*, chemistry: Chemistry) -> CellVolts:
    """The volts of one cell of a chemistry at every level that has a source.

    Levels: full (charge limit), nominal, storage, lowest at rest, lowest under load, damage.
    None where no source gives a value (the lower levels of LiHV). The packaging of the pack
    and its maker's sheet go before these figures.
    """
    return _CELL_VOLTS[chemistry]


def pack_voltage_v(*, chemistry: Chemistry, cells_in_series: int, level: VoltLevel) -> float:
    """Pack voltage in volts: cells in series times the volts of one cell at that level.

    Valid for 1 to 24 cells. Raises ValueError where no source gives the level for the chemistry.
    """
    _check_cells(cells_in_series)
    volts: float | None = getattr(cell_volts(chemistry=chemistry), f"{level.value}_v")
    if volts is None:
        raise ValueError(
            f"No source gives the {level.value} voltage of a {chemistry.value} cell: "
            "read it from the maker's sheet."
        )
    return round(cells_in_series * volts, _DUST_DIGITS)


def pack_energy_wh(*, voltage_v: float, capacity_ah: float) -> float:
    """Rated energy of a pack in watt-hours: nominal volts times ampere-hours.

    Source of the formula: PX4 user guide, battery page; the airline rules use the same one.
    Valid for positive values. Raises ValueError otherwise.
    """
    _check_positive("voltage_v", voltage_v)
    _check_positive("capacity_ah", capacity_ah)
    return round(voltage_v * capacity_ah, _DUST_DIGITS)


def c_rate_current_a(*, capacity_ah: float, c_rate: float) -> float:
    """Current in amperes at a C-rate: ampere-hours times the rate per hour.

    Source: PX4 user guide, battery page. Valid for positive values. Raises ValueError otherwise.
    """
    _check_positive("capacity_ah", capacity_ah)
    _check_positive("c_rate", c_rate)
    return round(capacity_ah * c_rate, _DUST_DIGITS)


def _check_cells(cells_in_series: int) -> None:
    if not 1 <= cells_in_series <= 24:
        raise ValueError(
            f"{cells_in_series} cells in series is not a flight pack: give a count from 1 to 24."
        )


def _check_positive(name: str, value: float) -> None:
    if not 0 < value < float("inf"):
        raise ValueError(f"{name} is {value}: give a number above zero.")
