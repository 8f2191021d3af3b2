"""Cost of wear per use, and depreciation for the books."""

from equipment.rules.wear.depreciation import (
    DepreciationMethod,
    DepreciationYear,
    depreciation_schedule,
)
from equipment.rules.wear.rate import WearRate, WearUnit, wear_cost, wear_rate

__all__ = [
    "DepreciationMethod",
    "DepreciationYear",
    "WearRate",
    "WearUnit",
    "depreciation_schedule",
    "wear_cost",
    "wear_rate",
]
