"""Runs the project's commands: `python -m guiding help`, or `sandspike help` once installed."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, Any, NoReturn

if TYPE_CHECKING:
    from django.core.management.base import CommandParser


def main() -> None:
    """Run one command; a bad setting is told in a sentence."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "guiding.settings")
    try:
        from django.conf import settings
        from django.core.exceptions import ImproperlyConfigured
        from django.core.management import ManagementUtility
        from django.db import DatabaseError
    except ImportError:
        sys.exit("Django is not installed here: run `make .venv` and use .venv/bin/python.")
    try:
        settings.DATABASES  # noqa: B018  reads the settings, so that a bad value is told plainly
    except ImproperlyConfigured as error:
        sys.exit(f"A setting cannot be used: {error}")

    class Desk(ManagementUtility):
        """Runs a command; what it cannot read on its line is told as all else that is refused."""

        def fetch_command(self, subcommand: str) -> Any:
            command: Any = super().fetch_command(subcommand)
            make = command.create_parser

            def plain(*names: str, **options: Any) -> Any:
                parser = make(*names, **options)
                parser.error = lambda message: _refuse(parser, message)
                return parser

            command.create_parser = plain
            return command

    try:
        Desk(sys.argv).execute()
    except DatabaseError:
        sentence = _what_the_tables_lack()
        if not sentence:
            raise
        sys.stderr.write(f"{sentence}\n")
        sys.exit(1)
    except BrokenPipeError:
        # Whoever reads our output has seen enough, as `| head` has.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)


def _what_the_tables_lack() -> str:
    """One sentence when the database is away or its tables are not those of this version."""
    from django.db import DatabaseError, connection
    from django.db.migrations.executor import MigrationExecutor

    try:
        # Whatever broke may have broken the connection.
        connection.close()
        executor = MigrationExecutor(connection)
    except DatabaseError:
        return "The database does not answer: start it, or put DATABASE_URL right."
    if not executor.migration_plan(executor.loader.graph.leaf_nodes()):
        return ""
    there = "Some tables are" if executor.loader.applied_migrations else "The tables are"
    return f"{there} not there yet: run manage.py migrate."


def _refuse(parser: CommandParser, message: str) -> NoReturn:
    """One sentence and exit code 1, where argparse alone would print its usage and end with 2."""
    first, rest = message[:1].upper(), message[1:].rstrip(".")
    parser.exit(1, f"{first}{rest}; see {parser.prog} --help.\n")


if __name__ == "__main__":
    main()
