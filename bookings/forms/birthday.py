"""The field of a date of birth: typed and shown as the reader's locale writes it."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from bookings.rules.birthdays import WrongDateError, order_of_date, read_date, written_date

_EXAMPLE = datetime.date(1961, 4, 30)


class BirthdayField(forms.CharField):
    """`words` are those of the page; `help_word` names the sentence below the field."""

    def __init__(
        self, *, locale: str, words: Mapping[str, str], help_word: str = "born_help", **kwargs: Any
    ) -> None:
        # Typed, not picked: a birthday lies decades back.
        kwargs.setdefault("widget", forms.TextInput(attrs={"autocomplete": "bday"}))
        kwargs.setdefault("label", words["your_birthday"])
        super().__init__(**kwargs)
        self.locale = locale
        self.said = {
            "order": words[f"order_{order_of_date(locale)}"],
            "example": written_date(_EXAMPLE, locale),
        }
        self.help_text = words[help_word].format(**self.said)
        self.sentences = {
            word: words[f"born_{word}"].format(**self.said) for word in ("shape", "year", "no_day")
        }

    def prepare_value(self, value: Any) -> Any:
        return written_date(value, self.locale) if isinstance(value, datetime.date) else value

    def to_python(self, value: Any) -> Any:
        typed = super().to_python(value)
        if not typed:
            return None
        try:
            return read_date(typed, self.locale)
        except WrongDateError as wrong:
            raise ValidationError(self.sentences[wrong.why], code="invalid") from None
