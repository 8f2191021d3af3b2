"""Writes to the hazard library and to the kinds of papers."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction

from guiding.safety.models import Hazard, HazardWords, PaperKind
from guiding.safety.rules.triggers import TRIGGERS

_LISTS = ("controls_before", "controls_during")


def library_folder() -> Path:
    """Where the library that ships with the desk lies."""
    return Path(settings.FIXTURES_DIR) / "safety"


@transaction.atomic
def load_library(*, folder: Path | None = None) -> int:
    """Put the shipped hazards and kinds of papers in; what is there already stays as it is.

    How many rows were new. ValidationError when a file is not what it should be; then nothing is
    written.
    """
    folder = folder or library_folder()
    known = set(Hazard.objects.values_list("key", flat=True))
    new = 0
    for place, entry in enumerate(_rows(folder / "hazards.json", "hazards"), 1):
        if entry.get("key") not in known:
            lists = {name: "\n".join(entry.get(name, ())) for name in _LISTS}
            save_hazard(**(entry | lists | {"place": place}))
            new += 1
    held = set(PaperKind.objects.values_list("name", flat=True))
    for entry in _rows(folder / "papers.json", "kinds"):
        if entry.get("name") not in held:
            kind = PaperKind(**entry)
            kind.full_clean()
            kind.save()
            new += 1
    return new


def _rows(file: Path, name: str) -> list[dict[str, Any]]:
    try:
        found = json.loads(file.read_text(encoding="utf-8"))[name]
    except OSError as error:
        raise ValidationError(f"{file.name} cannot be read ({error.strerror}).") from None
    except (ValueError, KeyError, TypeError):
        raise ValidationError(
            f"{file.name} is no list of {name}: put the shipped file back."
        ) from None
    return list(found)


@transaction.atomic
def save_hazard(*, hazard: Hazard | None = None, **fields: Any) -> Hazard:
    """A hazard of the library, new or changed; the older version stays in its history."""
    hazard = hazard or Hazard()
    for name, value in fields.items():
        setattr(hazard, name, value)
    problems = {}
    if hazard.trigger not in TRIGGERS:
        problems["trigger"] = f"'{hazard.trigger}' fires nothing. Choose one of the list."
    if hazard.mark == Hazard.Mark.SOURCE and not hazard.source.strip():
        problems["source"] = "Name the source, or mark it as common practice or house default."
    if hazard.who and set(hazard.who) - set("CMGPW"):
        problems["who"] = "Use the letters C, M, G, P and W only."
    before = (hazard.likelihood_before or 0) * (hazard.consequence_before or 0)
    if (hazard.likelihood_after or 0) * (hazard.consequence_after or 0) > before:
        problems["likelihood_after"] = "What we do cannot make it worse. Check the four figures."
    if problems:
        raise ValidationError(problems)
    hazard.full_clean()
    hazard.save()
    return hazard


@transaction.atomic
def save_words(*, hazard: Hazard, language: str, **texts: str) -> HazardWords:
    """What a hazard is called and what is said of it in another language."""
    row = HazardWords.objects.filter(hazard=hazard, language=language).first()
    row = row or HazardWords(hazard=hazard, language=language)
    for name, value in texts.items():
        setattr(row, name, value)
    row.full_clean()
    row.save()
    return row
