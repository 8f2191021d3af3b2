"""The one choice of who answers for a minor: the adults of the party first, then anybody else."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from crispy_forms.layout import Column, Fieldset, Row
from django import forms

from bookings.forms.layout import Refusable
from bookings.models import Guardian, Participant, Party
from bookings.queries.signers import adults_of

OTHER = "other"
_LENGTHS = {"name": 200, "relation": 60, "email": 254, "phone": 32}
_KINDS = {"email": "email", "phone": "tel"}


class GuardianChoice(Refusable):
    """A form with the choice; `prefix_` stands before the names of the fields of an outsider."""

    guardian_prefix = "guardian_"
    guardian_words: Mapping[str, str]
    adults: dict[str, Participant]

    def ask_guardian(
        self, *, party: Party, ward: Participant | None, on: datetime.date, words: Mapping[str, str]
    ) -> None:
        """Add the fields; `on` is the day on which ages count."""
        self.guardian_words = words
        self.adults = {str(person.pk): person for person in adults_of(party, ward=ward, on=on)}
        outside = list(Guardian.objects.filter(ward=ward, person=None)) if ward else []
        choices = [("", words["guardian_none"])]
        choices += [(key, str(person)) for key, person in self.adults.items()]
        kept = ward.guardian if ward else None
        if kept and str(kept.pk) not in self.adults:  # a minor by now known: seen, to be changed
            self.adults[str(kept.pk)] = kept
            choices.append((str(kept.pk), str(kept)))
        choices += [
            (f"guardian-{each.pk}", words["guardian_outside"].format(name=each.name))
            for each in outside
        ]
        self.fields["guardian"] = forms.ChoiceField(
            label=words["guardian"],
            choices=[*choices, (OTHER, words["guardian_other"])],
            required=False,
        )
        if kept:
            self.initial["guardian"] = str(kept.pk)
        elif outside:
            self.initial["guardian"] = f"guardian-{outside[0].pk}"
        self._ask_outside(words)

    def _ask_outside(self, words: Mapping[str, str]) -> None:
        for name, length in _LENGTHS.items():
            attrs = {"autocomplete": "off"}
            if name in _KINDS:
                attrs["inputmode"] = _KINDS[name]
            kind = forms.EmailField if name == "email" else forms.CharField
            self.fields[self._of(name)] = kind(
                label=words[f"guardian_{name}"],
                max_length=length,
                required=False,
                widget=forms.TextInput(attrs=attrs),
            )

    def guardian_layout(self) -> Fieldset:
        of = self._of
        return Fieldset(
            self.guardian_words["guardian_heading"],
            "guardian",
            Row(Column(of("name")), Column(of("relation"))),
            Row(Column(of("email")), Column(of("phone"))),
        )

    def clean(self) -> dict[str, Any] | None:
        """One of the list or somebody by name, not both; whoever is outside must be reached."""
        cleaned = super().clean()
        told, of, words = self.cleaned_data, self._of, self.guardian_words
        choice, name = told.get("guardian", ""), told.get(of("name"), "")
        if choice == OTHER and not name and of("name") not in self.errors:
            self.add_error(of("name"), words["guardian_name_needed"])
        elif choice not in {"", OTHER} and name:
            self.add_error("guardian", words["guardian_both"])
        return cleaned

    def chosen(self) -> dict[str, Any]:
        """What was typed, as the action takes it: one of the party, or somebody from outside."""
        told = dict(self.cleaned_data)
        choice = told.pop("guardian")
        outside = {name: told.pop(self._of(name)) for name in _LENGTHS}
        told["guardian"] = self.adults.get(choice)
        told["outside"] = outside if outside["name"] and choice in {"", OTHER} else None
        return told

    def _of(self, name: str) -> str:
        return f"{self.guardian_prefix}{name}"
