"""Tests talk to this machine alone: whatever reaches further is refused before it leaves."""

from __future__ import annotations

import socket
import urllib.request

import pytest
from pytest_socket import SocketConnectBlockedError

# What the guard says as it refuses is meant.
pytestmark = pytest.mark.filterwarnings("ignore:A test tried to use socket")

# Reserved for documents: nobody answers there (RFC 5737).
ELSEWHERE = ["192.0.2.1", "198.51.100.7", "203.0.113.9"]


@pytest.mark.parametrize("address", ELSEWHERE)
def test_a_connection_beyond_this_machine_is_refused(address: str) -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as line:
        line.settimeout(2)
        with pytest.raises(SocketConnectBlockedError):
            line.connect((address, 80))


def test_a_page_elsewhere_is_refused() -> None:
    with pytest.raises(SocketConnectBlockedError):
        urllib.request.urlopen("http://192.0.2.1/", timeout=2)


def test_a_connection_on_this_machine_is_allowed() -> None:
    with (
        socket.create_server(("127.0.0.1", 0)) as server,
        socket.create_connection(server.getsockname(), timeout=2) as line,
    ):
        accepted, _ = server.accept()
        with accepted:
            line.sendall(b"here")
            assert accepted.recv(4) == b"here"
