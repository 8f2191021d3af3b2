"""Questions about mails: what waits, what went wrong, what a party was told."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from bookings.models import Message, SchedulerRun, WorkerRound

_LATE = datetime.timedelta(minutes=15)
# [house] A worker whose mail server is away asks every five minutes, and a round takes its time.
ROUNDS_LATE = datetime.timedelta(minutes=15)


@dataclass(frozen=True, slots=True)
class MailState:
    """What Today says about mail."""

    dead: list[Message]
    unsure: list[Message]
    waiting: int
    late: int
    last_run: SchedulerRun | None
    last_round_at: datetime.datetime | None
    stands_still: bool
    round_problem: str

    @property
    def troubled(self) -> list[Message]:
        return [*self.unsure, *self.dead]

    @property
    def wrong(self) -> int:
        """How many mails and rounds the panel speaks of."""
        problems = len(self.last_run.problems) if self.last_run else 0
        return len(self.troubled) + problems + self.late


def mail_state(*, at: datetime.datetime) -> MailState:
    """As of `at`: what was not delivered or perhaps not, what waits, when we last looked."""
    light = Message.objects.defer("mail", "body").select_related("party__client", "trip__offer")
    counts = Message.objects.filter(state__in=Message.WAITING).aggregate(
        waiting=Count("pk"), late=Count("pk", filter=Q(due_at__lte=at - _LATE))
    )
    last = last_round()
    ended_at = last.ended_at if last else None
    # A desk that was opened a moment ago is on its first round.
    going = last is not None and last.held_until is not None and last.held_until > at
    return MailState(
        dead=list(light.filter(state=Message.State.DEAD)[:20]),
        unsure=list(light.filter(state=Message.State.UNSURE)[:20]),
        waiting=counts["waiting"],
        late=counts["late"],
        last_run=SchedulerRun.objects.first(),
        last_round_at=ended_at,
        stands_still=not going and (ended_at is None or ended_at < at - ROUNDS_LATE),
        round_problem=last.problem if last else "",
    )


def last_round() -> WorkerRound | None:
    """How the worker's last round went; None before the first."""
    return WorkerRound.objects.first()


def messages_by_state(state: str = "") -> QuerySet[Message]:
    """The newest first; of one state, or of all."""
    found = Message.objects.defer("mail", "body").select_related("party__client", "trip__offer")
    return found.filter(state=state) if state else found


def messages_of_party(party_pk: int) -> QuerySet[Message]:
    return messages_by_state().filter(party_id=party_pk)
