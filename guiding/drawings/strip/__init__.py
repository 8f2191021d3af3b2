"""The day strip: one day at one spot, from midnight to midnight, in one drawing."""

from guiding.drawings.strip.drawing import StripDetail, day_strip, strip_svg
from guiding.drawings.strip.facts import (
    BlockKind,
    MoonDay,
    PlanBlock,
    Span,
    StripFacts,
    TidePoint,
    TideTurn,
    Tone,
    ToneSpan,
    TurnKind,
    WaveSample,
    WindSample,
)
from guiding.drawings.strip.rows import StripRow, strip_rows
from guiding.drawings.strip.words import StripWords
from guiding.drawings.units import HeightUnit, SpeedUnit

__all__ = [
    "BlockKind",
    "HeightUnit",
    "MoonDay",
    "PlanBlock",
    "Span",
    "SpeedUnit",
    "StripDetail",
    "StripFacts",
    "StripRow",
    "StripWords",
    "TidePoint",
    "TideTurn",
    "Tone",
    "ToneSpan",
    "TurnKind",
    "WaveSample",
    "WindSample",
    "day_strip",
    "strip_rows",
    "strip_svg",
]
