"""For whoever watches the machine: is the desk well?"""

from __future__ import annotations

from collections.abc import Callable

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from guiding.desk.queries.healthy import health
from guiding.desk.views.proxy import read_address


class HealthyMiddleware:
    """Answers before host and TLS are judged and before any table is read.

    A watcher on the machine itself asks 127.0.0.1 in plain HTTP, whatever address people use; and
    a database that is away has to be told, not stumbled over.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return healthy(request) if request.path_info == "/healthy/" else self.get_response(request)


@login_not_required
@never_cache
@require_safe
def healthy(request: HttpRequest) -> HttpResponse:
    """200 when all is well, else 503; the numbers only for the machine itself."""
    found = health(at=timezone.now())
    well = all(each["ok"] for each in found.values())
    asks = read_address(request.META.get("REMOTE_ADDR", ""))
    facts = found if asks and asks.is_loopback else {}
    answer = JsonResponse({"ok": well, **facts}, status=200 if well else 503)
    # Told to who asks, every few seconds perhaps: not to the log as well, as an error each time.
    answer._has_been_logged = True  # type: ignore[attr-defined]
    return answer
