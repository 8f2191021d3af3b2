"""The steps of a watch: what is told to whom, and when it is due."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum


class Step(StrEnum):
    """What is told, in the order in which it falls due; 'moved' at every change."""

    ASKED = "asked"
    CARD = "card"
    MOVED = "moved"
    REMINDER = "reminder"
    OVERDUE = "overdue"
    AGAIN = "again"
    HOME = "home"
    OFF = "off"


# Whoever had one of these knows of the day and whom to wait for.
KNOWS = (Step.ASKED, Step.CARD, Step.MOVED)
CARD_BEFORE = timedelta(hours=18)  # [house] the evening before an early start
REMINDER_BEFORE = timedelta(minutes=45)  # [house]
AGAIN_AFTER = timedelta(minutes=30)  # [house]
LATE_AFTER = timedelta(minutes=10)  # [house] a scheduler that runs every five minutes is in time


@dataclass(frozen=True, slots=True)
class WatchTimes:
    """A watch as a clock sees it; `home_at` is None while nobody has said they are home.

    Its contact is asked at `set_at`, unless the card is due by now and says it all.
    """

    starts_at: datetime
    overdue_at: datetime
    home_at: datetime | None = None
    set_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class DueStep:
    """A step and when it fell due."""

    step: Step
    due_at: datetime


def watch_steps_due(times: WatchTimes, told: tuple[Step, ...], at: datetime) -> tuple[DueStep, ...]:
    """The steps of a watch that are due at an instant and have not been made yet.

    Once home is recorded nobody is told of an overdue party any more; a contact who was told of
    it hears that they are home. `told` are the steps made before. Source: house rule.
    """
    card_at = times.starts_at - CARD_BEFORE
    set_at = times.set_at or card_at
    planned = [
        *([DueStep(Step.ASKED, set_at)] if set_at < card_at and at < card_at else []),
        DueStep(Step.CARD, max(card_at, set_at)),
        DueStep(Step.REMINDER, times.overdue_at - REMINDER_BEFORE),
        DueStep(Step.OVERDUE, times.overdue_at),
        DueStep(Step.AGAIN, times.overdue_at + AGAIN_AFTER),
    ]
    if times.home_at is not None:
        worried = {Step.OVERDUE, Step.AGAIN} & set(told)
        planned = [DueStep(Step.HOME, times.home_at)] if worried else []
    return tuple(one for one in planned if one.due_at <= at and one.step not in told)


def sent_late(due_at: datetime, sent_at: datetime) -> bool:
    """Whether a message went out later than ten minutes after it was due. Source: house rule."""
    return sent_at - due_at > LATE_AFTER


def is_running(starts_at: datetime, over: bool, at: datetime) -> bool:
    """Whether a watch runs: they may be out and nobody has said that they are home.

    It ends by 'everybody is home' alone, whatever becomes of the trip. Source: house rule.
    """
    return not over and starts_at <= at
