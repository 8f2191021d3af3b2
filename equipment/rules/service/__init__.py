"""Service of things: rules, what is due before which trip, and what is grounded."""

from equipment.rules.marks import Mark
from equipment.rules.service.defaults import GearKind, default_service_rules
from equipment.rules.service.due import (
    BookedTrip,
    ServiceDue,
    ServiceFacts,
    ServiceRule,
    ServiceState,
    ThingVerdict,
    UseCounts,
    service_due,
    service_state,
)

__all__ = [
    "BookedTrip",
    "GearKind",
    "Mark",
    "ServiceDue",
    "ServiceFacts",
    "ServiceRule",
    "ServiceState",
    "ThingVerdict",
    "UseCounts",
    "default_service_rules",
    "service_due",
    "service_state",
]
