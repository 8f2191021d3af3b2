"""Forms of the hazard library and of what is known of a spot and a day."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms

from bookings.forms.layout import PlainForm, RowForm, framed
from guiding.safety.models import DayMarks, Hazard, HazardWords, SpotSafety
from guiding.safety.rules.facts import DAY_FEATURES, SPOT_FEATURES
from guiding.safety.rules.triggers import TRIGGERS

_LINES = forms.Textarea(attrs={"rows": 3})


class HazardForm(RowForm):
    trigger = forms.ChoiceField(
        label="What fires it", choices=[(name, name) for name in sorted(TRIGGERS)]
    )

    class Meta:
        model = Hazard
        fields = [
            "key",
            "name",
            "who",
            "trigger",
            "part",
            "controls_before",
            "controls_during",
            "say",
            "child_say",
            "emergency",
            "likelihood_before",
            "consequence_before",
            "likelihood_after",
            "consequence_after",
            "mark",
            "source",
            "law_differs",
            "in_force",
            "place",
        ]
        widgets = {"controls_before": _LINES, "controls_during": _LINES}
        labels = {
            "likelihood_before": "Likelihood before",
            "consequence_before": "Consequence before",
            "likelihood_after": "Likelihood after",
            "consequence_after": "Consequence after",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["key"].help_text = "A short name without spaces, such as rip_current."
        for name in ("controls_before", "controls_during"):
            self.fields[name].help_text = "One line each."
        self.helper = framed(
            Layout(
                Fieldset("The hazard", Row(Column("name"), Column("key")), Row("who", "trigger")),
                Fieldset("What we do", "controls_before", "controls_during"),
                Fieldset("What is said", "part", "say", "child_say", "emergency"),
                Fieldset(
                    "Risk, 1 to 5",
                    Row(Column("likelihood_before"), Column("consequence_before")),
                    Row(Column("likelihood_after"), Column("consequence_after")),
                ),
                Fieldset("Where it comes from", Row("mark", "source"), "law_differs"),
                Fieldset("Use", Row("place", "in_force")),
            ),
            "Save the hazard",
        )


class WordsForm(RowForm):
    class Meta:
        model = HazardWords
        fields = [
            "language",
            "name",
            "controls_before",
            "controls_during",
            "say",
            "child_say",
            "emergency",
        ]
        widgets = {"controls_before": _LINES, "controls_during": _LINES}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout(*self.fields), "Save these words")


class _Features(forms.MultipleChoiceField):
    """Ticks from a list of features."""

    def __init__(self, known: dict[str, str], label: str) -> None:
        super().__init__(
            label=label,
            required=False,
            choices=list(known.items()),
            widget=forms.CheckboxSelectMultiple,
        )


class SpotSafetyForm(RowForm):
    features = _Features(SPOT_FEATURES, "What there is")

    class Meta:
        model = SpotSafety
        fields = [
            "features",
            "ledge_m",
            "hospital",
            "hospital_phone",
            "first_aid",
            "landing_place",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(
            Layout(
                Fieldset("The spot", "features", "ledge_m"),
                Fieldset(
                    "Where help is", "hospital", "hospital_phone", "first_aid", "landing_place"
                ),
            ),
            "Save",
        )


class DayMarksForm(RowForm):
    features = _Features(DAY_FEATURES, "On this day")

    class Meta:
        model = DayMarks
        fields = ["features", "uv_index", "beacon", "vehicle", "keys"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(
            Layout(
                Fieldset("The day", "features", "uv_index"),
                Fieldset("For the emergency card", "beacon", "vehicle", "keys"),
            ),
            "Save",
        )


class ChoiceForm(PlainForm):
    """A hazard put on the list of a trip, or taken off it, and why."""

    hazard = forms.ModelChoiceField(Hazard.objects.filter(in_force=True), empty_label=None)
    take = forms.TypedChoiceField(
        label="What",
        choices=[("on", "put it on the list"), ("off", "take it off the list")],
        coerce=lambda value: value == "on",
    )
    reason = forms.CharField(max_length=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout("hazard", "take", "reason"), "Change the list")


class SignForm(PlainForm):
    name = forms.CharField(label="Your name", max_length=150)
    note = forms.CharField(max_length=300, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout("name", "note"), "Sign this assessment")
