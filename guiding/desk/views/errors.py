"""What is shown when something does not work: what it was and what to do, never a traceback."""

from __future__ import annotations

import logging
import sqlite3
from collections.abc import Callable

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

logger = logging.getLogger(__name__)
# Could not serialize, deadlock, lock not to be had: PostgreSQL 15 manual, appendix A.
_STATES = {"40001", "40P01", "55P03"}
_CODES = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}


def collided(problem: Exception) -> bool:
    """Whether the database ended one of two who wrote at once; the same again may well succeed."""
    cause = problem.__cause__
    return isinstance(problem, OperationalError) and (
        getattr(cause, "sqlstate", None) in _STATES
        # The upper bits say which kind of busy it was.
        or getattr(cause, "sqlite_errorcode", 0) & 0xFF in _CODES
    )


class CollisionMiddleware:
    """Who was ended because somebody else wrote at the same moment is asked to press again."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if not collided(exception):
            return None
        where = request.resolver_match.view_name if request.resolver_match else "?"
        # The view, not the address, which may hold a private key; the first line holds no values.
        logger.warning("%s %s: %s", request.method, where, str(exception).partition("\n")[0])
        answer = render(request, "503.html", status=503)
        answer["Retry-After"] = "1"
        return answer


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "400.html", status=400)


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "403.html", status=403)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    return render(request, "403_csrf.html", status=403)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "404.html", status=404)


def server_error(request: HttpRequest) -> HttpResponse:
    # Without context: whatever broke may have been a context processor.
    return render(None, "500.html", status=500)
