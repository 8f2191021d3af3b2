"""An invented craft, pack, line, rig and plan; a test changes one thing at a time."""

from dataclasses import replace
from datetime import date

from guiding.flying.checks.findings import DropPlan
from guiding.flying.craft import Craft, MainLine, Pack
from guiding.flying.flight import DropFlight
from guiding.flying.permission import Permission, PermissionKind, drop_permission
from guiding.flying.rigs import PartKind, two_dropper_rig

CRAFT = Craft(
    name="Dunlin",
    empty_kg=2.2,
    rotor_count=4,
    rotor_diameter_m=0.254,
    payload_limit_g=1000,
    wind_limit_ms=10,
)
PACK = Pack(rated_wh=74, health_share=0.9)
LINE = MainLine(diameter_mm=0.30, strength_n=222.4, spooled_m=600)
FLIGHT = DropFlight(distance_m=300, payload_g=400, wind_ms=3, line_mm=0.30)
PLACE = "Marram Head"
DAY = date(2027, 5, 14)

AVIATION = Permission(
    kind=PermissionKind.AVIATION,
    authority="Aviation authority",
    number="A-17",
    places=(PLACE,),
    valid_from=date(2027, 1, 1),
    valid_to=date(2027, 12, 31),
    covers_dropping=True,
    on_file=True,
    height_limit_m=50,
    people_distance_m=40,
)
FISHERY = replace(
    AVIATION,
    kind=PermissionKind.FISHERY,
    authority="Fisheries board",
    number="F-3",
    height_limit_m=None,
    people_distance_m=None,
)


def set_part(rig, kind, **changes):
    """The rig with every part of one kind changed."""
    parts = tuple(replace(p, **changes) if p.kind is kind else p for p in rig.parts)
    return replace(rig, parts=parts)


RIG = set_part(two_dropper_rig(222.4, bait_g=90, sinker_g=150), PartKind.WEAK_LINK, strength_n=14.0)

PLAN = DropPlan(
    craft=CRAFT,
    packs=(PACK,) * 8,
    flight=FLIGHT,
    line=LINE,
    rig=RIG,
    drops=20,
    permission=drop_permission((AVIATION, FISHERY), PLACE, DAY),
    wave_height_m=1.0,
    people_m=60,
    in_flying_light=True,
    hook_limit=10,
)
