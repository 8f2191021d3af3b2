"""`manage.py worker`: keeps the watches, ends what has run out, writes and sends what is due."""

from __future__ import annotations

import argparse
import datetime
import signal
import threading
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import OperationalError, close_old_connections
from django.utils import timezone

from bookings.actions.quotes import lapse_quotes
from bookings.actions.sending import Sent, send_due
from bookings.actions.trips import release_lapsed_holds
from bookings.models import Business
from guiding.desk.actions.messages import run_scheduler
from guiding.safety.actions.watch import run_watch

_LONGEST_WAIT_S = 300


class Command(BaseCommand):
    help = (
        "Keep the watches over trips, let holds and price notes run out, write the messages that "
        "are due and send what the outbox holds, until it is stopped."
    )

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        return super().create_parser(
            prog_name,
            subcommand,
            epilog="Examples:\n  manage.py worker\n  manage.py worker --once    (from cron)",
            formatter_class=argparse.RawDescriptionHelpFormatter,
            **kwargs,
        )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--once", action="store_true", help="one round, then end")
        parser.add_argument("--every", type=float, default=15, help="seconds between rounds (15)")
        parser.add_argument(
            "--lease",
            type=int,
            default=300,
            help="seconds after which the mail of a worker that died is taken up again (300)",
        )

    def handle(self, *, once: bool, every: float, lease: int, **_: object) -> None:
        if not 0.1 <= every <= 3600 or not 1 <= lease <= 86400:
            raise CommandError("--every is 0.1 to 3600 seconds, --lease 1 to 86400.")
        if not Business.objects.exists():
            raise CommandError("There is no business yet: open the desk once, or load the demo.")
        stopped = self._stopped_by_signal()
        wait_s = every
        while True:
            result = self._round(datetime.timedelta(seconds=lease))
            if once or stopped.is_set():
                return
            # A server that is away is asked less and less often, up to every five minutes.
            wait_s = min(wait_s * 2, max(_LONGEST_WAIT_S, every)) if result.unreached else every
            if stopped.wait(wait_s):
                return

    def _stopped_by_signal(self) -> threading.Event:
        """Set by Ctrl-C and SIGTERM: the mail in hand is finished first."""
        stopped = threading.Event()
        if threading.current_thread() is threading.main_thread():
            for name in (signal.SIGINT, signal.SIGTERM):
                signal.signal(name, lambda *_: stopped.set())
        return stopped

    def _round(self, lease: datetime.timedelta) -> Sent:
        close_old_connections()
        try:
            watch = run_watch()  # first: a party that is overdue waits for no other mail
            ended = lapse_quotes(at=timezone.now()), release_lapsed_holds(at=timezone.now())
            written = run_scheduler(at=timezone.now())
            result = send_due(lease=lease)
        except OperationalError as problem:
            self.stderr.write(f"The database did not answer ({problem}); trying again.")
            return Sent(unreached="database")
        if watch.made or watch.sent:
            self.stdout.write(
                f"{timezone.now():%Y-%m-%d %H:%M:%S} watch: {watch.made} due, {watch.sent} sent, "
                f"{watch.waiting} waiting"
            )
        if any(ended):
            self.stdout.write(
                f"{timezone.now():%Y-%m-%d %H:%M:%S} ran out: {ended[0]} price notes, "
                f"{ended[1]} holds without one"
            )
        if written or result.sent or result.failed or result.unsure or result.unreached:
            self.stdout.write(
                f"{timezone.now():%Y-%m-%d %H:%M:%S} written {written}, sent {result.sent}, "
                f"failed {result.failed}, perhaps sent {result.unsure}"
                + (f"; {result.unreached}" if result.unreached else "")
            )
            self.stdout.flush()
        return result
