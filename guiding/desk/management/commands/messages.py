"""`manage.py messages`: what is due to be told, and what became of what was."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.serializers.json import DjangoJSONEncoder
from django.utils import timezone

from bookings.models import Business, Message
from bookings.queries.outbox import messages_by_state
from guiding.desk.actions.answers import take_mailbox
from guiding.desk.actions.invites import take_answer
from guiding.desk.queries.due_messages import due_messages


class Command(BaseCommand):
    help = "List the messages that are due, or those of the outbox; read an answer to an invite."

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        return super().create_parser(
            prog_name,
            subcommand,
            epilog="Examples:\n  manage.py messages --due --json\n"
            "  manage.py messages --state dead\n  manage.py messages --answer reply.eml\n"
            "  manage.py messages --mailbox ~/Maildir",
            formatter_class=argparse.RawDescriptionHelpFormatter,
            **kwargs,
        )

    def add_arguments(self, parser: CommandParser) -> None:
        which = parser.add_mutually_exclusive_group(required=True)
        which.add_argument("--due", action="store_true", help="what the rules want told now")
        which.add_argument("--state", choices=["all", *Message.State.values], help="of the outbox")
        which.add_argument("--answer", metavar="FILE", help="a mail that answers an invitation")
        which.add_argument(
            "--mailbox", metavar="PATH", help="read every answer in a Maildir folder or mbox file"
        )
        parser.add_argument("--json", action="store_true", help="print facts for another program")

    def handle(
        self,
        *,
        due: bool,
        state: str | None,
        answer: str | None,
        mailbox: str | None,
        json: bool,
        **_: object,
    ) -> None:
        if not Business.objects.exists():
            raise CommandError("There is no business yet: open the desk once, or load the demo.")
        if answer is not None:
            facts = [self._answer(Path(answer))]
        elif mailbox is not None:
            facts = self._mailbox(Path(mailbox))
        else:
            facts = _due() if due else _outbox("" if state == "all" else state or "")
        if json:
            self._print_json(facts)
            return
        for fact in facts:
            self.stdout.write("  ".join(str(value) for value in fact.values() if value is not None))
        if mailbox:
            self.stdout.write(f"{len(facts)} read")
        elif not answer:
            self.stdout.write(f"{len(facts)} {'due' if due else 'in the outbox'}")

    def _print_json(self, facts: object) -> None:
        self.stdout.write(json.dumps(facts, cls=DjangoJSONEncoder, indent=2, ensure_ascii=False))

    def _mailbox(self, path: Path) -> list[dict[str, object]]:
        try:
            found = list(take_mailbox(path=path, at=timezone.now()))
        except OSError as problem:
            raise CommandError(
                f"{path} is no mailbox that can be read ({problem.strerror})."
            ) from None
        return [{"mail": subject, "outcome": outcome} for subject, outcome in found]

    def _answer(self, file: Path) -> dict[str, object]:
        try:
            row = take_answer(mail=file.read_bytes(), at=timezone.now())
        except OSError as problem:
            raise CommandError(f"{file} cannot be read ({problem.strerror}).") from None
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages)) from None
        return {"trip": row.trip_id, "mail": row.mail, "answer": row.get_answer_display()}


def _due() -> list[dict[str, object]]:
    return [
        {
            "kind": one.kind,
            "what": one.what,
            "cause": one.cause or None,
            "trip": one.trip_pk,
            "event_at": one.event_at,
            "send_at": one.send_at,
        }
        for one in due_messages(at=timezone.now())
    ]


def _outbox(state: str) -> list[dict[str, object]]:
    return [
        {
            "number": row.pk,
            "kind": row.kind,
            "to": row.to_mail,
            "subject": row.subject,
            "state": row.state,
            "due_at": row.due_at,
            "sent_at": row.sent_at,
            "attempts": row.attempts,
            "last_error": row.last_error or None,
            "enclosed": [one["name"] for one in row.enclosed],
        }
        for row in messages_by_state(state)
    ]
