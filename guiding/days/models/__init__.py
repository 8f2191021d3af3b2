"""The tables of how a day is run, one noun a file."""

from guiding.days.models.catch import Catch, SpeciesRule
from guiding.days.models.closure import Away, Closure
from guiding.days.models.decision import Decision, HouseLimits
from guiding.days.models.flight import Drop, DropSetup
from guiding.days.models.flying import FlyingChoice
from guiding.days.models.forecast import Forecast, ForecastFetch, ForecastHour
from guiding.days.models.permission import DropPermit
from guiding.days.models.plan import DayPlan, PlannedPack, PlannedReel
from guiding.days.models.prep import Charger, LoadLine, PrepMark
from guiding.days.models.rate import CostBasis, CostRate
from guiding.days.models.rig import PlannedRig, Rig, RigPart, Tackle
from guiding.days.models.spot import Spot, SpotPhoto, WindLimit
from guiding.days.models.tide import TideConstant, TideImport, TideSource, TideTurn
from guiding.days.models.wish import PartyWish

__all__ = [
    "Away",
    "Catch",
    "Charger",
    "Closure",
    "CostBasis",
    "CostRate",
    "DayPlan",
    "Decision",
    "Drop",
    "DropPermit",
    "DropSetup",
    "FlyingChoice",
    "Forecast",
    "ForecastFetch",
    "ForecastHour",
    "HouseLimits",
    "LoadLine",
    "PartyWish",
    "PlannedPack",
    "PlannedReel",
    "PlannedRig",
    "PrepMark",
    "Rig",
    "RigPart",
    "SpeciesRule",
    "Spot",
    "SpotPhoto",
    "Tackle",
    "TideConstant",
    "TideImport",
    "TideSource",
    "TideTurn",
    "WindLimit",
]
