"""Rows whose quantities come back in the words in which they were typed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import models

from equipment.rules.quantities import kept_words, typed_words
from guiding.core.row import Row


class AsTyped(Row):
    """A row that remembers '30 lb' beside the 13.6 kgf that it reckons with.

    The column of the quantity is the only truth; the words are shown while they stand for it.
    """

    as_typed = models.JSONField(default=dict, blank=True, editable=False)

    class Meta:
        abstract = True

    def keep_words(self, given: Mapping[str, Any]) -> None:
        """Remember how what is being written was typed."""
        self.as_typed = kept_words(self.as_typed, given)

    def words(self, name: str) -> str:
        """How the quantity of this column was typed; empty where no other unit was named."""
        return typed_words(self.as_typed, name, getattr(self, name))

    def all_words(self) -> dict[str, str]:
        """The words of every column that has some, as the first values of a form."""
        told = {name: self.words(name) for name in self.as_typed}
        return {name: words for name, words in told.items() if words}
