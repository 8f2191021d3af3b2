"""Writes about papers in date."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import Any, BinaryIO

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction

from guiding.days.actions.scans import kept_scan
from guiding.days.models import Spot
from guiding.safety.models import HeldPaper, PaperKind

_FIRST, _LAST = datetime.date(1990, 1, 1), datetime.date(2100, 1, 1)
_SCOPE = PaperKind.Scope


@transaction.atomic
def save_paper_kind(*, kind: PaperKind | None = None, **fields: Any) -> PaperKind:
    """A kind of paper, and whether a day may be confirmed without it."""
    kind = kind or PaperKind()
    for name, value in fields.items():
        setattr(kind, name, value)
    kind.full_clean()
    kind.save()
    return kind


@transaction.atomic
def save_paper(
    *,
    paper: HeldPaper | None = None,
    spots: Sequence[Spot] = (),
    file: BinaryIO | None = None,
    **fields: Any,
) -> HeldPaper:
    """A paper with what it covers. A renewal is a new paper: old versions stay."""
    paper = paper or HeldPaper()
    for name, value in fields.items():
        setattr(paper, name, value)
    problems = _dates(paper) | _subject(paper, spots)
    if problems:
        raise ValidationError(problems)
    paper.full_clean(exclude=["file"])
    if file is not None:
        suffix, content = kept_scan(file)
        paper.file.save(f"scan.{suffix}", ContentFile(content), save=False)
    paper.save()
    paper.spots.set(spots)
    return paper


def _dates(paper: HeldPaper) -> dict[str, str]:
    problems = {}
    for name in ("valid_from", "valid_until"):
        day = getattr(paper, name)
        if day is not None and not _FIRST <= day < _LAST:
            problems[name] = f"The year {day.year} cannot be right: give the day on the paper."
    first, last = paper.valid_from, paper.valid_until
    if not problems and first and last and last < first:
        problems["valid_until"] = "The last day lies before the first."
    return problems


def _subject(paper: HeldPaper, spots: Sequence[Spot]) -> dict[str, str]:
    """A craft's paper names a craft, a spot's its spots, and no other names either."""
    scope = paper.kind.scope
    if scope in {_SCOPE.CRAFT, _SCOPE.VEHICLE}:
        if paper.thing is None or paper.thing.kind != scope:
            return {"thing": f"Choose the {scope} that the paper is made out for."}
    elif paper.thing is not None:
        return {"thing": f"A paper for {paper.kind.get_scope_display()} names no craft or vehicle."}
    if scope == _SCOPE.SPOT and not spots:
        return {"spots": "Tick the spots that the paper itself names."}
    if scope != _SCOPE.SPOT and spots:
        return {"spots": f"A paper for {paper.kind.get_scope_display()} names no spots."}
    return {}


@transaction.atomic
def withdraw_paper(*, paper: HeldPaper, on: datetime.date, reason: str) -> HeldPaper:
    """The issuer took it back: from that day on it proves nothing."""
    if not reason.strip():
        raise ValidationError({"reason": "Say who withdrew it, and why."})
    if not _FIRST <= on < _LAST:
        raise ValidationError({"on": f"The year {on.year} cannot be right: give the day."})
    paper.withdrawn_on, paper.withdrawn_reason = on, reason.strip()
    paper.full_clean(exclude=["file"])
    paper.save()
    return paper
