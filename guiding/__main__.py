"""Runs the project's commands: `python -m guiding help`, or `sandspike help` once installed."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, Any, NoReturn

from guiding import __version__

if TYPE_CHECKING:
    from django.core.management.base import CommandParser


def main() -> None:
    """Run one command; a bad setting is told in a sentence."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "guiding.settings")
    words = sys.argv[1:]
    if words in (["--version"], ["version"]):
        print(f"sandspike {__version__}")
        return
    try:
        from django.conf import settings
        from django.core.exceptions import ImproperlyConfigured
        from django.db import DatabaseError

        from guiding.places import PROGRAM, make_places
    except ImportError:
        sys.exit("Django is not installed here: run `make .venv` and use .venv/bin/python.")
    try:
        if not _only_tells(words):
            make_places()
        settings.DATABASES  # noqa: B018  reads the settings, so that a bad value is told plainly
    except ImproperlyConfigured as error:
        sys.exit(f"A setting cannot be used: {error}")
    try:
        _desk()([PROGRAM, *words]).execute()
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


def _only_tells(words: list[str]) -> bool:
    """Whether help is all that is asked for: then nothing is made."""
    return not words or words[0] == "help" or bool({"--help", "-h", "--version"} & set(words))


def _desk() -> Any:
    """Django's runner of commands, with our name, our version and our way to refuse."""
    from django.conf import settings
    from django.core.management import ManagementUtility

    class Desk(ManagementUtility):
        def main_help_text(self, commands_only: bool = False) -> str:
            text: str = super().main_help_text(commands_only)
            where = f"\nDatabase, key and files of this desk lie in {settings.DATA_DIR}\n"
            return text if commands_only else where + text

        def fetch_command(self, subcommand: str) -> Any:
            command: Any = super().fetch_command(subcommand)
            make = command.create_parser
            command.get_version = lambda: f"sandspike {__version__}"

            def plain(*names: str, **options: Any) -> Any:
                parser = make(*names, **options)
                for part in ("description", "epilog"):
                    told = getattr(parser, part) or ""
                    setattr(parser, part, told.replace("manage.py", settings.PROGRAM))
                parser.error = lambda message: _refuse(parser, message)
                return parser

            command.create_parser = plain
            return command

    return Desk


def _what_the_tables_lack() -> str:
    """One sentence when the database is away or its tables are not those of this version."""
    from django.conf import settings
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
    return f"{there} not there yet: run {settings.PROGRAM} migrate."


def _refuse(parser: CommandParser, message: str) -> NoReturn:
    """One sentence and exit code 1, where argparse alone would print its usage and end with 2."""
    first, rest = message[:1].upper(), message[1:].rstrip(".")
    parser.exit(1, f"{first}{rest}; see {parser.prog} --help.\n")


if __name__ == "__main__":
    main()
