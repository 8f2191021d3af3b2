"""The tables of things, one noun a file."""

from equipment.models.attachment import Attachment
from equipment.models.choice import Overrule
from equipment.models.craft import Craft
from equipment.models.line import Line, Reel, Spooling
from equipment.models.pack import FlightPack, PackCheck, PackLimit
from equipment.models.service import ServiceRecord, ServiceRule
from equipment.models.thing import Defect, Thing
from equipment.models.use import UseEntry, UseTally

__all__ = [
    "Attachment",
    "Craft",
    "Defect",
    "FlightPack",
    "Line",
    "Overrule",
    "PackCheck",
    "PackLimit",
    "Reel",
    "ServiceRecord",
    "ServiceRule",
    "Spooling",
    "Thing",
    "UseEntry",
    "UseTally",
]
