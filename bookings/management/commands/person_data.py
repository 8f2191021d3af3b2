"""`manage.py person_data`: everything kept of a person, in one file."""

from __future__ import annotations

import getpass
import json
import os
from pathlib import Path

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.validators import validate_email

from bookings.actions.rights import give_person_file


class Command(BaseCommand):
    help = (
        "Write everything that is kept of the person with a mail address into one JSON file that "
        "only you can read. Example: manage.py person_data maeve@example.org --out maeve.json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("email", help="mail address of the person")
        parser.add_argument("--out", required=True, metavar="FILE", help="a file that is not there")

    def handle(self, *, email: str, out: str, **_: object) -> None:
        try:
            validate_email(email)
        except ValidationError:
            raise CommandError(f"{email!r} is no mail address.") from None
        path = Path(out)
        try:
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except FileExistsError:
            raise CommandError(f"{path} is there already. Name another file.") from None
        except OSError as error:
            raise CommandError(f"{path} cannot be written ({error.strerror}).") from None
        try:
            file = give_person_file(email=email, by=f"{_user()} at the console")
        except BaseException as error:
            os.close(handle)
            path.unlink()
            if isinstance(error, ValidationError):
                raise CommandError(" ".join(error.messages)) from None
            raise
        with os.fdopen(handle, "w", encoding="utf-8") as stream:
            json.dump(file.as_json(), stream, ensure_ascii=False, indent=2)
            stream.write("\n")
        self.stdout.write(f"{path}  {file.rows} rows from {len(file.tables)} tables")


def _user() -> str:
    try:
        return getpass.getuser()
    except (KeyError, OSError):  # a user without a name
        return "somebody"
