"""The text twin of a rig: its parts as a numbered table."""

from dataclasses import dataclass

from guiding.drawings._axes import plain_number
from guiding.drawings.rig._numbered import Place, numbered_parts
from guiding.drawings.rig.facts import RigFacts, StrengthUnit

_STANDARD_GRAVITY_MS2 = 9.80665  # exact by definition
_POUND_KG = 0.45359237  # exact by definition


@dataclass(frozen=True, slots=True)
class RigRow:
    """One line of the key and of the text twin."""

    number: int
    name: str
    carries: str
    length: str
    strength: str


def rig_rows(facts: RigFacts) -> tuple[RigRow, ...]:
    """The parts of a rig as a table, numbered as in the drawing: name, length, strength."""
    rows = []
    for part in numbered_parts(facts):
        length = _length(facts, part.piece.length_m)
        if part.place is Place.MAIN:
            length = facts.words.to_reel
        if part.place is Place.LINK:
            length += f", {facts.words.to_clip}"
        if part.branch:
            length += f", {_length(facts, part.branch.at_m)} {facts.words.down_trace}"
        extras = ", ".join(one for one in (part.hook, part.bait) if one)
        strength = _strength(facts, part.piece.strength_n)
        rows.append(RigRow(part.number, part.piece.name, extras, length, strength))
    if facts.sinker:
        rows.append(RigRow(len(rows) + 1, facts.sinker, "", "", ""))
    return tuple(rows)


def _length(facts: RigFacts, length_m: float) -> str:
    mark = facts.words.decimal_mark
    if length_m < 1:
        return f"{plain_number(length_m * 100, 1, mark)}\u00a0cm"
    return f"{plain_number(length_m, 0.01, mark).rstrip('0').rstrip(mark)}\u00a0m"


def _strength(facts: RigFacts, strength_n: float) -> str:
    per_unit = {
        StrengthUnit.NEWTON: 1.0,
        StrengthUnit.KILOGRAM_FORCE: _STANDARD_GRAVITY_MS2,
        StrengthUnit.POUND: _STANDARD_GRAVITY_MS2 * _POUND_KG,
    }
    value = strength_n / per_unit[facts.strength_unit]
    step = 1 if value >= 10 else 0.1
    return f"{plain_number(value, step, facts.words.decimal_mark)}\u00a0{facts.strength_unit}"
