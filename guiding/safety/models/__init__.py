"""The tables of safety, one noun a file."""

from guiding.safety.models.assessment import (
    DayMarks,
    HazardChoice,
    Heard,
    SignedAssessment,
    SpotSafety,
)
from guiding.safety.models.hazard import Hazard, HazardWords
from guiding.safety.models.incident import FollowUp, Incident, IncidentEntry, Witness
from guiding.safety.models.paper import HeldPaper, PaperKind
from guiding.safety.models.watch import Watch, WatchMessage

__all__ = [
    "DayMarks",
    "FollowUp",
    "Hazard",
    "HazardChoice",
    "HazardWords",
    "Heard",
    "HeldPaper",
    "Incident",
    "IncidentEntry",
    "PaperKind",
    "SignedAssessment",
    "SpotSafety",
    "Watch",
    "WatchMessage",
    "Witness",
]
