"""Questions about the texts: what is published, in which languages, what ships as a start."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db.models import Q, QuerySet

from bookings.models import Again, Signature, TextDraft, TextKind, TextVersion

LANGUAGES = {"en": "English", "de": "Deutsch"}
"""Languages that the signing pages speak; a text may be published in others too."""


@dataclass(frozen=True, slots=True)
class StartingText:
    """A text as it ships: a start, to be checked by a lawyer of the place."""

    kind: str
    language: str
    title: str
    body: str


@dataclass(frozen=True, slots=True)
class TextState:
    """One kind and language in Setup: its draft, and its newest version if any."""

    kind: str
    language: str
    draft: TextDraft | None
    newest: TextVersion | None

    @property
    def label(self) -> str:
        return str(TextKind(self.kind).label)

    @property
    def unpublished(self) -> bool:
        """Whether the draft says something that is not out."""
        if self.draft is None:
            return False
        return self.newest is None or self.newest.full_text != self.draft.full_text


def starting_texts() -> list[StartingText]:
    """What ships with the desk, by kind and language."""
    files = sorted(Path(settings.FIXTURES_DIR, "texts").glob("*.md"))
    return [_read(file) for file in files]


def _read(file: Path) -> StartingText:
    kind, language, _ = file.name.split(".")
    title, body = file.read_text(encoding="utf-8").split("\n", 1)
    return StartingText(kind, language, title.removeprefix("# ").strip(), body.strip())


def text_states() -> list[TextState]:
    """Every kind in every language there is anything in, in the order of reading."""
    drafts = {(draft.kind, draft.language): draft for draft in TextDraft.objects.all()}
    newest: dict[tuple[str, str], TextVersion] = {}
    for version in TextVersion.objects.order_by("number"):
        newest[version.kind, version.language] = version
    languages = [*LANGUAGES, *sorted({pair[1] for pair in [*drafts, *newest]} - set(LANGUAGES))]
    return [
        TextState(kind, language, drafts.get((kind, language)), newest.get((kind, language)))
        for kind in TextKind.values
        for language in languages
        if language in LANGUAGES or (kind, language) in drafts or (kind, language) in newest
    ]


def versions(kind: str, language: str) -> QuerySet[TextVersion]:
    """All versions of a text, newest first."""
    return TextVersion.objects.filter(kind=kind, language=language).order_by("-number")


def published(*, at: datetime.datetime) -> QuerySet[TextVersion]:
    """What was out at a moment, oldest first."""
    return TextVersion.objects.filter(published_at__lte=at).order_by("kind", "language", "number")


def languages_published(*, at: datetime.datetime) -> list[str]:
    """The languages in which anything was out, English and German first."""
    found = set(published(at=at).order_by().values_list("language", flat=True))
    return [code for code in LANGUAGES if code in found] + sorted(found - set(LANGUAGES))


def texts_in(
    language: str, kinds: Iterable[str], *, at: datetime.datetime
) -> dict[str, TextVersion]:
    """The newest version of each kind, in this language or else in English or else in any."""
    order = [language, *LANGUAGES]
    best: dict[str, TextVersion] = {}
    for version in published(at=at).filter(kind__in=list(kinds)):
        known = best.get(version.kind)
        if known is None or _place(version.language, order) <= _place(known.language, order):
            best[version.kind] = version
    return {kind: best[kind] for kind in kinds if kind in best}


def _place(language: str, order: list[str]) -> int:
    return order.index(language) if language in order else len(order)


def signers_asked_again(
    kind: str, language: str, again: str, *, at: datetime.datetime
) -> tuple[int, int]:
    """How many people, on how many trips to come, would have to sign once more."""
    if again == Again.NOBODY:
        return 0, 0
    signed = Signature.objects.filter(
        Q(participant__isnull=False),
        text__kind=kind,
        text__language=language,
        trip__ends_at__gt=at,
        trip__status__in=["tentative", "confirmed"],
        erased_at=None,
    )
    if again == Again.MINORS:
        signed = signed.filter(by_guardian=True)
    pairs = set(signed.values_list("participant", "trip"))
    return len({person for person, _ in pairs}), len({trip for _, trip in pairs})
