"""Reads the published check values of `fixtures/reference/`; each file names its source."""

from __future__ import annotations

import csv
from pathlib import Path

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "reference"


def rows(name: str) -> list[dict[str, str]]:
    """Every row of `fixtures/reference/<name>.csv`; lines that start with `#` are its header."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        lines = [line for line in file if not line.startswith("#")]
    found = list(csv.DictReader(lines))
    if not found:
        raise AssertionError(f"fixtures/reference/{name}.csv holds no rows")
    return found


def path(name: str) -> Path:
    """The file itself, for what reads files."""
    return FOLDER / f"{name}.csv"
