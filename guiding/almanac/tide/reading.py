"""What reading a file can report: the problems with their rows, and cells turned into values."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from math import isfinite


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong with a file, where, and what to do. Row 1 is the header; 0 the whole file."""

    row: int
    column: str
    message: str

    def __str__(self) -> str:
        place = f"row {self.row}" if self.row else "the file"
        return f"{place}{', ' + self.column if self.column else ''}: {self.message}"


class CellError(ValueError):
    """A cell that cannot be used: its column and why."""

    def __init__(self, column: str, message: str) -> None:
        super().__init__(message)
        self.column = column


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: its number in the file and its cells by column."""

    number: int
    cells: dict[str, str]
    decimal_comma: bool = False  # only where the comma does not part the cells

    def text(self, column: str) -> str:
        """The cell; CellError when it is empty."""
        value = (self.cells.get(column) or "").strip()
        if not value:
            raise CellError(column, "the cell is empty: fill it in.")
        return value

    def number_in(self, column: str, low: float, high: float) -> float:
        """The cell as a number within limits; CellError otherwise."""
        value = self.text(column)
        try:
            found = float(value.replace(",", ".") if self.decimal_comma else value)
        except ValueError:
            raise CellError(column, f"'{value}' is not a number: write it like 1.25.") from None
        if not isfinite(found) or not low <= found <= high:
            raise CellError(column, f"{value} is not between {low:g} and {high:g}: check it.")
        return found

    def problem(self, error: CellError) -> Problem:
        """The problem of this row that the error tells of."""
        return Problem(self.number, error.column, str(error))


@dataclass(frozen=True)
class Table:
    """The rows of a delimited file below its header."""

    rows: tuple[Row, ...]
    problems: tuple[Problem, ...]
    header: tuple[str, ...] = ()

    @classmethod
    def of(cls, text: str, needed: tuple[str, ...], what: str, *, numbered: bool = False) -> Table:
        """Read it: comma, semicolon or tab; lines that start with # and empty lines are skipped.

        `numbered` tells columns of one name apart by a number behind it.
        """
        if "\x00" in text:
            return cls((), (Problem(0, "", f"the {what} are not text: save them as CSV."),))
        lines = [
            (number, line)
            for number, line in enumerate(io.StringIO(text.removeprefix("\ufeff")), start=1)
            if line.strip() and not line.startswith("#")
        ]
        if not lines:
            return cls((), (Problem(0, "", f"the {what} hold no rows: choose another file."),))
        header_row, header = lines[0]
        delimiter = max(",;\t", key=header.count)
        names = [name.strip() for name in next(csv.reader([header], delimiter=delimiter))]
        if numbered:
            names = _told_apart(names)
        missing = [name for name in needed if name not in names]
        if missing:
            message = f"there is no column '{missing[0]}' in the {what}; found: {', '.join(names)}."
            return cls((), (Problem(header_row, missing[0], message),))
        return cls._below(lines[1:], names, delimiter, what)

    @classmethod
    def _below(
        cls, lines: list[tuple[int, str]], names: list[str], delimiter: str, what: str
    ) -> Table:
        rows, problems = [], []
        for number, line in lines:
            try:
                cells = next(csv.reader([line], delimiter=delimiter, strict=True))
            except csv.Error as error:
                problems.append(Problem(number, "", f"the row cannot be read ({error})."))
                continue
            if len(cells) != len(names):
                message = f"the row has {len(cells)} cells where the header has {len(names)}."
                problems.append(Problem(number, "", message))
            else:
                rows.append(Row(number, dict(zip(names, cells, strict=True)), delimiter != ","))
        if not lines:
            problems.append(Problem(0, "", f"the {what} hold a header and no rows."))
        return cls(tuple(rows), tuple(problems), tuple(names))


def _told_apart(names: list[str]) -> list[str]:
    """Names of which each stands once: 'time', 'time' become 'time 1', 'time 2'."""
    return [
        f"{name} {names[: place + 1].count(name)}" if names.count(name) > 1 else name
        for place, name in enumerate(names)
    ]
