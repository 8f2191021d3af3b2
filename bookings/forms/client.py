"""Forms that clients meet: on their own page, and on the public page of questions."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from crispy_forms.layout import HTML, Column, Field, Fieldset, Layout, Row
from django import forms
from django.core import signing
from django.db.models import Q, QuerySet

from bookings.forms.birthday import BirthdayField
from bookings.forms.guardian import GuardianChoice
from bookings.forms.layout import DateInput, PlainForm, RowForm, framed
from bookings.models import MOST_HEADS, Offer, Participant, Party

Words = Mapping[str, str]

_STAMP = "enquiry"
# The fields of a question and the words they are asked with, where the two differ.
_ASKED = {
    "email": "mail",
    "phone": "phone",
    "heads": "how_many",
    "offer": "which_day",
    "day_from": "first_day",
    "day_until": "last_day",
    "website": "leave_empty",
}
_TOO_QUICK_S = 2
_TOO_OLD = datetime.timedelta(days=2)


class YesForm(PlainForm):
    """Yes to a price, after the terms were read."""

    read = forms.BooleanField()

    def __init__(self, *args: Any, words: Words, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["read"].label = words["have_read"]
        self.fields["read"].error_messages["required"] = words["read_first"]


class NameForm(GuardianChoice, RowForm):
    """One person of the party, as the client enters them."""

    class Meta:
        model = Participant
        fields = ["given_name", "family_name", "born_on", "swims", "is_client"]  # in page order
        widgets = {
            "given_name": forms.TextInput(attrs={"autocomplete": "given-name"}),
            "family_name": forms.TextInput(attrs={"autocomplete": "family-name"}),
        }

    def __init__(
        self,
        *args: Any,
        party: Party,
        on: datetime.date,
        words: Words,
        locale: str,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["born_on"] = BirthdayField(
            locale=locale, words=words, error_messages={"required": words["born_needed"]}
        )
        ward = self.instance if self.instance.pk else None
        self.ask_guardian(party=party, ward=ward, on=on, words=words)
        _labelled(self, words, ("given_name", "family_name", "swims", "is_client"))
        if party.participants.filter(is_client=True).exclude(pk=self.instance.pk).exists():
            del self.fields["is_client"]  # somebody else said so already
        # What we know of another person's mail is not shown to whoever opens this page.
        self.fields["email"] = forms.EmailField(
            label=words["own_mail"],
            help_text=words["own_mail_kept" if ward and ward.email else "own_mail_help"],
            required=False,
            widget=forms.EmailInput(attrs={"autocomplete": "off"}),
        )
        self.initial.pop("email", None)
        self.fields["given_name"].error_messages["required"] = words["name_needed"]
        self.fields["swims"].choices = [  # type: ignore[attr-defined]
            (answer, words[f"swims_{answer}"]) for answer in Participant.Swims.values
        ]
        self.helper = framed(
            Layout(
                Row("given_name", "family_name"),
                Row("born_on", "swims"),
                *(["is_client"] if "is_client" in self.fields else []),
                "email",
                self.guardian_layout(),
            ),
            words["save"],
        )
        self.helper.disable_csrf = True
        self.helper.form_error_title = words["put_right"]


class AskForm(PlainForm):
    """What the client would like to be different."""

    text = forms.CharField(max_length=1000, widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, *args: Any, words: Words, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["text"].label = words["ask_label"]
        self.fields["text"].help_text = words["ask_help"]


class PublicEnquiryForm(PlainForm):
    """A first question from the guide's own page. Robots fill in what people do not see."""

    given_name = forms.CharField(
        max_length=100, widget=forms.TextInput(attrs={"autocomplete": "given-name"})
    )
    family_name = forms.CharField(
        max_length=100,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "family-name"}),
    )
    email = forms.EmailField(
        required=False, widget=forms.EmailInput(attrs={"autocomplete": "email"})
    )
    phone = forms.CharField(
        max_length=32,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "tel"}),
    )
    heads = forms.IntegerField(min_value=1, max_value=MOST_HEADS, initial=2)
    minors = forms.IntegerField(min_value=0, max_value=MOST_HEADS, initial=0, required=False)
    offer = forms.ModelChoiceField(Offer.objects.none(), required=False)
    day_from = forms.DateField(required=False, widget=DateInput())
    day_until = forms.DateField(required=False, widget=DateInput())
    wishes = forms.CharField(
        max_length=3000, required=False, widget=forms.Textarea(attrs={"rows": 4})
    )
    website = forms.CharField(required=False, max_length=200)
    stamp = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, on: datetime.date, words: Words, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.words = words
        _labelled(self, words, ("given_name", "family_name", "minors", "wishes"))
        for name, word in _ASKED.items():
            self.fields[name].label = words[word]
        self.fields["wishes"].help_text = words["wishes_help"]
        offer = self.fields["offer"]
        offer.queryset = _on_sale(on)  # type: ignore[attr-defined]
        offer.empty_label = words["not_sure"]  # type: ignore[attr-defined]
        self.initial.setdefault("stamp", signing.dumps("asked", salt=_STAMP))
        self.helper = framed(_enquiry_layout(words), words["send"])
        self.helper.disable_csrf = True
        self.helper.form_error_title = words["put_right"]

    def clean_minors(self) -> int:
        return self.cleaned_data["minors"] or 0

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        if not (self.cleaned_data.get("email") or self.cleaned_data.get("phone")):
            self.add_error("email", self.words["reach"])
        return cleaned

    def is_from_a_robot(self) -> bool:
        """Something in the field that nobody sees, or an answer quicker than hands."""
        if self.data.get("website"):
            return True
        try:
            signing.loads(self.data.get("stamp", ""), salt=_STAMP, max_age=_TOO_OLD)
        except signing.SignatureExpired:
            return False  # the page stood open for days: a person
        except signing.BadSignature:
            return True
        try:
            signing.loads(self.data.get("stamp", ""), salt=_STAMP, max_age=_TOO_QUICK_S)
        except signing.SignatureExpired:
            return False
        return True


def _labelled(form: forms.BaseForm, words: Words, names: tuple[str, ...]) -> None:
    """The labels of fields that are called as their words are."""
    for name in names:
        form.fields[name].label = words[name]


def _enquiry_layout(words: Words) -> Layout:
    return Layout(
        Fieldset(
            words["who_are_you"],
            Row(Column("given_name"), Column("family_name")),
            Row(Column("email"), Column("phone")),
        ),
        Fieldset(
            words["what_like"],
            Row(Column("heads"), Column("minors"), Column("offer")),
            Row(Column("day_from"), Column("day_until")),
            "wishes",
        ),
        HTML('<div class="visually-hidden" aria-hidden="true">'),
        Field("website", autocomplete="off", tabindex="-1"),
        HTML("</div>"),
        "stamp",
    )


def _on_sale(on: datetime.date) -> QuerySet[Offer]:
    begun = Q(valid_from=None) | Q(valid_from__lte=on)
    return Offer.objects.filter(begun & (Q(valid_until=None) | Q(valid_until__gte=on)))
