"""`manage.py serve`: the desk on this machine, without another server to set up."""

from __future__ import annotations

import json
import signal
import socket
import threading
from collections.abc import Callable
from types import FrameType
from typing import NoReturn

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.wsgi import get_wsgi_application
from django.db import connections
from waitress.server import create_server
from waitress.task import ThreadedTaskDispatcher

from bookings.models import Business
from guiding.desk.actions.rounds import Rounds
from guiding.desk.queries.healthy import missing_migrations

_LAST_MAIL_S = 30  # for the mail in hand, when the desk is closed


class Command(BaseCommand):
    help = (
        "Open the desk on this machine; end it with Ctrl-C. What should run by itself runs in it. "
        "Example: manage.py serve --address 127.0.0.1:8000"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--address", default="127.0.0.1:8000", help="host:port")
        parser.add_argument("--threads", type=int, default=8)
        parser.add_argument(
            "--no-worker",
            action="store_true",
            help="pages only: messages, watches and holds are left to a worker of their own",
        )
        parser.add_argument(
            "--every", type=float, default=15, help="seconds between the worker's rounds (15)"
        )

    def handle(
        self, *, address: str, threads: int, no_worker: bool, every: float, **_: object
    ) -> None:
        host, _colon, port = address.rpartition(":")
        if not host or not port.isdigit():
            raise CommandError(f"--address {address!r} is not host:port, such as 127.0.0.1:8000.")
        if threads < 1 or not 0.1 <= every <= 3600:
            raise CommandError("--threads is 1 or more, --every 0.1 to 3600 seconds.")
        if missing_migrations():
            raise CommandError(f"The tables are not there yet: run {settings.PROGRAM} migrate.")
        dispatcher = _Threads()
        try:
            server = create_server(
                get_wsgi_application(),
                host=host,
                port=int(port),
                # Whose word counts, ProxyMiddleware decides, for every server alike.
                clear_untrusted_proxy_headers=False,
                _dispatcher=dispatcher,
            )
        except (OSError, socket.gaierror) as error:
            raise CommandError(
                f"The desk cannot be opened on {address} ({error.strerror}). Is it open already? "
                "Choose another port with --address."
            ) from None
        dispatcher.set_thread_count(threads)
        self._tell_where(address)
        connections.close_all()  # this thread asks nothing any more
        if threading.current_thread() is threading.main_thread():
            signal.signal(signal.SIGTERM, _end)
        rounds = Rounds(tell=self._say, every_s=every)
        beside = None if no_worker else rounds.keep_beside()
        try:
            server.run()  # until Ctrl-C or SIGTERM; what is being answered is finished first
        finally:
            rounds.stopped.set()
            server.close()
            if beside:
                beside.join(_LAST_MAIL_S)
            connections.close_all()
        self._say("The desk is closed.")

    def _tell_where(self, address: str) -> None:
        business = Business.objects.first()
        self.stdout.write(f"The desk is open on http://{address}")
        self.stdout.write(f"Database, key and files lie in {settings.DATA_DIR}")
        if settings.SECURE_SSL_REDIRECT and not settings.TRUSTED_PROXIES:
            self.stdout.write(
                "SANDSPIKE_URL is https, and no proxy is trusted: name the one that ends TLS in "
                "TRUSTED_PROXY, or every page leads to itself."
            )
        if business is None:
            self.stdout.write("It asks for the business and the first login.")
        elif business.is_demo:
            login = _demo_login()
            self.stdout.write(f"Demo login: {login['email']} with the password {login['password']}")
        self.stdout.flush()

    def _say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()


class _Threads(ThreadedTaskDispatcher):
    """The server's threads, each of which closes its own connection when it ends."""

    def __init__(self) -> None:
        super().__init__()
        self._started: list[threading.Thread] = []
        self._leaving = threading.Lock()

    def start_new_thread(self, target: Callable[[int], None], thread_no: int) -> None:
        def run() -> None:
            try:
                target(thread_no)
            finally:
                # One after the other: of two that leave an SQLite file at once, neither tidies up.
                with self._leaving:
                    connections.close_all()

        thread = threading.Thread(target=run, name=f"pages-{thread_no}", daemon=True)
        self._started.append(thread)
        thread.start()

    def shutdown(self, cancel_pending: bool = True, timeout: float = 5) -> bool:
        ended: bool = super().shutdown(cancel_pending, timeout)
        for thread in self._started:
            thread.join(timeout)
        return ended


def _end(_number: int, _frame: FrameType | None) -> NoReturn:
    raise SystemExit


def _demo_login() -> dict[str, str]:
    season = json.loads((settings.FIXTURES_DIR / "demo" / "season.json").read_text("utf-8"))
    login: dict[str, str] = season["login"]
    return login
