"""`manage.py serve`: the desk on this machine, without another server to set up."""

from __future__ import annotations

import json
import socket

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.wsgi import get_wsgi_application
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from waitress.server import create_server

from bookings.models import Business


class Command(BaseCommand):
    help = (
        "Open the desk on this machine; end it with Ctrl-C. "
        "Example: manage.py serve --address 127.0.0.1:8000"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--address", default="127.0.0.1:8000", help="host:port")
        parser.add_argument("--threads", type=int, default=8)

    def handle(self, *, address: str, threads: int, **_: object) -> None:
        host, _colon, port = address.rpartition(":")
        if not host or not port.isdigit():
            raise CommandError(f"--address {address!r} is not host:port, such as 127.0.0.1:8000.")
        if not _migrated():
            raise CommandError("The tables are not there yet: run manage.py migrate.")
        try:
            server = create_server(
                get_wsgi_application(), host=host, port=int(port), threads=threads
            )
        except (OSError, socket.gaierror) as error:
            raise CommandError(
                f"The desk cannot be opened on {address} ({error.strerror}). Is it open already? "
                "Choose another port with --address."
            ) from None
        self._tell(address)
        try:
            server.run()
        except KeyboardInterrupt:
            self.stdout.write("The desk is closed.")
        finally:
            server.close()

    def _tell(self, address: str) -> None:
        business = Business.objects.first()
        self.stdout.write(f"The desk is open on http://{address}")
        if business is None:
            self.stdout.write("It asks for the business and the first login.")
        elif business.is_demo:
            login = _demo_login()
            self.stdout.write(f"Demo login: {login['email']} with the password {login['password']}")
        self.stdout.flush()


def _demo_login() -> dict[str, str]:
    season = json.loads((settings.FIXTURES_DIR / "demo" / "season.json").read_text("utf-8"))
    login: dict[str, str] = season["login"]
    return login


def _migrated() -> bool:
    executor = MigrationExecutor(connection)
    return not executor.migration_plan(executor.loader.graph.leaf_nodes())
