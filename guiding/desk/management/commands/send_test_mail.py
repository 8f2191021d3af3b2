"""`manage.py send_test_mail`: whether the mail settings work, with a real connection."""

from __future__ import annotations

import argparse
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from bookings.actions.sending import send_one
from bookings.models import Business, Message
from guiding.desk.actions.telling import send_test_mail


class Command(BaseCommand):
    help = "Send a mail to an address now and say what the mail server answered."

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        return super().create_parser(
            prog_name,
            subcommand,
            epilog="Example:\n  manage.py send_test_mail orla@marramhead.example",
            formatter_class=argparse.RawDescriptionHelpFormatter,
            **kwargs,
        )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("address", help="who gets it")

    def handle(self, *, address: str, **_: object) -> None:
        if not Business.objects.exists():
            raise CommandError("There is no business yet: open the desk once, or load the demo.")
        try:
            row = send_one(message=send_test_mail(address=address, at=timezone.now()))
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages)) from None
        if row.state != Message.State.SENT:
            raise CommandError(f"The mail was not sent. {row.last_error}")
        self.stdout.write(f"The mail server took the mail to {address}.")
