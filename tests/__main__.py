"""Every test there is: `python -m tests`. What this machine cannot run is named in the last lines.

The suite runs on SQLite, then its database tests run again on PostgreSQL where one answers; tests
in a browser run where a Chromium is found. With TESTS_COMPLETE=1 anything left out is a failure.
"""

from __future__ import annotations

import os
import subprocess
import sys

from tests.machine import chromium, postgres_url


def main() -> int:
    complete = os.environ.get("TESTS_COMPLETE") == "1"
    left_out: list[str] = []
    browser, postgres = chromium(), postgres_url()
    if browser is None:
        left_out.append("the tests in a browser: no Chromium found (CHROMIUM names one)")
    if postgres is None:
        left_out.append("the second run on PostgreSQL: none answers (TEST_POSTGRES_URL names one)")
    marks = [] if browser else ["not browser"]
    code = _pytest("SQLite", [*marks, "not postgres"], os.environ | {"DATABASE_URL": ""})
    if code == 0 and postgres is not None:
        # Pure rooms, rules, papers and pictures do not depend on the database: they ran above.
        rooms = ("bookings", "equipment", "days", "safety", "desk", "journey")
        places = [f"tests/{room}" for room in rooms] + ["--ignore-glob", "*/rules/*"]
        code = _pytest(
            "PostgreSQL",
            ["not browser", "not once"],
            os.environ | {"DATABASE_URL": postgres},
            places,
        )
    for what in left_out:
        print(f"LEFT OUT: {what}.")
    if code == 0 and left_out and complete:
        print("TESTS_COMPLETE=1 asks for everything: failed.")
        return 1
    print("Nothing was left out." if not left_out else "Everything else ran.")
    return code


def _pytest(
    where: str, marks: list[str], environment: dict[str, str], places: list[str] | None = None
) -> int:
    print(f"--- {where}", flush=True)
    command = [sys.executable, "-m", "pytest", "-q", "-n", "auto", "--dist", "loadgroup"]
    if marks:
        command += ["-m", " and ".join(marks)]
    command += places or ["tests", "--ignore", "tests/bench"]
    return subprocess.run(command, env=environment, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
