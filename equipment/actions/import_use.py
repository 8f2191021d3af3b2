"""Reading uses from a CSV file: looked through as a whole, then entered as a whole or not at all.

The file is read row by row and never held in memory.
"""

from __future__ import annotations

import csv
import datetime
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from equipment.actions.sums import rebuild_for
from equipment.actions.use import NewUse, Shelf, use_problems, write_chunk
from equipment.models import Line, Thing, UseEntry
from equipment.models.use import USED_UP_KINDS

COLUMNS = ("thing", "kind", "amount", "at", "trip", "note", "key", "reverses")
NEEDED = ("thing", "kind", "amount", "at")
_ROW_KEY = uuid.UUID("7b7cf0d8-4a3b-4c55-9d0f-0d6f2a1f6f55")  # names rows that carry no key
_CHUNK = 500
_KINDS = {kind.label: kind.value for kind in UseEntry.Kind} | {
    kind.value: kind.value for kind in UseEntry.Kind
}
_FORMULA = ("=", "+", "-", "@")


@dataclass(frozen=True, slots=True)
class RowProblem:
    """What is wrong in one row of a file; the header is row 1."""

    row: int
    column: str
    what: str


@dataclass(slots=True)
class Preview:
    """What a file would do: rows read, entries new and known, and every problem by row."""

    rows: int = 0
    new: int = 0
    known: int = 0
    things: set[int] = field(default_factory=set)
    problems: list[RowProblem] = field(default_factory=list)


def look_through(*, path: Path, now: datetime.datetime | None = None) -> Preview:
    """Read a file and name every problem in it, writing nothing."""
    preview = Preview()
    looker = _Looker(preview, now or timezone.now())
    chunk: list[tuple[int, NewUse]] = []
    for row, cells in _rows(path, preview):
        use = looker.read(row, cells)
        if use is not None:
            chunk.append((row, use))
        if len(chunk) >= _CHUNK:
            looker.compare(chunk)
            chunk = []
    looker.compare(chunk)
    looker.finish()
    preview.problems.sort(key=lambda one: one.row)
    return preview


@transaction.atomic
def import_use(*, path: Path, by: Any = None, now: datetime.datetime | None = None) -> Preview:
    """Enter all uses of a file; with any problem in it nothing is entered. Uses that are in the
    log already are left as they are, so the same file can be read twice."""
    now = now or timezone.now()
    labels = dict(Thing.objects.values_list("label", "pk"))
    preview = look_through(path=path, now=now)
    if preview.problems:
        raise ValidationError(
            f"The file has {len(preview.problems)} problem{'s' * (len(preview.problems) != 1)}, "
            "the first in row "
            f"{preview.problems[0].row}: {preview.problems[0].what} Nothing was entered."
        )
    shelf = Shelf.locked(preview.things)
    earliest: dict[int, datetime.datetime] = {}
    lines: set[int] = set()
    for reversals in (False, True):
        for chunk in _chunks(path, labels, reversals=reversals):
            written, _ = write_chunk(uses=chunk, shelf=shelf, by=by, now=now)
            for one in written:
                at = min(one.at, one.reverses.at) if one.reverses is not None else one.at
                earliest[one.thing_id] = min(at, earliest.get(one.thing_id, at))
                if one.line_id is not None:
                    lines.add(one.line_id)
    rebuild_for(earliest=earliest, line_ids=sorted(lines))
    return preview


def _chunks(path: Path, labels: dict[str, int], *, reversals: bool) -> Iterator[list[NewUse]]:
    """The uses of a file that was found sound, in chunks: entries first, then what takes some of
    them out."""
    chunk: list[NewUse] = []
    for _, cells in _rows(path, Preview()):
        use = _parse(cells, labels, [])
        if use is None or (use.reverses is not None) != reversals:
            continue
        chunk.append(use)
        if len(chunk) >= _CHUNK:
            yield chunk
            chunk = []
    if chunk:
        yield chunk


# ---------------------------------------------------------------- reading


def _rows(path: Path, preview: Preview) -> Iterator[tuple[int, dict[str, str]]]:
    """Rows by column name; what keeps the file from being read ends up among the problems."""
    try:
        with path.open(encoding="utf-8-sig", newline="") as stream:
            reader = csv.reader(stream, strict=True)
            header = next(reader, None)
            names = [name.strip().lower() for name in header or []]
            complaint = _header_problem(names)
            if complaint:
                preview.problems.append(RowProblem(1, "", complaint))
                return
            for cells in reader:
                if not cells:
                    continue
                preview.rows += 1
                if len(cells) != len(names):
                    what = (
                        f"{len(cells)} columns where the header has {len(names)}: a comma too "
                        "many or too few, or the file was cut off."
                    )
                    preview.problems.append(RowProblem(reader.line_num, "", what))
                    continue
                yield reader.line_num, dict(zip(names, map(_unguarded, cells), strict=True))
    except UnicodeDecodeError:
        what = "This is no text in UTF-8; save the table as CSV in UTF-8, then send it again."
        preview.problems.append(RowProblem(1, "", what))
    except csv.Error as error:
        what = f"The table cannot be read from here on ({error}); the file may be cut off."
        preview.problems.append(RowProblem(preview.rows + 2, "", what))


def _header_problem(names: list[str]) -> str:
    if not names:
        return "The file is empty."
    missing = [name for name in NEEDED if name not in names]
    strange = [name[:30] for name in names if name not in COLUMNS]
    if len(names) == 1 and ";" in names[0]:
        return "The columns are parted by semicolons; part them by commas."
    if missing or strange or len(set(names)) < len(names):
        found = f"; these are not known: {', '.join(strange[:5])}" if strange else ""
        lacking = f"; missing: {', '.join(missing)}" if missing else ""
        return (
            f"The first row has to name the columns {', '.join(NEEDED)} and, where wanted, "
            f"{', '.join(COLUMNS[4:])}, each once{lacking}{found}."
        )
    return ""


def _unguarded(cell: str) -> str:
    """A cell without the mark that exports put before text that looks like a formula."""
    cell = cell.strip()
    return cell[1:] if cell[:1] == "'" and cell[1:2] in _FORMULA else cell


def _parse(
    cells: dict[str, str], labels: dict[str, int], problems: list[tuple[str, str]]
) -> NewUse | None:
    """One row as an entry, or what is wrong with its cells."""
    label = cells["thing"]
    thing_id = labels.get(label)
    if thing_id is None:
        problems.append(("thing", f"No thing has the label {label[:40]!r}."))
    kind = _KINDS.get(cells["kind"].lower())
    if kind is None:
        problems.append(
            ("kind", f"{cells['kind'][:40]!r} is no kind of use; write one such as cycle or fish.")
        )
    amount = _amount(cells["amount"], problems)
    at = _instant(cells["at"], problems)
    trip = _uuid(cells.get("trip", ""), "trip", problems)
    key = _uuid(cells.get("key", ""), "key", problems)
    reverses = _uuid(cells.get("reverses", ""), "reverses", problems)
    if problems or thing_id is None or kind is None or at is None or amount is None:
        return None
    note = cells.get("note", "")
    if key is None:
        told = f"{thing_id}|{kind}|{amount!r}|{at.astimezone(datetime.UTC)}|{trip}|{note}"
        key = uuid.uuid5(_ROW_KEY, told)
    return NewUse(thing_id, kind, at, amount, trip, note=note, key=key, reverses=reverses)


def _amount(text: str, problems: list[tuple[str, str]]) -> float | None:
    if "," in text:
        problems.append(("amount", f"{text[:20]!r}: write the decimal mark as a point."))
        return None
    try:
        return float(text)
    except ValueError:
        problems.append(("amount", f"{text[:20]!r} is no number."))
        return None


def _instant(text: str, problems: list[tuple[str, str]]) -> datetime.datetime | None:
    """A day, or a day and a time; without a zone it is that of the business."""
    try:
        at = datetime.datetime.fromisoformat(text)
    except ValueError:
        problems.append(
            ("at", f"{text[:30]!r} is no day or time; write 2026-06-14 or 2026-06-14T09:30.")
        )
        return None
    if len(text) <= 10:
        at = at.replace(hour=12)
    return at if at.tzinfo else at.replace(tzinfo=timezone.get_current_timezone())


def _uuid(text: str, column: str, problems: list[tuple[str, str]]) -> uuid.UUID | None:
    if not text:
        return None
    try:
        return uuid.UUID(text)
    except ValueError:
        problems.append((column, f"{text[:40]!r} is no id of 32 hexadecimal digits."))
        return None


# ---------------------------------------------------------------- looking


class _Looker:
    """Holds rows against the gear list, against the log and against each other."""

    def __init__(self, preview: Preview, now: datetime.datetime) -> None:
        self._preview, self._now = preview, now
        things = {thing.pk: thing for thing in Thing.objects.all()}
        self._labels = {thing.label: thing.pk for thing in things.values()}
        self._shelf = Shelf.of(things)
        self._row_of: dict[uuid.UUID, int] = {}
        self._told: dict[uuid.UUID, tuple[str, int, float, int | None]] = {}
        self._reversals: dict[uuid.UUID, int] = {}
        self._metres: dict[int, float] = {}
        self._last_row: dict[int, int] = {}

    def problem(self, row: int, column: str, what: str) -> None:
        self._preview.problems.append(RowProblem(row, column, what))

    def read(self, row: int, cells: dict[str, str]) -> NewUse | None:
        """One row, checked as far as it can be by itself."""
        problems: list[tuple[str, str]] = []
        use = _parse(cells, self._labels, problems)
        if use is not None:
            problems += use_problems(use=use, shelf=self._shelf, now=self._now)
        for column, what in problems:
            self.problem(row, column, what)
        if use is None or problems:
            return None
        if use.key in self._row_of:
            self.problem(row, "", f"This is the same entry as in row {self._row_of[use.key]}.")
            return None
        self._row_of[use.key] = row
        self._preview.things.add(use.thing_id)
        return use

    def compare(self, chunk: list[tuple[int, NewUse]]) -> None:
        """Hold a chunk against the log: what is known already, what is new."""
        known = UseEntry.objects.select_related("reverses").in_bulk(
            [use.key for _, use in chunk], field_name="key"
        )
        for row, use in chunk:
            before = known.get(use.key)
            if before is None:
                self._preview.new += 1
                self._count(row, use)
            elif before.thing_id != use.thing_id or before.amount != use.amount:
                self.problem(row, "key", "This key is in the log with another content.")
            else:
                self._preview.known += 1

    def _count(self, row: int, use: NewUse) -> None:
        if use.reverses is not None:
            if use.reverses in self._reversals:
                other = self._reversals[use.reverses]
                self.problem(row, "reverses", f"Row {other} takes the same entry out.")
            self._reversals[use.reverses] = row
            return
        spooling = self._shelf.spooling(use) if use.kind in USED_UP_KINDS else None
        line_id = spooling.line_id if spooling else None
        if line_id is not None:
            self._metres[line_id] = self._metres.get(line_id, 0.0) + use.amount
            self._last_row[line_id] = row
        self._told[use.key] = (use.kind, use.thing_id, use.amount, line_id)

    def finish(self) -> None:
        """What only the whole file shows: entries taken out, and metres left on each line."""
        missing = [key for key in self._reversals if key not in self._told]
        logged: dict[uuid.UUID, UseEntry] = {}
        for start in range(0, len(missing), _CHUNK):
            logged |= UseEntry.objects.in_bulk(missing[start : start + _CHUNK], field_name="key")
        out = set(
            UseEntry.objects.filter(reverses__in=[e.pk for e in logged.values()]).values_list(
                "reverses__key", flat=True
            )
        )
        for key, row in self._reversals.items():
            if key in self._told:
                _, _, amount, line_id = self._told[key]
            elif key not in logged:
                self.problem(row, "reverses", "The entry to take out is not in the log.")
                continue
            elif key in out or logged[key].kind == UseEntry.Kind.REVERSAL:
                self.problem(row, "reverses", "That entry has been taken out, or is a reversal.")
                continue
            else:
                amount = logged[key].amount
                line_id = logged[key].line_id if logged[key].kind in USED_UP_KINDS else None
            if line_id is not None:
                self._metres[line_id] = self._metres.get(line_id, 0.0) - amount
        for line in Line.objects.filter(pk__in=list(self._last_row)):
            if line.used_m + self._metres[line.pk] > line.spooled_m + 1e-6:
                self.problem(
                    self._last_row[line.pk],
                    "amount",
                    f"{line} has {line.left_m:g} m left; the file takes "
                    f"{self._metres[line.pk]:g} m off it.",
                )
