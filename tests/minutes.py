"""A plugin of the runner: what each file took and which tests failed, written down at the end.

`python -m tests` reads it, to run what failed once more alone and to print where the time went.
"""

from __future__ import annotations

import json
import os
from collections import Counter
from pathlib import Path

import pytest


class Minutes:
    """Seconds by file, over both workers, and the tests or files that failed."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self.seconds: Counter[str] = Counter()
        self.failed: dict[str, None] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.seconds[report.nodeid.split("::")[0]] += report.duration
        if report.failed:
            self.failed[report.nodeid.split("@")[0]] = None

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.failed[report.nodeid] = None

    def pytest_sessionfinish(self) -> None:
        self.file.write_text(json.dumps({"seconds": self.seconds, "failed": list(self.failed)}))


def pytest_configure(config: pytest.Config) -> None:
    """Only where the reports of all workers come together, and only when they are asked for."""
    file = os.environ.get("TEST_MINUTES", "")
    if file and not hasattr(config, "workerinput"):
        config.pluginmanager.register(Minutes(Path(file)))
