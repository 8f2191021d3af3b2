"""Flight packs: volts and energy, health, state, storage, pairing."""

from equipment.rules.packs.airline import AirlineBand, AirlineClass, airline_class
from equipment.rules.packs.electrics import (
    CellVolts,
    Chemistry,
    VoltLevel,
    c_rate_current_a,
    cell_volts,
    pack_energy_wh,
    pack_voltage_v,
)
from equipment.rules.packs.health import (
    capacity_health_share,
    cell_spread_mv,
    check_cell_volts,
    resistance_growth_share,
    resistance_health_share,
    settled_resistance_mohm,
)
from equipment.rules.packs.limits import LimitRow, PackLimits, check_pack_limits, pack_limits_table
from equipment.rules.packs.pairing import PackPair, PairCandidate, PairingAdvice, pack_pairs
from equipment.rules.packs.state import (
    PackEvent,
    PackFacts,
    PackFinding,
    PackState,
    PackVerdict,
    pack_state,
)
from equipment.rules.packs.storage import (
    ChargeLevel,
    StorageAdvice,
    storage_advice,
    storage_recoverable_share,
)

__all__ = [
    "AirlineBand",
    "AirlineClass",
    "CellVolts",
    "ChargeLevel",
    "Chemistry",
    "LimitRow",
    "PackEvent",
    "PackFacts",
    "PackFinding",
    "PackLimits",
    "PackPair",
    "PackState",
    "PackVerdict",
    "PairCandidate",
    "PairingAdvice",
    "StorageAdvice",
    "VoltLevel",
    "airline_class",
    "c_rate_current_a",
    "capacity_health_share",
    "cell_spread_mv",
    "cell_volts",
    "check_cell_volts",
    "check_pack_limits",
    "pack_energy_wh",
    "pack_limits_table",
    "pack_pairs",
    "pack_state",
    "pack_voltage_v",
    "resistance_growth_share",
    "resistance_health_share",
    "settled_resistance_mohm",
    "storage_advice",
    "storage_recoverable_share",
]
