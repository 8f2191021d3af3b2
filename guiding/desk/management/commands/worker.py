"""`manage.py worker`: keeps the watches, ends what has run out, writes and sends what is due."""

from __future__ import annotations

import argparse
import datetime
import signal
import threading
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from bookings.models import Business
from guiding.desk.actions.rounds import Rounds


class Command(BaseCommand):
    help = (
        "Keep the watches over trips, let holds and price notes run out, write the messages that "
        "are due and send what the outbox holds, until it is stopped. An open desk does this by "
        "itself; several share the work."
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
            help="seconds after which the work of a worker that died is taken up again (300)",
        )

    def handle(self, *, once: bool, every: float, lease: int, **_: object) -> None:
        if not 0.1 <= every <= 3600 or not 1 <= lease <= 86400:
            raise CommandError("--every is 0.1 to 3600 seconds, --lease 1 to 86400.")
        if not Business.objects.exists():
            raise CommandError("There is no business yet: open the desk once, or load the demo.")
        rounds = Rounds(tell=self._tell, every_s=every, lease=datetime.timedelta(seconds=lease))
        self._stop_by_signal(rounds)
        if once:
            rounds.once()
        else:
            rounds.keep()

    def _stop_by_signal(self, rounds: Rounds) -> None:
        """Ctrl-C and SIGTERM: the mail in hand is finished first."""
        if threading.current_thread() is threading.main_thread():
            for name in (signal.SIGINT, signal.SIGTERM):
                signal.signal(name, lambda *_: rounds.stopped.set())

    def _tell(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()
