"""Tide at a place: harmonic constants, official tables and secondary places behind one face."""

from guiding.almanac.tide.constants import ConstantsReading, read_tide_constants
from guiding.almanac.tide.harmonic import Constituent, HarmonicTide
from guiding.almanac.tide.reading import Problem
from guiding.almanac.tide.secondary import HeightRule, SecondaryTide, TideDifferences
from guiding.almanac.tide.source import LevelCrossing, TideSource, Turn, TurnKind
from guiding.almanac.tide.strength import TideStrength, tide_range_m, tide_strength
from guiding.almanac.tide.table import TableTide, cosine_law_height_m
from guiding.almanac.tide.turn_places import TurnColumns
from guiding.almanac.tide.turns_table import (
    HeightUnit,
    RepeatedHour,
    TurnsReading,
    read_turns_lines,
    read_turns_table,
    turns_lines,
)

__all__ = [
    "ConstantsReading",
    "Constituent",
    "HarmonicTide",
    "HeightRule",
    "HeightUnit",
    "LevelCrossing",
    "Problem",
    "RepeatedHour",
    "SecondaryTide",
    "TableTide",
    "TideDifferences",
    "TideSource",
    "TideStrength",
    "Turn",
    "TurnColumns",
    "TurnKind",
    "TurnsReading",
    "cosine_law_height_m",
    "read_tide_constants",
    "read_turns_lines",
    "read_turns_table",
    "tide_range_m",
    "tide_strength",
    "turns_lines",
]
