"""The form of a photograph or a paper."""

from __future__ import annotations

from typing import Any

from django import forms

from equipment.forms.layout import helper


class AttachmentForm(forms.Form):
    file = forms.FileField(
        label="Photograph or PDF",
        help_text="JPEG, PNG, WebP or PDF, 15 MB at most. Where and when a picture was taken is "
        "left out of what is kept.",
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp,application/pdf"}),
    )
    title = forms.CharField(label="What it shows", max_length=120, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(self, button="Keep it")
