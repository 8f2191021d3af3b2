"""Rows as comma-separated text that no spreadsheet takes for formulas."""

import csv
from collections.abc import Sequence
from io import StringIO

# A cell of text that begins so would be reckoned and not read.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")


def plain_text(text: str) -> str:
    """A cell of text; one that a spreadsheet would read as a formula gets an apostrophe."""
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text


def csv_table(head: Sequence[str], rows: Sequence[Sequence[str | int | float]]) -> str:
    """A table as comma-separated text: text guarded, numbers plain with a point."""
    file = StringIO()
    writer = csv.writer(file, lineterminator="\r\n")
    writer.writerow(head)
    for row in rows:
        writer.writerow(
            [plain_text(cell) if isinstance(cell, str) else f"{cell:g}" for cell in row]
        )
    return file.getvalue()


def _cell(cell: str | int | float) -> str:
    return plain_text(cell) if isinstance(cell, str) else f"{cell:.10g}"
