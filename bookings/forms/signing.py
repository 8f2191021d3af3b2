"""Forms about signing: what a signer is asked, and what the guide notes about it."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Collection, Mapping
from typing import Any

from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms

from bookings.forms.birthday import BirthdayField
from bookings.forms.guardian import GuardianChoice
from bookings.forms.layout import PlainForm, RowForm, framed
from bookings.models import Participant, SigningRules, TextKind
from bookings.queries.signatures import PersonState
from bookings.queries.signers import Signer
from bookings.sheets.client_words import EN

YES, NO = "yes", "no"
OTHER = "other"
_LONG = 1000
# As the fields stand on the page; a guardian's where their text is, else at the signature.
_GUARDIAN = ("relation", "contact_phone", "responsible", "responsible_name")
_HEALTH = (
    *("swims", "allergy", "allergy_note", "injector", "medicine", "medicine_note"),
    *("more", "kin_name", "kin_phone"),
)
_MARK = ("signer_name", "drawn", "typed", "agrees", "copy_to")


def _area(rows: int = 2) -> forms.Textarea:
    return forms.Textarea(attrs={"rows": rows, "autocomplete": "off"})


class SignForm(PlainForm):
    """Everything that one signer is asked for one person; only what this person needs is in it."""

    once = forms.CharField(widget=forms.HiddenInput, max_length=36)
    texts = forms.CharField(widget=forms.HiddenInput, max_length=100)
    drawn = forms.CharField(widget=forms.HiddenInput, required=False, strip=False)
    signer_name = forms.CharField(max_length=200, required=False)
    typed = forms.CharField(max_length=200, required=False)
    agrees = forms.BooleanField(required=False)
    copy_to = forms.CharField(max_length=254, required=False)

    def __init__(
        self,
        *args: Any,
        state: PersonState,
        signer: Signer,
        kinds: Collection[str],
        words: Mapping[str, str],
        adults: Collection[PersonState] = (),
        **kwargs: Any,
    ) -> None:
        kwargs.setdefault("initial", {}).update(
            once=str(uuid.uuid4()),
            signer_name=signer.name,
            copy_to=signer.email,
            contact_phone=signer.phone,
            relation=signer.guardian.relation if signer.guardian else "",
        )
        super().__init__(*args, **kwargs)
        self.words, self.name = words, str(state.person)
        self.has_health = TextKind.HEALTH in kinds
        self.has_photos = TextKind.PHOTOS in kinds
        self.for_minor = bool(state.minor)
        if self.has_health:
            self._ask_health()
        if self.has_photos:
            self._ask_photos()
        if self.for_minor:
            self._ask_guardian(state, signer, adults)
        for name in ("signer_name", "typed", "agrees", "copy_to"):
            self.fields[name].label = words[name]
        self.fields["signer_name"].widget.attrs["autocomplete"] = "name"
        self.fields["typed"].widget.attrs["autocomplete"] = "off"
        self.fields["copy_to"].widget = forms.EmailInput(attrs={"autocomplete": "email"})
        self.fields["copy_to"].help_text = words["copy_to_help"]
        self.fields["drawn"].label = words["draw_label"]
        with_text = _GUARDIAN if TextKind.GUARDIAN in kinds else ()
        self.order_fields([*with_text, *_HEALTH, "photos", *_GUARDIAN, *_MARK])

    def clean(self) -> dict[str, Any] | None:
        """What must be answered; said here, so that it is said in the language of the page."""
        cleaned = super().clean()
        for name in ("signer_name", "swims", "allergy", "medicine", "photos"):
            given = name in self.errors or self.cleaned_data.get(name)
            if name in self.fields and not given:
                self.add_error(name, self.words["needed"])
        return cleaned

    def not_told_yet(self, gaps: Mapping[str, str]) -> dict[str, str]:
        """Of what an action finds missing that which no field of the form says already."""
        return {
            name: sentence
            for name, sentence in gaps.items()
            if name in self.fields and name not in self.errors
        }

    def _yes_no(self, label: str) -> forms.ChoiceField:
        return forms.ChoiceField(
            label=label,
            choices=[(YES, self.words["yes"]), (NO, self.words["no"])],
            widget=forms.RadioSelect,
            required=False,
        )

    def _ask_health(self) -> None:
        for name in ("allergy", "medicine", "swims"):
            self.fields[name] = self._yes_no(self.words[name])
            if name == "swims":
                continue
            self.fields[f"{name}_note"] = forms.CharField(
                label=self.words[f"{name}_note"], max_length=_LONG, required=False, widget=_area()
            )
        self.fields["injector"] = forms.BooleanField(label=self.words["injector"], required=False)
        self.fields["more"] = forms.CharField(
            label=self.words["more"], max_length=_LONG, required=False, widget=_area()
        )
        for name, length in (("kin_name", 200), ("kin_phone", 40)):
            self.fields[name] = forms.CharField(
                label=self.words[name],
                max_length=length,
                required=False,
                widget=forms.TextInput(attrs={"autocomplete": "off"}),
            )

    def _ask_photos(self) -> None:
        label = self.words["photos_minor"] if self.for_minor else self.words["photos"]
        self.fields["photos"] = self._yes_no(label.format(name=self.name))

    def _ask_guardian(
        self, state: PersonState, signer: Signer, adults: Collection[PersonState]
    ) -> None:
        words = self.words
        self.fields["relation"] = forms.CharField(
            label=words["relation"].format(name=self.name),
            help_text=words["relation_help"],
            max_length=60,
            required=False,
        )
        self.fields["contact_phone"] = forms.CharField(
            label=words["contact_phone"],
            max_length=32,
            required=False,
            widget=forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "tel"}),
        )
        named = [(str(adult.person.pk), str(adult.person)) for adult in adults]
        if signer.person:
            self.initial["responsible"] = str(signer.person.pk)
        elif not named:
            self.initial["responsible"] = OTHER
        self.fields["responsible"] = forms.ChoiceField(
            label=words["responsible"],
            choices=[*named, (OTHER, words["other_adult"])],
            widget=forms.RadioSelect,
            required=False,
        )
        self.fields["responsible_name"] = forms.CharField(
            label=words["responsible_name"], max_length=200, required=False
        )

    def text_numbers(self) -> list[int]:
        """The texts that were shown, as the page sent them back."""
        told = str(self.cleaned_data.get("texts", "")).split(",")
        return [int(number) for number in told if number.isdecimal()]


class BirthdayForm(PlainForm):
    def __init__(
        self, *args: Any, words: Mapping[str, str], label: str, locale: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["born_on"] = BirthdayField(
            locale=locale, words=words, help_word="birthday_help", label=label
        )
        self.helper = framed(Layout("born_on"), words["go_on"])


class GuardianForm(GuardianChoice, PlainForm):
    """Who answers for a minor of a trip, named by the guide."""

    guardian_prefix = ""

    def __init__(self, *args: Any, ward: Participant, on: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.ask_guardian(party=ward.party, ward=ward, on=on, words=EN)
        self.initial.pop("guardian", None)  # a further one is named here
        self.fields["guardian"].choices = [  # type: ignore[attr-defined]
            choice
            for choice in self.fields["guardian"].choices  # type: ignore[attr-defined]
            if not choice[0].startswith("guardian-")
        ]
        self.helper = framed(Layout(self.guardian_layout()), "Name the guardian")

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        if not self.cleaned_data.get("guardian") and not self.cleaned_data.get("name"):
            self.add_error("guardian", self.guardian_words["guardian_name_needed"])
        return cleaned


class SigningRulesForm(RowForm):
    class Meta:
        model = SigningRules
        fields = [
            "adult_age",
            "hand_range_age",
            "leap_birthday",
            "every_guardian",
            "link_days",
            "phone_minutes",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(
            Layout(
                Fieldset(
                    "Ages",
                    Row(Column("adult_age"), Column("hand_range_age"), Column("leap_birthday")),
                    "every_guardian",
                ),
                Fieldset("Private links", Row(Column("link_days"), Column("phone_minutes"))),
            ),
            "Save",
        )


class PaperForm(SignForm):
    """The same questions, with the photograph of the sheet in place of a mark."""

    photo = forms.FileField(
        label="Photograph of the signed sheet",
        help_text="JPEG, PNG or WebP, 15 MB at most. The place it was taken at is left out.",
        widget=forms.ClearableFileInput(attrs={"accept": "image/*"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("typed", "drawn", "copy_to"):
            del self.fields[name]
        self.order_fields(["photo", "signer_name", *_GUARDIAN, *_HEALTH, "photos", "agrees"])
        self.fields["signer_name"].label = "Name of who signed"
        if self.for_minor:
            self.fields["relation"].label = f"What the signer is to {self.name}"
            self.fields["contact_phone"].label = "Number to reach the signer on the day"
        self.fields[
            "agrees"
        ].label = "The sheet holds exactly these texts, in these versions, and I saw it signed."
