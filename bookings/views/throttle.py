"""How often one address may try, counted in the cache and forgotten by itself."""

from __future__ import annotations

from django.core.cache import cache
from django.http import HttpRequest

_WINDOW_S = 600


def tries(request: HttpRequest, what: str) -> int:
    """How often this address has tried in the last minutes."""
    return int(cache.get(_key(request, what), 0))


def count_try(request: HttpRequest, what: str) -> int:
    """One more; how many there are now."""
    key = _key(request, what)
    if cache.add(key, 1, _WINDOW_S):
        return 1
    try:
        return cache.incr(key)
    except ValueError:  # it ran out between the two lines
        cache.set(key, 1, _WINDOW_S)
        return 1


def _key(request: HttpRequest, what: str) -> str:
    return f"tries-{what}-{request.META.get('REMOTE_ADDR', '')}"
