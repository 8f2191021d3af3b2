"""The drop plan and the rig on paper: in the language and the units of the letterhead."""

from dataclasses import replace

from reportlab.graphics.shapes import Drawing

from guiding.drawings.drop_plan import DropPlanFacts, drop_plan
from guiding.drawings.rig import RigFacts, StrengthUnit, rig_diagram
from guiding.drawings.units import HeightUnit, SpeedUnit
from guiding.papers.records import Units
from guiding.papers.setting import Typesetter


def drawn_plan(setter: Typesetter, facts: DropPlanFacts, width: float | None = None) -> Drawing:
    """The plan of a drop, as wide as the text."""
    imperial = setter.letterhead.units is Units.IMPERIAL
    facts = replace(
        facts,
        words=replace(setter.words.drop, decimal_mark=setter.decimal_mark),
        length_unit=HeightUnit.FOOT if imperial else HeightUnit.METRE,
        speed_unit=SpeedUnit.MILE_PER_HOUR if imperial else SpeedUnit.METRE_PER_SECOND,
    )
    return setter.embedded(drop_plan(facts, width or setter.width))


def drawn_rig(setter: Typesetter, facts: RigFacts, width: float | None = None) -> Drawing:
    """A rig to scale, as wide as the text."""
    imperial = setter.letterhead.units is Units.IMPERIAL
    facts = replace(
        facts,
        words=replace(setter.words.rig, decimal_mark=setter.decimal_mark),
        strength_unit=StrengthUnit.POUND if imperial else StrengthUnit.KILOGRAM_FORCE,
    )
    return setter.embedded(rig_diagram(facts, width or setter.width))
