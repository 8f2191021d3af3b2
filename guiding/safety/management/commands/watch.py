"""`manage.py watch`: looks at the clock once; a scheduler runs it every five minutes."""

from __future__ import annotations

from django.core.management.base import BaseCommand

from guiding.safety.actions.watch import run_watch


class Command(BaseCommand):
    help = (
        "Tell shore contacts what is due: the card before a trip, overdue, overdue again, home. "
        "Have a scheduler run it every five minutes; while it does not run nobody is told "
        "anything. It is no rescue service. Example: manage.py watch"
    )

    def handle(self, **_: object) -> None:
        run = run_watch()
        self.stdout.write(
            f"{run.set} watches set, {run.made} messages due, {run.sent} sent, "
            f"{run.waiting} waiting for the mail server."
        )
