"""A real mail server on loopback that keeps what it takes over, and can refuse for a while."""

from __future__ import annotations

import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from email import message_from_bytes, policy
from email.message import EmailMessage

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session


class Server:
    """Keeps (recipient, bytes) of everything it answered 250 for."""

    def __init__(self) -> None:
        self.taken: list[tuple[str, bytes]] = []
        self.refuse_rcpt: Callable[[str], str | None] = lambda _address: None
        self.at_data: Callable[[Envelope], str | None] = lambda _envelope: None
        self.port = 0

    async def handle_RCPT(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        refusal = self.refuse_rcpt(address)
        if refusal:
            return refusal
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        refusal = self.at_data(envelope)
        if refusal:
            return refusal
        content = envelope.content
        assert isinstance(content, bytes)
        self.taken += [(address, content) for address in envelope.rcpt_tos]
        return "250 OK"

    @property
    def ids(self) -> list[str]:
        return [str(mail["Message-ID"]) for mail in self.mails]

    @property
    def mails(self) -> list[EmailMessage]:
        return [message_from_bytes(raw, policy=policy.default) for _to, raw in self.taken]  # type: ignore[misc]

    @contextmanager
    def open(self, port: int = 0) -> Iterator[Server]:
        self.port = port or free_port()
        controller = Controller(self, hostname="127.0.0.1", port=self.port)
        controller.start()
        try:
            yield self
        finally:
            controller.stop()


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])
