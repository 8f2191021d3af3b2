"""What is shown when something does not work: what it was and what to do, never a traceback."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


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
