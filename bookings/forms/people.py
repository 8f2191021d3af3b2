"""Forms about people: the enquiry, the wishes, the names."""

from __future__ import annotations

import datetime
from typing import Any

from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms

from bookings.forms.birthday import BirthdayField
from bookings.forms.guardian import GuardianChoice
from bookings.forms.layout import DateInput, PlainForm, RowForm, framed
from bookings.models import MOST_HEADS, Client, Offer, Participant, Party, ToldNote
from bookings.sheets.client_words import EN


class ClientForm(RowForm):
    class Meta:
        model = Client
        fields = ["given_name", "family_name", "email", "phone", "language", "note"]
        widgets = {
            "given_name": forms.TextInput(attrs={"autocomplete": "off"}),
            "phone": forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "off"}),
            "note": forms.Textarea(attrs={"rows": 3}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # As long as an international number may be typed; the action stores E.164.
        self.fields["phone"] = forms.CharField(
            label="Telephone", max_length=32, required=False, widget=self.fields["phone"].widget
        )
        self.helper = framed(
            Layout(
                Row(Column("given_name"), Column("family_name")),
                Row(Column("email"), Column("phone")),
                "language",
                "note",
            ),
            "Save",
        )


class PasteForm(PlainForm):
    """A whole mail or message, as it came."""

    text = forms.CharField(
        label="The mail or the message",
        widget=forms.Textarea(attrs={"rows": 14}),
        help_text="With its head, if you have it. The next page shows what was read out of it.",
        error_messages={
            "required": "There is no text. Paste the mail or the message into the field."
        },
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout("text"), "Read it")


class EnquiryForm(RowForm):
    """A first question: the person and the wish on one page."""

    given_name = forms.CharField(max_length=100, label="Given name")
    family_name = forms.CharField(max_length=100, required=False, label="Family name")
    email = forms.EmailField(required=False, label="Mail")
    phone = forms.CharField(
        max_length=32,
        required=False,
        label="Telephone",
        widget=forms.TextInput(attrs={"inputmode": "tel"}),
    )
    heads = forms.IntegerField(min_value=1, max_value=MOST_HEADS, initial=2, label="Heads")
    minors = forms.IntegerField(
        min_value=0, max_value=MOST_HEADS, initial=0, label="Of them under 18"
    )
    language = forms.ChoiceField(
        choices=[("en", "English"), ("de", "German")],
        required=False,
        initial="en",
        label="We write to them in",
    )

    class Meta:
        model = Party
        fields = ["heads", "minors", "offer", "day_from", "day_until", "wishes", "source"]
        widgets = {
            "day_from": DateInput(),
            "day_until": DateInput(),
            "wishes": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {"day_from": "First day wished for", "day_until": "Last day wished for"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["offer"].queryset = Offer.objects.all()  # type: ignore[attr-defined]
        self.helper = framed(
            Layout(
                Fieldset(
                    "Who asks",
                    Row(Column("given_name"), Column("family_name")),
                    Row(Column("email"), Column("phone"), Column("language")),
                ),
                Fieldset(
                    "What for",
                    Row(Column("heads"), Column("minors"), Column("offer")),
                    Row(Column("day_from"), Column("day_until")),
                    "wishes",
                    "source",
                ),
            ),
            "Save the enquiry",
        )

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        if not (self.cleaned_data.get("email") or self.cleaned_data.get("phone")):
            self.add_error("email", "Give a mail address or a telephone number to answer to.")
        return cleaned

    def clean_language(self) -> str:
        return self.cleaned_data["language"] or "en"


class WishesForm(RowForm):
    class Meta:
        model = Party
        fields = ["heads", "minors", "offer", "day_from", "day_until", "wishes", "source"]
        widgets = EnquiryForm.Meta.widgets
        labels = EnquiryForm.Meta.labels

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(
            Layout(
                Row(Column("heads"), Column("minors"), Column("offer")),
                Row(Column("day_from"), Column("day_until")),
                "wishes",
                "source",
            ),
            "Save",
        )


_SEALED = (
    "Kept sealed, like the health form: the guides of the trip open it on its health page, and "
    "each look is written down. Write such things nowhere else."
)
_IS_CLIENT = "Then mail and telephone of the booker count, wherever none stands here."
_ALREADY = "Something is kept already; what you write here takes its place."


class PersonForm(GuardianChoice, RowForm):
    phone = forms.CharField(
        max_length=32,
        required=False,
        label="Telephone",
        widget=forms.TextInput(attrs={"inputmode": "tel"}),
    )
    told = forms.CharField(
        label="Health, or anything else for the guides alone",
        help_text=_SEALED,
        max_length=1000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2, "autocomplete": "off"}),
    )
    told_gone = forms.BooleanField(label="Delete what is kept already", required=False)

    class Meta:
        model = Participant
        fields = [
            "given_name",
            "family_name",
            "born_on",
            "email",
            "phone",
            "swims",
            "is_client",
        ]

    def __init__(
        self, *args: Any, party: Party, on: datetime.date, locale: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["born_on"] = BirthdayField(
            locale=locale,
            words=EN,
            required=False,
            widget=forms.TextInput(attrs={"autocomplete": "off"}),
        )
        ward = self.instance if self.instance.pk else None
        self.ask_guardian(party=party, ward=ward, on=on, words=EN)
        self.fields["is_client"].label = f"Is {party.client}, who booked"
        self.fields["is_client"].help_text = _IS_CLIENT
        kept = self.instance.pk and ToldNote.objects.filter(participant=self.instance).exists()
        if kept:
            self.fields["told"].help_text = f"{_ALREADY} {_SEALED}"
        else:
            del self.fields["told_gone"]
        self.helper = framed(
            Layout(
                Row(Column("given_name"), Column("family_name"), Column("born_on")),
                Row(Column("email"), Column("phone")),
                "is_client",
                "swims",
                self.guardian_layout(),
                "told",
                *(["told_gone"] if kept else []),
            ),
            "Save",
        )


class CloseForm(PlainForm):
    reason = forms.CharField(max_length=200, label="Why it is closed")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout("reason"), "Close the case")
