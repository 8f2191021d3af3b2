"""The worker's rounds: watches kept, what has run out ended, messages written and sent.

`serve` keeps them beside its pages and `worker` alone, in as many processes as there are.
"""

from __future__ import annotations

import datetime
import logging
import threading
import traceback
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from django.db import Error, OperationalError, close_old_connections, connections
from django.utils import timezone

from bookings.actions.outbox import LEASE
from bookings.actions.quotes import lapse_quotes
from bookings.actions.rounds import claim_round, end_round
from bookings.actions.sending import Sent, send_due
from bookings.actions.trips import release_lapsed_holds
from bookings.models import Business
from guiding.desk.actions.messages import run_scheduler
from guiding.safety.actions.watch import WatchRun, run_watch

logger = logging.getLogger(__name__)
_LONGEST_WAIT_S = 300
_TURN = datetime.timedelta(seconds=60)  # renewed as a round goes on; a dead holder's runs out
_AT_ONCE = 20  # mails over one connection; then the lease is renewed and a stop is heard


@dataclass(slots=True)
class Round:
    """What one round did; `skipped` when another process was on its own."""

    watch: WatchRun = field(default_factory=lambda: WatchRun(0, 0, 0, 0))
    quotes_lapsed: int = 0
    holds_released: int = 0
    written: int = 0
    mail: Sent = field(default_factory=Sent)
    skipped: bool = False
    problem: str = ""

    def lines(self) -> Iterator[str]:
        """One line for each thing that was done; none when there was nothing to do."""
        watch, mail = self.watch, self.mail
        if watch.made or watch.sent:
            yield f"watch: {watch.made} due, {watch.sent} sent, {watch.waiting} waiting"
        if self.quotes_lapsed or self.holds_released:
            yield (
                f"ran out: {self.quotes_lapsed} price notes, "
                f"{self.holds_released} holds without one"
            )
        if self.written or mail.sent or mail.failed or mail.unsure or mail.unreached:
            yield (
                f"written {self.written}, sent {mail.sent}, failed {mail.failed}, "
                f"perhaps sent {mail.unsure}" + (f"; {mail.unreached}" if mail.unreached else "")
            )


@contextmanager
def _noted(done: Round) -> Iterator[None]:
    """Lets the rest of a round go on when one part of it breaks, unless the database is away."""
    try:
        yield
    except BaseException as problem:
        done.problem = type(problem).__name__
        if isinstance(problem, OperationalError) or not isinstance(problem, Exception):
            raise
        # Where it broke, never the values that it broke on: those may be a person's own.
        where = traceback.extract_tb(problem.__traceback__)[-1]
        words = "A round broke off: %s in %s:%s"
        logger.error(words, done.problem, where.filename, where.lineno)


class Rounds:
    """The rounds of one process, one after the other, until they are stopped."""

    def __init__(
        self,
        *,
        tell: Callable[[str], None],
        every_s: float = 15,
        lease: datetime.timedelta = LEASE,
    ) -> None:
        self.holder = uuid.uuid4().hex
        self.tell, self.every_s, self.lease = tell, every_s, lease
        self.stopped = threading.Event()

    def keep(self) -> None:
        """Go round until `stopped`; what breaks one round off is told, and the next one begins."""
        wait_s = self.every_s
        while not self.stopped.is_set():
            unreached = self.once()
            # A server that is away is asked less and less often, up to every five minutes.
            longest_s = max(_LONGEST_WAIT_S, self.every_s)
            wait_s = min(wait_s * 2, longest_s) if unreached else self.every_s
            self.stopped.wait(wait_s)

    def keep_beside(self) -> threading.Thread:
        """`keep` in a thread of its own, which leaves no connection behind."""

        def keep() -> None:
            try:
                self.keep()
            finally:
                connections.close_all()

        beside = threading.Thread(target=keep, name="rounds", daemon=True)
        beside.start()
        return beside

    def once(self) -> bool:
        """One round, told; whether there is cause to wait longer before the next."""
        try:
            done = self.go()
        except OperationalError as problem:
            self.tell(f"The database did not answer ({problem}); trying again.")
            return True
        for line in done.lines():
            self.tell(f"{timezone.now():%Y-%m-%d %H:%M:%S} {line}")
        return bool(done.mail.unreached)

    def go(self) -> Round:
        """One round. The watch comes first and waits for nobody's turn; what breaks is noted.

        Raises OperationalError when the database does not answer.
        """
        close_old_connections()
        done = Round()
        with _noted(done):
            done.watch = run_watch()
        if not self._our_turn():
            done.skipped = True
            return done
        try:
            with _noted(done):
                if Business.objects.exists():
                    self._turn(done)
        finally:
            self._end(done.problem)
        return done

    def _turn(self, done: Round) -> None:
        done.quotes_lapsed = lapse_quotes(at=timezone.now())
        done.holds_released = release_lapsed_holds(at=timezone.now())
        done.written = run_scheduler(at=timezone.now())
        while not self.stopped.is_set() and self._our_turn():
            some = send_due(lease=self.lease, most=_AT_ONCE)
            done.mail.add(some)
            if some.unreached or some.sent + some.failed < _AT_ONCE:
                return

    def _our_turn(self) -> bool:
        turn = min(_TURN, self.lease)
        return claim_round(holder=self.holder, at=timezone.now(), lease=turn)

    def _end(self, problem: str) -> None:
        try:
            end_round(holder=self.holder, at=timezone.now(), problem=problem)
        except Error:
            logger.warning("The turn could not be given back; others wait until it runs out.")
