"""Writing the use log: adding entries, and taking a wrong one out by another entry."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import formats, timezone

from equipment.actions.sums import rebuild_sums
from equipment.models import Defect, Line, Spooling, Thing, UseEntry
from equipment.models.use import METRE_KINDS, QUARANTINE_KINDS, fits
from equipment.queries.once import shares_to_settle
from equipment.rules.use import UseEntry as LogEntry
from equipment.rules.use import UseKind, check_use_entry

Kind = UseEntry.Kind
FIRST_DAY = datetime.date(2000, 1, 1)
CLOCK_SLACK = datetime.timedelta(minutes=10)  # phones and desks differ a little
_CHUNK = 500


@dataclass(frozen=True, slots=True)
class NewUse:
    """One entry to be written. The same key twice is the same entry, and is written once.

    `line` may be left out: it is then the line that was on the reel on that day. `reverses` is the
    key of the entry that this one takes out.
    """

    thing_id: int
    kind: str
    at: datetime.datetime
    amount: float = 1.0
    trip_uid: uuid.UUID | None = None
    line_id: int | None = None
    note: str = ""
    key: uuid.UUID = field(default_factory=uuid.uuid4)
    reverses: uuid.UUID | None = None
    source: str = ""
    day_total: float | None = None


@dataclass(frozen=True, slots=True)
class Recorded:
    """What became of a batch: the entries written, and how many were in the log before."""

    entries: list[UseEntry]
    known_before: int


@transaction.atomic
def record_use(
    *,
    thing: Thing,
    kind: str,
    at: datetime.datetime | None = None,
    amount: float = 1.0,
    trip_uid: uuid.UUID | None = None,
    line: Line | None = None,
    note: str = "",
    key: uuid.UUID | None = None,
    by: Any = None,
    now: datetime.datetime | None = None,
) -> UseEntry:
    """Add one use to the log; with a key that is in the log already, give back that entry."""
    new = NewUse(
        thing_id=thing.pk,
        kind=str(kind),
        at=at or timezone.now(),
        amount=float(amount),
        trip_uid=trip_uid,
        line_id=line.pk if line else None,
        note=note,
        key=key or uuid.uuid4(),
    )
    done = record_uses(uses=[new], by=by, now=now)
    return done.entries[0] if done.entries else UseEntry.objects.get(key=new.key)


@transaction.atomic
def record_uses(
    *, uses: Sequence[NewUse], by: Any = None, now: datetime.datetime | None = None
) -> Recorded:
    """Add a batch to the log, whole or not at all; neither order nor repetition matters.

    What a whole day and the drops of that day both tell counts once.
    """
    shelf, now = Shelf.locked(use.thing_id for use in uses), now or timezone.now()
    written, known = write_chunk(uses=uses, shelf=shelf, by=by, now=now)
    settled, _known = write_chunk(uses=_settled(written), shelf=shelf, by=by, now=now)
    rebuild_sums(written=[*written, *settled])
    return Recorded(written, known)


def _settled(written: Sequence[UseEntry]) -> list[NewUse]:
    """Entries that leave of a whole day what no drop tells."""
    found = []
    for share in shares_to_settle(written):
        row = share.entry
        new = NewUse(
            thing_id=row.thing_id,
            kind=row.kind,
            at=row.at,
            trip_uid=row.trip_uid,
            source=UseEntry.Source.DAY,
            day_total=row.day_total,
        )
        if share.stands:
            key = uuid.uuid5(row.key, "told by drops")
            note = "The log of drops tells it as well: counted once."
            gone = replace(new, kind=str(Kind.REVERSAL), reverses=row.key, day_total=None)
            found.append(replace(gone, key=key, note=note))
        if share.amount:
            key = uuid.uuid5(row.key, f"left {share.amount:g}")
            found.append(replace(new, key=key, amount=share.amount, note=row.note))
    return found


@transaction.atomic
def reverse_use(
    *,
    entry: UseEntry,
    reason: str,
    at: datetime.datetime | None = None,
    key: uuid.UUID | None = None,
    by: Any = None,
) -> UseEntry:
    """Take an entry out of the log by another one; both stay readable."""
    if not reason.strip():
        raise ValidationError({"reason": "Say why the entry is wrong."})
    new = NewUse(
        thing_id=entry.thing_id,
        kind=Kind.REVERSAL,
        at=at or timezone.now(),
        trip_uid=entry.trip_uid,
        note=reason.strip(),
        key=key or uuid.uuid4(),
        reverses=entry.key,
    )
    done = record_uses(uses=[new], by=by)
    return done.entries[0] if done.entries else UseEntry.objects.get(key=new.key)


# ---------------------------------------------------------------- what an entry must be like


@dataclass(slots=True)
class Shelf:
    """The things of a batch and the lines on their reels, read once."""

    things: dict[int, Thing]
    spoolings: dict[int, list[Spooling]]

    @classmethod
    def locked(cls, thing_ids: Iterable[int]) -> Shelf:
        """Locks the things in the order of their ids, so that two batches cannot deadlock."""
        ids = sorted(set(thing_ids))
        rows = Thing.objects.select_for_update().filter(pk__in=ids).order_by("pk")
        return cls.of({thing.pk: thing for thing in rows})

    @classmethod
    def of(cls, things: dict[int, Thing]) -> Shelf:
        spoolings: dict[int, list[Spooling]] = {}
        for spooling in (
            Spooling.objects.filter(reel__in=list(things))
            .select_related("line")
            .order_by("-on_from", "-pk")
        ):
            spoolings.setdefault(spooling.reel_id, []).append(spooling)
        return cls(things, spoolings)

    def spooling(self, use: NewUse) -> Spooling | None:
        """What was on the reel on the day of the use; on a day of change, the newer line."""
        day = timezone.localdate(use.at)
        for one in self.spoolings.get(use.thing_id, []):
            on_it = one.on_from <= day and (one.on_until is None or one.on_until >= day)
            if on_it and use.line_id in (None, one.line_id):
                return one
        return None


def use_problems(*, use: NewUse, shelf: Shelf, now: datetime.datetime) -> list[tuple[str, str]]:
    """What is wrong with an entry: pairs of a field and a sentence; none when it may stand."""
    thing = shelf.things.get(use.thing_id)
    if thing is None:
        return [("thing", "There is no such thing in the gear list.")]
    if use.kind not in Kind.values:
        return [("kind", f"{use.kind!r} is no kind of use; choose one of the list.")]
    problems = _amount_problems(use, thing)
    problems += _day_problems(use, thing, now)
    if use.kind != Kind.REVERSAL and not fits(use.kind, thing.kind):
        problems.append(
            ("kind", f"{thing.label} is a {thing.get_kind_display()}: "
             f"it has no {Kind(use.kind).label} to log.")
        )  # fmt: skip
    elif use.kind in METRE_KINDS and not problems and shelf.spooling(use) is None:
        problems.append(
            ("thing", f"{thing.label} has no line on {_day(timezone.localdate(use.at))}: "
             "spool the line first.")
        )  # fmt: skip
    if len(use.note) > 300:
        problems.append(("note", "The note is longer than 300 characters; shorten it."))
    return problems


def _amount_problems(use: NewUse, thing: Thing) -> list[tuple[str, str]]:
    try:
        check_use_entry(
            entry=LogEntry(
                key=thing.label,
                kind=UseKind(use.kind),
                amount=use.amount,
                at=use.at,
                trip=str(use.trip_uid or ""),
                reverses=str(use.reverses or ""),
            )
        )
    except ValueError as error:
        return [("amount", str(error).removeprefix("Entry "))]
    if use.amount > 1_000_000:
        return [("amount", f"{thing.label}: {use.amount:g} is more than any log needs; check it.")]
    return []


def _day_problems(use: NewUse, thing: Thing, now: datetime.datetime) -> list[tuple[str, str]]:
    if use.at.tzinfo is None:
        return []  # named among the problems of the amount
    if use.at > now + CLOCK_SLACK:
        return [("at", f"{_day(timezone.localdate(use.at))} is still to come; enter it then.")]
    day = timezone.localdate(use.at)
    if day < FIRST_DAY:
        return [("at", f"{_day(day)} is too long ago; give a day from the year 2000 on.")]
    if thing.bought_on and day < thing.bought_on:
        return [
            ("at", f"{_day(day)} is before {thing.label} was bought on {_day(thing.bought_on)}.")
        ]
    if thing.retired_on and day > thing.retired_on and use.kind != Kind.REVERSAL:
        return [
            ("at", f"{thing.label} was retired on {_day(thing.retired_on)}; it has no later use.")
        ]
    return []


def _day(day: datetime.date) -> str:
    return formats.date_format(day, "j F Y")


# ---------------------------------------------------------------- writing


def write_chunk(
    *, uses: Sequence[NewUse], shelf: Shelf, by: Any, now: datetime.datetime
) -> tuple[list[UseEntry], int]:
    """Insert entries without their sums; whoever calls this rebuilds the sums in the same
    transaction. Entries that others of the batch reverse come first, whatever their order."""
    fresh, known = _not_in_the_log(uses)
    written: list[UseEntry] = []
    by_key: dict[uuid.UUID, UseEntry] = {}
    for layer in (
        [use for use in fresh if use.reverses is None],
        [use for use in fresh if use.reverses is not None],
    ):
        targets = _targets(layer, by_key)
        rows = [_row(use, shelf, targets, by, now) for use in layer]
        UseEntry.objects.bulk_create(rows, batch_size=_CHUNK)
        by_key |= {row.key: row for row in rows}
        written += rows
    _open_defects(written)
    _turn_lines(written, shelf)
    return written, known


def _not_in_the_log(uses: Sequence[NewUse]) -> tuple[list[NewUse], int]:
    """The entries to write, and how many are there already with the same content."""
    by_key: dict[uuid.UUID, NewUse] = {}
    for use in uses:
        if by_key.setdefault(use.key, use) != use:
            raise ValidationError("Two entries of one batch have the same key but differ.")
    keys = list(by_key)
    known: list[UseEntry] = []
    for start in range(0, len(keys), _CHUNK):
        known += UseEntry.objects.filter(key__in=keys[start : start + _CHUNK]).select_related(
            "reverses"
        )
    for row in known:
        if not _same(by_key.pop(row.key), row):
            raise ValidationError(
                f"The entry {row.key} is in the log with another content. "
                "Reload the page, and take the wrong entry out of the log instead."
            )
    return list(by_key.values()), len(uses) - len(by_key)


def _same(use: NewUse, row: UseEntry) -> bool:
    reverses = row.reverses.key if row.reverses else None
    return (use.thing_id, use.kind, use.amount, use.trip_uid, use.reverses) == (
        row.thing_id,
        row.kind,
        row.amount,
        row.trip_uid,
        reverses,
    )


def _targets(
    layer: Sequence[NewUse], by_key: dict[uuid.UUID, UseEntry]
) -> dict[uuid.UUID, UseEntry]:
    """The entries that a layer takes out, checked: in the log, of the same thing, not out yet."""
    wanted = {use.reverses: use for use in layer if use.reverses is not None}
    if not wanted:
        return {}
    missing = [key for key in wanted if key not in by_key]
    found = {key: by_key[key] for key in wanted if key in by_key}
    found |= {row.key: row for row in UseEntry.objects.filter(key__in=missing)}
    out = set(
        UseEntry.objects.filter(reverses__in=[row.pk for row in found.values()]).values_list(
            "reverses__key", flat=True
        )
    )
    if len(wanted) < len(layer):
        raise ValidationError("Two entries of one batch take the same entry out; leave one away.")
    for key, use in wanted.items():
        if key not in found:
            raise ValidationError(
                "The entry to be taken out is not in the log yet; enter it first, then this one."
            )
        if found[key].thing_id != use.thing_id:
            raise ValidationError("The entry to be taken out belongs to another thing.")
        if found[key].kind == Kind.REVERSAL:
            raise ValidationError(
                "This entry takes another one out. Enter that use again instead of reversing it."
            )
        if key in out:
            raise ValidationError("This entry has been taken out of the log already.")
    return found


def _row(
    use: NewUse,
    shelf: Shelf,
    targets: dict[uuid.UUID, UseEntry],
    by: Any,
    now: datetime.datetime,
) -> UseEntry:
    problems = use_problems(use=use, shelf=shelf, now=now)
    if problems:
        sentences: dict[str, list[str]] = {}
        for name, sentence in problems:
            sentences.setdefault(name, []).append(sentence)
        raise ValidationError(sentences)
    target = targets.get(use.reverses) if use.reverses else None
    spooling = shelf.spooling(use) if use.kind in METRE_KINDS else None
    return UseEntry(
        key=use.key,
        thing=shelf.things[use.thing_id],
        line_id=target.line_id if target else (spooling.line_id if spooling else use.line_id),
        kind=use.kind,
        amount=use.amount,
        at=use.at,
        trip_uid=use.trip_uid,
        reverses=target,
        note=use.note,
        source=use.source,
        day_total=use.day_total,
        entered_by=by,
    )


def _open_defects(written: Sequence[UseEntry]) -> None:
    """A crash, a dip or a swelling grounds the thing at once, until somebody signs it off."""
    Defect.objects.bulk_create(
        Defect(
            thing_id=row.thing_id,
            entry=row,
            found_at=row.at,
            what=f"{Kind(row.kind).label.capitalize()}{': ' + row.note if row.note else ''}"[:300],
        )
        for row in written
        if row.kind in QUARANTINE_KINDS
    )


def _turn_lines(written: Sequence[UseEntry], shelf: Shelf) -> None:
    """Each entry 'line reversed' turns the worn end; taking it out turns it back."""
    for row in written:
        told = row.reverses if row.reverses is not None else row
        if told.kind != Kind.LINE_REVERSED:
            continue
        for spooling in shelf.spoolings.get(told.thing_id, []):
            if spooling.line_id == told.line_id and spooling.on_until is None:
                spooling.reversed = not spooling.reversed
                spooling.save(update_fields=["reversed"])
