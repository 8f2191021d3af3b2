"""Whose word counts: the proxy's that is named, and nobody else's."""

from __future__ import annotations

import ipaddress
from typing import Any

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory

from guiding.desk.views.proxy import ProxyMiddleware

NAMED = [ipaddress.ip_network("192.0.2.1"), ipaddress.ip_network("198.51.100.0/24")]


def seen(settings: Any, sender: str, **headers: str) -> HttpRequest:
    """The request as the desk sees it, sent from an address with these headers."""
    settings.TRUSTED_PROXIES = NAMED
    request = RequestFactory().get("/", REMOTE_ADDR=sender, headers=headers)
    ProxyMiddleware(lambda _request: HttpResponse())(request)
    return request


@pytest.mark.parametrize(
    ("sender", "said", "visitor"),
    [
        ("192.0.2.1", "203.0.113.9", "203.0.113.9"),
        ("192.0.2.1", "203.0.113.9:51000", "203.0.113.9"),
        ("192.0.2.1", "[2001:db8::7]:443", "2001:db8::7"),
        ("::ffff:192.0.2.1", "2001:db8::7", "2001:db8::7"),
        # Whoever asks the proxy may put words before its own.
        ("192.0.2.1", "127.0.0.1, 203.0.113.9", "203.0.113.9"),
        ("192.0.2.1", "203.0.113.9, 198.51.100.20", "203.0.113.9"),
        ("192.0.2.1", "203.0.113.9, nonsense", "192.0.2.1"),
        ("192.0.2.1", "", "192.0.2.1"),
        ("192.0.2.2", "203.0.113.9", "192.0.2.2"),
        ("127.0.0.1", "203.0.113.9", "127.0.0.1"),
        ("", "203.0.113.9", ""),
    ],
)
def test_the_visitor_is_whom_the_named_proxy_names(
    settings: Any, sender: str, said: str, visitor: str
) -> None:
    request = seen(settings, sender, X_Forwarded_For=said)
    assert request.META["REMOTE_ADDR"] == visitor
    assert "X-Forwarded-For" not in request.headers


@pytest.mark.parametrize(
    ("sender", "said", "secure"),
    [
        ("192.0.2.1", "https", True),
        ("192.0.2.1", "HTTPS", True),
        ("192.0.2.1", "http", False),
        ("192.0.2.1", "https, http", False),
        ("192.0.2.1", "http, https", True),
        ("192.0.2.2", "https", False),
        ("127.0.0.1", "https", False),
    ],
)
def test_only_the_named_proxy_says_that_it_was_tls(
    settings: Any, sender: str, said: str, secure: bool
) -> None:
    assert seen(settings, sender, X_Forwarded_Proto=said).is_secure() is secure


def test_a_server_that_believed_a_stranger_is_not_believed(settings: Any) -> None:
    settings.TRUSTED_PROXIES = NAMED
    request = RequestFactory().get(
        "/", secure=True, REMOTE_ADDR="127.0.0.1", headers={"X-Forwarded-Proto": "https"}
    )
    ProxyMiddleware(lambda _request: HttpResponse())(request)
    assert request.is_secure() is False


def test_tries_are_counted_by_visitor_not_by_proxy(
    settings: Any, business: Any, client: Client
) -> None:
    """One who guesses passwords behind the proxy does not lock the door for everybody."""
    settings.TRUSTED_PROXIES = NAMED

    def guess(visitor: str) -> int:
        return client.post(
            "/account/login/",
            {"login": f"guess{visitor[-1]}@example.org", "password": "wrong"},
            REMOTE_ADDR="192.0.2.1",
            headers={"X-Forwarded-For": visitor},
        ).status_code

    for _ in range(60):
        if guess("203.0.113.9") == 429:
            break
    assert guess("203.0.113.9") == 429
    assert guess("203.0.113.8") == 200
