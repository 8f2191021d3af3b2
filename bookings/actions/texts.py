"""Writes about the texts: a draft kept, a version published. A version is never changed."""

from __future__ import annotations

import datetime

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from bookings.actions.chain import add_to_chain
from bookings.models import Again, TextDraft, TextKind, TextVersion
from bookings.queries.records import PUBLISHED
from bookings.queries.texts import starting_texts
from bookings.rules.evidence import text_fingerprint


@transaction.atomic
def save_draft(
    *,
    kind: str,
    language: str,
    title: str,
    body: str,
    at: datetime.datetime | None = None,
) -> TextDraft:
    """The draft of one kind and language, set anew; what is published stays as it is."""
    draft = TextDraft.objects.select_for_update().filter(kind=kind, language=language).first()
    draft = draft or TextDraft(kind=kind, language=language)
    draft.title, draft.body = " ".join(title.split()), _plain(body)
    draft.changed_at = at or timezone.now()
    draft.full_clean()
    draft.save()
    return draft


def _plain(body: str) -> str:
    """The text with one kind of line end and nothing trailing: what is seen is what is signed."""
    lines = body.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return "\n".join(line.rstrip() for line in lines).strip()


@transaction.atomic
def take_starting_texts(*, at: datetime.datetime | None = None) -> list[TextDraft]:
    """The shipped texts as drafts, where there is no draft yet."""
    known = set(TextDraft.objects.values_list("kind", "language"))
    return [
        save_draft(kind=text.kind, language=text.language, title=text.title, body=text.body, at=at)
        for text in starting_texts()
        if (text.kind, text.language) not in known
    ]


@transaction.atomic
def publish_text(
    *,
    kind: str,
    language: str,
    again: str,
    change_note: str = "",
    checked_by: str = "",
    at: datetime.datetime | None = None,
) -> TextVersion:
    """The draft as the next numbered version, with who must sign once more."""
    at = at or timezone.now()
    draft = TextDraft.objects.select_for_update().filter(kind=kind, language=language).first()
    if draft is None:
        raise ValidationError("There is no draft of this text. Write one, or start from ours.")
    if _is_marked(draft.body):
        raise ValidationError(
            "This is still the starting text. Have a lawyer of the place check it, "
            "then take out the line in brackets."
        )
    newest = TextVersion.objects.filter(kind=kind, language=language).order_by("-number").first()
    if newest and newest.full_text == draft.full_text:
        raise ValidationError(f"Version {newest.number} says exactly this. Nothing is new.")
    version = TextVersion(
        kind=kind,
        language=language,
        number=newest.number + 1 if newest else 1,
        title=draft.title,
        body=draft.body,
        sha256=text_fingerprint(draft.full_text),
        published_at=at,
        again=again if newest else Again.NOBODY,
        change_note=change_note.strip(),
        checked_by=checked_by.strip(),
    )
    version.full_clean()
    try:
        with transaction.atomic():
            version.save(force_insert=True)
    except IntegrityError:
        raise ValidationError("A version came out a moment ago. Look at it first.") from None
    add_to_chain(
        {
            "act": PUBLISHED,
            "kind": version.kind,
            "language": version.language,
            "version": version.number,
            "text_sha256": version.sha256,
            "published_at": at,
            "again": version.again,
        },
        at=at,
    )
    return version


def _is_marked(body: str) -> bool:
    """Whether the mark of a starting text is still in it."""
    marks = {text.body.split("\n", 1)[0] for text in starting_texts()}
    return any(mark in body for mark in marks)


@transaction.atomic
def publish_starting_texts(
    *, checked_by: str, at: datetime.datetime | None = None
) -> list[TextVersion]:
    """The shipped texts published as they are, without their mark: for a demo and for tests."""
    out = []
    for text in starting_texts():
        body = text.body.split("\n", 1)[1].strip()
        save_draft(kind=text.kind, language=text.language, title=text.title, body=body, at=at)
        out.append(
            publish_text(
                kind=text.kind,
                language=text.language,
                again=Again.NOBODY,
                checked_by=checked_by,
                at=at,
            )
        )
    return sorted(out, key=lambda version: (TextKind.values.index(version.kind), version.language))
