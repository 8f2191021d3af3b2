"""Runs a command as the shell does, in this process: its exit code, its words, its complaint."""

from __future__ import annotations

import contextlib
import io
import json
import sys
from dataclasses import dataclass
from typing import Any
from unittest.mock import patch

from django.db import connections

from guiding.__main__ import main


@dataclass(frozen=True, slots=True)
class Done:
    """What came of a command."""

    code: int
    out: str
    err: str

    @property
    def facts(self) -> Any:
        """What `--json` printed."""
        return json.loads(self.out)

    @property
    def refused(self) -> bool:
        """Exit code 1 with one sentence and nothing else."""
        lines = self.err.strip().splitlines()
        return self.code == 1 and len(lines) == 1 and lines[0].rstrip().endswith((".", "?"))


def manage(*words: str) -> Done:
    """`manage.py WORDS…`; the database stays open for the test that asks."""
    out, err = io.StringIO(), io.StringIO()
    code: Any = 0
    with (
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        patch.object(connections, "close_all"),
        patch.object(sys, "argv", ["manage.py", *words]),
    ):
        try:
            main()
        except SystemExit as ended:
            code = ended.code or 0
    return Done(int(code), out.getvalue(), err.getvalue())
