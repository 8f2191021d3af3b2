"""The runner itself: what fails by chance is named, what fails twice fails, and time is told."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.__main__ import AGAIN_AT_MOST, Told, run, summary

ROOT = Path(__file__).resolve().parent.parent
# Fails until a file lies beside it: the first time by chance, so to say.
_CHANCE = """
from pathlib import Path
def test_by_chance():
    been = Path(__file__).with_name("been")
    there = been.exists()
    been.touch()
    assert there
def test_always():
    assert True
"""


class Made:
    """A folder with one made file of tests, run for real and without this project's settings."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.calls = folder, 0
        (folder / "pytest.ini").write_text("[pytest]\n")

    def pytest(self, words: list[str], environment: dict[str, str]) -> int:
        self.calls += 1
        plugin = ["-p", "tests.minutes"] if "tests.minutes" in words else []
        return subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *plugin, words[-1]],
            env=os.environ
            | environment
            | {"PYTHONPATH": str(ROOT), "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"},
            cwd=self.folder,
            capture_output=True,
            check=False,
        ).returncode

    def run(self, code: str) -> tuple[int, Told]:
        (self.folder / "test_made.py").write_text(code)
        told = Told()
        return run("SQLite", [], {}, ["test_made.py"], told=told, pytest=self.pytest), told


@pytest.fixture
def made(tmp_path: Path) -> Made:
    return Made(tmp_path)


def test_a_test_that_fails_by_chance_is_named_and_does_not_fail_the_run(made: Made) -> None:
    code, told = made.run(_CHANCE)
    assert code == 0
    said = summary(told)
    assert "FLAKY: test_made.py::test_by_chance (SQLite) failed, and passed" in said
    assert "test_always" not in said.split("FLAKY")[1]


def test_a_test_that_fails_twice_fails_the_run(made: Made) -> None:
    code, told = made.run("def test_wrong():\n    assert False\n")
    assert code == 1
    assert made.calls == 2
    assert told.flaky == []


def test_many_failures_are_not_tried_again(made: Made) -> None:
    code, told = made.run(
        "".join(f"def test_{n}():\n    assert False\n" for n in range(AGAIN_AT_MOST + 1))
    )
    assert code == 1
    assert made.calls == 1
    assert told.flaky == []


def test_a_file_that_cannot_be_read_fails_the_run(made: Made) -> None:
    code, told = made.run("import nothing_of_this_name\n")
    assert code != 0
    assert told.flaky == []


def test_the_slowest_files_and_the_minutes_of_each_part_are_told(made: Made) -> None:
    _, told = made.run("def test_right():\n    assert True\n")
    assert list(told.seconds) == ["test_made.py"]
    told.seconds.update({f"tests/test_{n}.py": 60 + n for n in range(11)})
    slow, minutes = summary(told).split("--- Minutes")
    assert [line.split()[1] for line in slow.splitlines() if ".py" in line] == [
        f"tests/test_{n}.py" for n in range(10, 0, -1)
    ]
    assert minutes.split()[1] == "SQLite"
