"""Forms of safety."""

from guiding.safety.forms.incidents import (
    DetailForm,
    DoneForm,
    FollowUpForm,
    IncidentForm,
    WitnessForm,
)
from guiding.safety.forms.library import (
    ChoiceForm,
    DayMarksForm,
    HazardForm,
    SignForm,
    SpotSafetyForm,
    WordsForm,
)
from guiding.safety.forms.papers import PaperForm, PaperKindForm, WithdrawForm
from guiding.safety.forms.watch import StandDownForm, WatchForm

__all__ = [
    "ChoiceForm",
    "DayMarksForm",
    "DetailForm",
    "DoneForm",
    "FollowUpForm",
    "HazardForm",
    "IncidentForm",
    "PaperForm",
    "PaperKindForm",
    "SignForm",
    "SpotSafetyForm",
    "StandDownForm",
    "WatchForm",
    "WithdrawForm",
    "WitnessForm",
    "WordsForm",
]
