"""Every test there is: `python -m tests`. What this machine cannot run is named in the last lines.

The suite runs on SQLite, then its database tests run again on PostgreSQL where one answers; tests
in a browser run where a Chromium is found. With TESTS_COMPLETE=1 anything left out is a failure.

A test that fails is run once more, alone. If it passes then it is named FLAKY in the last lines;
if it fails twice, the run has failed. The ten slowest files and the minutes of each part close it.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from tests.machine import chromium, postgres_url

# More than a few failures are no accident: nobody waits for each of them to fail again.
AGAIN_AT_MOST = 8
# Pure rooms, rules, papers and pictures do not depend on the database: they run on SQLite alone.
ON_POSTGRES = (
    *(f"tests/{room}" for room in ("bookings", "equipment", "days", "safety", "desk", "journey")),
    *("--ignore-glob", "*/rules/*"),
)

Pytest = Callable[[list[str], dict[str, str]], int]


@dataclass
class Told:
    """What the runs of one call left behind."""

    seconds: Counter[str] = field(default_factory=Counter)
    parts: dict[str, float] = field(default_factory=dict)
    flaky: list[str] = field(default_factory=list)


def main() -> int:
    complete = os.environ.get("TESTS_COMPLETE") == "1"
    left_out: list[str] = []
    browser, postgres = chromium(), postgres_url()
    if browser is None:
        left_out.append("the tests in a browser: no Chromium found (CHROMIUM names one)")
    if postgres is None:
        left_out.append("the second run on PostgreSQL: none answers (TEST_POSTGRES_URL names one)")
    marks = [] if browser else ["not browser"]
    told = Told()
    code = run("SQLite", [*marks, "not postgres"], {"DATABASE_URL": ""}, told=told)
    if code == 0 and postgres is not None:
        code = run(
            "PostgreSQL",
            ["not browser", "not once"],
            {"DATABASE_URL": postgres},
            list(ON_POSTGRES),
            told=told,
        )
    said = summary(told)
    print(said)
    # Who runs more than the tests may want to say it again at the very end.
    if file := os.environ.get("TESTS_SUMMARY"):
        Path(file).write_text(said + "\n")
    for what in left_out:
        print(f"LEFT OUT: {what}.")
    if code == 0 and left_out and complete:
        print("TESTS_COMPLETE=1 asks for everything: failed.")
        return 1
    print("Nothing was left out." if not left_out else "Everything else ran.")
    return code


def _pytest(words: list[str], environment: dict[str, str]) -> int:
    command = [sys.executable, "-m", "pytest", "-q", *words]
    return subprocess.run(command, env=os.environ | environment, check=False).returncode


def run(
    where: str,
    marks: list[str],
    environment: dict[str, str],
    places: list[str] | None = None,
    *,
    told: Told,
    pytest: Pytest = _pytest,
) -> int:
    """Run one part on all cores; what failed, once more alone. Answers the exit code."""
    print(f"--- {where}", flush=True)
    started = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="minutes-") as folder:
        file = Path(folder) / "minutes.json"
        code = pytest(
            [
                *("-p", "tests.minutes", "-n", "auto", "--dist", "loadgroup"),
                *(("-m", " and ".join(marks)) if marks else ()),
                *(places or ["tests", "--ignore", "tests/bench"]),
            ],
            environment | {"TEST_MINUTES": str(file)},
        )
        minutes = json.loads(file.read_text()) if file.exists() else {"seconds": {}, "failed": []}
    told.seconds.update(minutes["seconds"])
    failed = minutes["failed"]
    if code == 1 and 0 < len(failed) <= AGAIN_AT_MOST:
        code = _again(where, failed, environment, told, pytest)
    told.parts[where] = time.monotonic() - started
    return code


def _again(
    where: str, failed: list[str], environment: dict[str, str], told: Told, pytest: Pytest
) -> int:
    for test in failed:
        print(f"--- {where}, once more alone: {test}", flush=True)
        code = pytest([test], environment)
        if code != 0:
            return code
        told.flaky.append(f"{test} ({where})")
    return 0


def summary(told: Told) -> str:
    """Where the time went, and what cannot be relied on."""
    lines = ["--- The ten slowest files, in seconds of one worker"]
    lines += [f"{seconds:7.1f}  {name}" for name, seconds in told.seconds.most_common(10)]
    lines += ["--- Minutes"]
    lines += [f"{seconds / 60:7.1f}  {part}" for part, seconds in told.parts.items()]
    lines += [f"FLAKY: {test} failed, and passed when it ran alone." for test in told.flaky]
    return "\n".join(lines)


if __name__ == "__main__":
    sys.exit(main())
