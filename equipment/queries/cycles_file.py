"""Capacity over cycles from a CSV file, for forecasts outside the desk's own packs."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from pathlib import Path

# Usual ratings of single cells in Ah, from memory: the nearest one stands in where a file does
# not say what its cell is rated at.
_USUAL_AH = (0.5, 0.7, 1.1, 1.3, 1.5, 2.0, 2.2, 2.5, 2.6, 3.0, 3.2, 3.5, 4.0, 5.0, 6.0, 8.0, 10.0,
             12.0, 16.0, 20.0, 22.0, 25.0, 30.0)  # fmt: skip
_NEW_CHECKS = 5


@dataclass(frozen=True, slots=True)
class CycleSeries:
    """Capacities by cycle, disturbed ones left out, and the rated capacity with its origin."""

    name: str
    cycles: tuple[float, ...]
    capacities_ah: tuple[float, ...]
    rated_ah: float
    rated_from: str


def read_cycles(
    *, path: Path, upto: float = math.inf, rated_ah: float | None = None
) -> CycleSeries:
    """The series in a file with the columns `cycle` and `capacity_ah`, up to a cycle.

    A column `outlier` that is not 0 marks partial or disturbed cycles, which are left out; lines
    that begin with # are remarks. Rated capacity: as given, else from a column `rated_ah`, else
    from a table `battery_cells_meta.csv` beside the file, else the usual rating nearest to the
    first readings. ValueError names the row of what cannot be read.
    """
    cycles: list[float] = []
    capacities: list[float] = []
    told_ah: float | None = None
    for row, cells in _rows(path):
        if cells.get("outlier", "0") not in ("", "0"):
            continue
        cycle = _number(cells["cycle"], row, "cycle")
        capacity = _number(cells["capacity_ah"], row, "capacity_ah")
        if cycle < 0 or capacity <= 0:
            raise ValueError(f"Row {row}: a cycle of {cycle:g} with {capacity:g} Ah cannot be.")
        if cells.get("rated_ah"):
            told_ah = _number(cells["rated_ah"], row, "rated_ah")
        if cycle <= upto:
            cycles.append(cycle)
            capacities.append(capacity)
    if not cycles:
        raise ValueError("The file has no cycle in that range; check the file and --upto.")
    rated, told = _rated(path, rated_ah, told_ah, capacities)
    return CycleSeries(_name(path), tuple(cycles), tuple(capacities), rated, told)


def read_kinds(*, path: Path) -> dict[str, str]:
    """Which series each cell of a table of cells belongs to, by the name of the cell."""
    return {cells["cell"]: cells["dataset"] for _, cells in _rows(path, ("cell", "dataset"))}


def _rows(
    path: Path, needed: tuple[str, ...] = ("cycle", "capacity_ah")
) -> list[tuple[int, dict[str, str]]]:
    try:
        with path.open(encoding="utf-8-sig", newline="") as stream:
            reader = csv.reader((line for line in stream if not line.startswith("#")), strict=True)
            names = [name.strip().lower() for name in next(reader, [])]
            missing = [name for name in needed if name not in names]
            if missing:
                raise ValueError(
                    f"The file has no column {', '.join(missing)}; it needs {', '.join(needed)}."
                )
            found = []
            for row, cells in enumerate(reader, start=2):
                if cells and len(cells) != len(names):
                    raise ValueError(
                        f"Row {row} has {len(cells)} columns where the header has {len(names)}."
                    )
                if cells:
                    found.append((row, dict(zip(names, map(str.strip, cells), strict=True))))
            return found
    except (UnicodeDecodeError, csv.Error):
        raise ValueError("The file is no CSV table in UTF-8.") from None
    except OSError as error:
        raise ValueError(f"The file cannot be read: {error.strerror}.") from None


def _number(text: str, row: int, column: str) -> float:
    try:
        found = float(text)
    except ValueError:
        found = math.nan
    if not math.isfinite(found):
        raise ValueError(f"Row {row}, {column}: {text[:20]!r} is no number.")
    return found


def _name(path: Path) -> str:
    return path.stem.removeprefix("battery_cell_")


def _rated(
    path: Path, given: float | None, told: float | None, capacities: list[float]
) -> tuple[float, str]:
    if given is not None:
        return given, ""
    if told is not None:
        return told, ""
    table = path.with_name("battery_cells_meta.csv")
    if table.is_file():
        for _, cells in _rows(table, ("cell", "rated_ah")):
            if cells["cell"] == _name(path):
                return float(cells["rated_ah"]), ""
    first = sorted(capacities[:_NEW_CHECKS])[len(capacities[:_NEW_CHECKS]) // 2]
    usual = min(_USUAL_AH, key=lambda rating: abs(math.log(rating / first)))
    return usual, (
        f"Rated capacity not given: taken as {usual:g} Ah, the usual rating nearest to its first "
        f"readings of {first:.2f} Ah."
    )
