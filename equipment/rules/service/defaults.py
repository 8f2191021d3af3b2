"""The service rules a new thing starts with: defaults that the guide can change."""

from __future__ import annotations

from enum import StrEnum

from equipment.rules.marks import Mark
from equipment.rules.service.due import ServiceRule


class GearKind(StrEnum):
    """The kinds of thing that carry service rules of their own."""

    CRAFT = "craft"
    PACK = "pack"
    REEL = "reel"
    ROD = "rod"
    CLIP = "clip"
    HOLDER = "holder"
    SAFETY = "safety"
    FIRST_AID = "first_aid"
    BEACON = "beacon"
    BUOYANCY = "buoyancy"
    VEHICLE = "vehicle"
    RECOVERY = "recovery"


_PRINTED = ServiceRule("Printed date", by_printed_date=True, lead_days=60)

_DEFAULTS: dict[GearKind, tuple[ServiceRule, ...]] = {
    GearKind.PACK: (
        ServiceRule("Volts and resistance check", every_days=31, grounds=False, mark=Mark.COMMON),
    ),
    GearKind.REEL: (
        ServiceRule("Rinse", every_trips=1, grounds=False, mark=Mark.PUBLISHED),
        # A tackle column: strip and grease every year.
        ServiceRule("Strip and grease", every_days=365, grounds=False, mark=Mark.PUBLISHED),
    ),
    GearKind.ROD: (
        ServiceRule("Ring test for cracks", every_days=31, grounds=False, mark=Mark.COMMON),
    ),
    GearKind.CLIP: (
        ServiceRule("Five dry releases", every_trips=1),
        ServiceRule("Fifty dry releases and pull test", every_days=365),
    ),
    GearKind.HOLDER: (),
    # Half-yearly look: published for extinguishers.
    GearKind.SAFETY: (ServiceRule("Half-yearly look", every_days=182, mark=Mark.PUBLISHED),),
    GearKind.FIRST_AID: (ServiceRule("Contents and dates", every_days=91, mark=Mark.COMMON),),
    # Two-yearly renewal: one country's beacon registration; check with your own authority.
    GearKind.BEACON: (
        ServiceRule(
            "Registration renewal", every_days=730, lead_days=60, grounds=False, mark=Mark.PUBLISHED
        ),
    ),
    # A maritime authority: inflatables yearly, unless the maker allows longer.
    GearKind.BUOYANCY: (
        ServiceRule("Inflatable service", every_days=365, lead_days=30, mark=Mark.PUBLISHED),
    ),
    # One vehicle maker: a look every year, out at six years.
    GearKind.VEHICLE: (
        ServiceRule("Tyres, a look", every_days=365, grounds=False, mark=Mark.PUBLISHED),
        ServiceRule(
            "Tyres, replace by age",
            every_days=2191,
            lead_days=60,
            grounds=False,
            mark=Mark.PUBLISHED,
        ),
    ),
    GearKind.RECOVERY: (
        ServiceRule("Straps and shackles, a look", every_days=182, mark=Mark.COMMON),
    ),
}


def default_service_rules(
    *, kind: GearKind, salt: bool = True, has_printed_date: bool = False
) -> tuple[ServiceRule, ...]:
    """The service rules a thing of a kind starts with, each marked published, common or house.

    Flights for motors (100), airframe (250) and replacement (500) and the look at props every 20
    are one small-aircraft maker's schedule; `salt` halves the first three (house default). A thing
    with a printed date gets that rule too. The maker's own manual goes before all of them.
    """
    rules = _craft_rules(salt) if kind is GearKind.CRAFT else _DEFAULTS[kind]
    return (_PRINTED, *rules) if has_printed_date else rules


def _craft_rules(salt: bool) -> tuple[ServiceRule, ...]:
    share, mark = (0.5, Mark.HOUSE) if salt else (1.0, Mark.PUBLISHED)
    return (
        ServiceRule("Props, wear check", every_flights=20, mark=Mark.PUBLISHED),
        ServiceRule("Props, replace", every_flights=50),
        ServiceRule("Motors, service", every_flights=100 * share, mark=mark),
        ServiceRule("Airframe, service", every_flights=250 * share, mark=mark),
        ServiceRule(
            "Airframe, consider replacing", every_flights=500 * share, grounds=False, mark=mark
        ),
    )
