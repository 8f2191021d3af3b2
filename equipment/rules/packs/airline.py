"""Which packs a passenger may take into the cabin."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

_FREE_UP_TO_WH = 100.0
_APPROVAL_UP_TO_WH = 160.0
_DUST_WH = 1e-6  # 20 V x 5 Ah is exactly 100 Wh, and the limit includes it

_CAUTION = (
    "Carriers may be stricter and the rules are revised every year: ask the carrier before you "
    "travel. Spare packs go in the cabin with covered terminals, and only types that passed the "
    "UN transport tests (Manual of Tests and Criteria, 38.3)."
)


class AirlineBand(StrEnum):
    """Band of the passenger rules by rated energy."""

    FREE = "up_to_100_wh"
    APPROVAL = "over_100_to_160_wh"
    CARGO_ONLY = "over_160_wh"


@dataclass(frozen=True, slots=True)
class AirlineClass:
    """What the passenger rules say of one pack, and the caution that belongs to it."""

    band: AirlineBand
    energy_wh: float
    rule: str
    spares_max: int | None  # None: the rules read set no number for spares of this band
    caution: str
    rules_of_year: int


_RULES: dict[AirlineBand, tuple[str, int | None]] = {
    AirlineBand.FREE: ("Cabin baggage, no approval needed.", None),
    AirlineBand.APPROVAL: ("Only with the carrier's approval, at most two spare packs.", 2),
    AirlineBand.CARGO_ONLY: ("Not in passenger baggage: cargo only.", 0),
}


def airline_class(*, energy_wh: float) -> AirlineClass:
    """The class of a pack in passenger baggage by its rated watt-hours, with the caution.

    Limits 100 and 160 Wh, both inclusive (IATA DGR 2.3 and 49 CFR 175.10 as retold in 2024;
    the original text was not seen). Valid for positive watt-hours. Raises ValueError otherwise.
    """
    if not 0 < energy_wh < float("inf"):
        raise ValueError(f"energy_wh is {energy_wh}: give the rated watt-hours, above zero.")
    if energy_wh <= _FREE_UP_TO_WH + _DUST_WH:
        band = AirlineBand.FREE
    elif energy_wh <= _APPROVAL_UP_TO_WH + _DUST_WH:
        band = AirlineBand.APPROVAL
    else:
        band = AirlineBand.CARGO_ONLY
    rule, spares_max = _RULES[band]
    return AirlineClass(band, energy_wh, rule, spares_max, _CAUTION, 2024)
