"""A weather service on this machine that says what a test tells it to say."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any


@dataclass
class Reply:
    """What the service answers: a status, a body, headers, and how slowly."""

    body: bytes = b"{}"
    status: int = 200
    headers: dict[str, str] = field(default_factory=dict)
    wait_s: float = 0.0
    drip_s: float = 0.0
    length: int | None = None


class WeatherServer:
    """Answers every path that begins with a key of `replies`; keeps what it was asked."""

    def __init__(self, address: str) -> None:
        self.address = address
        self.replies: dict[str, Reply] = {}
        self.asked: list[tuple[str, dict[str, str]]] = []

    def url(self, path: str) -> str:
        return f"{self.address}{path}?lat={{latitude}}&lon={{longitude}}"


@contextmanager
def weather_server() -> Iterator[WeatherServer]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            server.asked.append((self.path, dict(self.headers)))
            path = self.path.split("?")[0]
            _say(self, server.replies.get(path) or Reply(status=404))

        def log_message(self, *_: Any) -> None:
            pass

    line = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    line.daemon_threads = True
    server = WeatherServer(f"http://127.0.0.1:{line.server_port}")
    thread = threading.Thread(target=line.serve_forever, daemon=True)
    thread.start()
    try:
        yield server
    finally:
        line.shutdown()
        line.server_close()


def _say(handler: BaseHTTPRequestHandler, reply: Reply) -> None:
    time.sleep(reply.wait_s)
    try:
        handler.send_response(reply.status)
        for name, value in reply.headers.items():
            handler.send_header(name, value)
        if reply.status != 304:
            length = len(reply.body) if reply.length is None else reply.length
            handler.send_header("Content-Length", str(length))
        handler.end_headers()
        if reply.drip_s:
            for byte in reply.body:
                handler.wfile.write(bytes([byte]))
                handler.wfile.flush()
                time.sleep(reply.drip_s)
        else:
            handler.wfile.write(reply.body)
    except OSError:
        pass  # whoever asked has gone
