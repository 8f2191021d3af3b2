"""The forms of spots, tides, plans, rates, rigs and flights, one subject a file."""

from guiding.days.forms.plans import PlanForm
from guiding.days.forms.rates import BasisForm, RateForm
from guiding.days.forms.spots import SpotForm
from guiding.days.forms.tides import TideSourceForm

__all__ = ["BasisForm", "PlanForm", "RateForm", "SpotForm", "TideSourceForm"]
