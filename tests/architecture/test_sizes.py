"""Sizes that keep the code readable, and rooms that are not to be."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.architecture.houses import ROOT

HOUSES = ("guiding", "bookings", "equipment", "tests")
FILES = sorted(
    path
    for house in HOUSES
    for path in (ROOT / house).rglob("*.py")
    if "migrations" not in path.parts
)
MOST_LINES = 400
MOST_LINES_OF_MOST_FUNCTIONS = 40  # of 95 in a hundred


def _lengths(path: Path) -> list[int]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [
        (node.end_lineno or node.lineno) - node.lineno + 1
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]


def test_no_file_outgrows_its_subject() -> None:
    lines = {
        str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines())
        for path in FILES
        if not path.is_relative_to(ROOT / "tests")  # lists of cases may be long
    }
    assert len(lines) > 150
    assert {name: count for name, count in lines.items() if count > MOST_LINES} == {}


@pytest.mark.parametrize("house", HOUSES)
def test_functions_stay_short(house: str) -> None:
    lengths = sorted(
        length for path in FILES if path.is_relative_to(ROOT / house) for length in _lengths(path)
    )
    assert lengths[int(0.95 * len(lengths))] <= MOST_LINES_OF_MOST_FUNCTIONS


def test_nothing_lives_in_a_room_for_everything() -> None:
    drawers = {"utils", "util", "common", "helpers", "misc", "signals"}
    assert [str(path) for path in FILES if drawers & {path.stem, path.parent.name}] == []


def test_no_table_hides_logic_in_save() -> None:
    hidden = [
        f"{path.relative_to(ROOT)}: {node.name}"
        for path in FILES
        if "models" in path.parts and "tests" not in path.parts
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef) and node.name in {"save", "delete"}
    ]
    assert hidden == []
