"""Forms about texts: the draft, and what publishing it asks."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Layout
from django import forms
from django.urls import reverse

from bookings.forms.layout import PlainForm, RowForm, framed
from bookings.models import Again, TextDraft


class TextForm(RowForm):
    class Meta:
        model = TextDraft
        fields = ["title", "body"]
        widgets = {"body": forms.Textarea(attrs={"rows": 24})}
        help_texts = {"body": "Plain text. An empty line begins a new paragraph."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = framed(Layout("title", "body"), "Save and look at it")


class PublishForm(PlainForm):
    """Who must sign again, what is new, who checked it."""

    again = forms.ChoiceField(
        label="Who must sign again, for trips still to come",
        choices=Again.choices,
        initial=Again.EVERYBODY,
        widget=forms.RadioSelect,
    )
    change_note = forms.CharField(label="What is new", max_length=300, required=False)
    checked_by = forms.CharField(
        label="Checked by",
        max_length=200,
        required=False,
        help_text="Lawyer or insurer of your place, and when.",
    )

    def __init__(self, *args: Any, first: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if first:
            self.fields["again"].required = False
            self.fields["again"].widget = forms.HiddenInput()
            self.fields["change_note"].widget = forms.HiddenInput()

    def frame(self, kind: str, language: str) -> None:
        """Where the form is sent to."""
        action = reverse("text_publish", args=[kind, language])
        self.helper = framed(Layout("again", "change_note", "checked_by"), "Publish", action)

    def clean_again(self) -> str:
        return self.cleaned_data["again"] or Again.NOBODY
