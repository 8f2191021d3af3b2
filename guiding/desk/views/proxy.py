"""What a request says of itself: whom it came from and whether over TLS, as far as may be believed.

A server behind a proxy that ends TLS sees every request come from the proxy, and plain. The proxy
adds two headers that say what it saw; anybody else can write the same words. Here, and not in the
embedded server, because every server of the reader's choice has to get it right.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

_FOR, _PROTO = "HTTP_X_FORWARDED_FOR", "HTTP_X_FORWARDED_PROTO"

Address = ipaddress.IPv4Address | ipaddress.IPv6Address


class ProxyMiddleware:
    """Believes TRUSTED_PROXY, and nobody else.

    Afterwards REMOTE_ADDR is the visitor's address, X-Forwarded-Proto one word that
    SECURE_PROXY_SSL_HEADER may go by, and X-Forwarded-For is gone.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        said_for = request.META.pop(_FOR, "")
        said_proto = request.META.get(_PROTO)
        if trusted(read_address(request.META.get("REMOTE_ADDR", ""))):
            # The proxy adds its word at the end of what it was sent.
            if said_proto is not None:
                request.META[_PROTO] = said_proto.rpartition(",")[2].strip().lower()
            visitor = _visitor(said_for)
            if visitor:
                request.META["REMOTE_ADDR"] = str(visitor)
        elif said_proto is not None:
            # Also where the server itself believed it, as gunicorn believes its own machine.
            request.META[_PROTO] = "http"
        return self.get_response(request)


def trusted(address: Address | None) -> bool:
    """Whether TRUSTED_PROXY names this address."""
    return address is not None and any(address in one for one in settings.TRUSTED_PROXIES)


def read_address(text: str) -> Address | None:
    """An IP address, with or without a port behind it; None when it is none."""
    bare = text.strip()
    if bare.startswith("["):
        bare = bare[1:].partition("]")[0]
    elif bare.count(":") == 1:
        bare = bare.partition(":")[0]
    try:
        found = ipaddress.ip_address(bare)
    except ValueError:
        return None
    return getattr(found, "ipv4_mapped", None) or found


def _visitor(said: str) -> Address | None:
    """The last address that is not a proxy of ours: what stands before it, anybody may have sent.

    None when it cannot be read, or when the request began at a proxy.
    """
    for word in reversed(said.split(",")):
        address = read_address(word)
        if not trusted(address):
            return address
    return None
