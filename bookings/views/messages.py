"""Mails: what waits, what went, what became of each."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from bookings.actions import outbox
from bookings.models import Message
from bookings.queries.outbox import mail_state, messages_by_state
from bookings.rules.mail import enclosed_files


@require_safe
@permission_required("bookings.change_message", raise_exception=True)
def message_list(request: HttpRequest) -> HttpResponse:
    """Every mail, newest first; `?state=dead` shows those of one state, `?party=` those of one."""
    state = request.GET.get("state", "")
    state = state if state in Message.State.values else ""
    found = messages_by_state(state)
    party = request.GET.get("party", "")
    if party.isdigit() and len(party) < 18:
        found = found.filter(party_id=int(party))
    return render(
        request,
        "bookings/message_list.html",
        {
            "title": "Mail",
            "page": Paginator(found, 50).get_page(request.GET.get("page")),
            "state": state,
            "states": Message.State.choices,
            "mail": mail_state(at=timezone.now()),
        },
    )


@require_safe
@permission_required("bookings.change_message", raise_exception=True)
def message(request: HttpRequest, pk: int) -> HttpResponse:
    """One mail as it was written, with what was attached and what became of it."""
    row = get_object_or_404(Message.objects.select_related("party__client", "trip__offer"), pk=pk)
    return render(request, "bookings/message.html", {"title": row.subject, "message": row})


@require_safe
@permission_required("bookings.change_message", raise_exception=True)
def message_file(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """A file of a mail, the very bytes that went along."""
    row = get_object_or_404(Message, pk=pk)
    files = enclosed_files(bytes(row.mail))
    if not 1 <= number <= len(files):
        raise Http404("This mail has no such file.")
    file = files[number - 1]
    response = HttpResponse(file.content, content_type="application/octet-stream")
    response.headers["Content-Disposition"] = f'attachment; filename="{_plain(file.name)}"'
    response["Cache-Control"] = "private, no-store"
    return response


def _plain(name: str) -> str:
    return "".join(c if c.isascii() and (c.isalnum() or c in ".-_") else "_" for c in name)


_STEPS: dict[str, tuple[Callable[..., Any], str]] = {
    "again": (outbox.send_again, "It goes out again."),
    "arrived": (outbox.it_arrived, "Noted: it arrived."),
    "withdraw": (outbox.withdraw, "Withdrawn: it is not sent."),
}


@require_POST
@permission_required("bookings.change_message", raise_exception=True)
def message_move(request: HttpRequest, pk: int, step: str) -> HttpResponse:
    row = get_object_or_404(Message, pk=pk)
    try:
        if step == "bounced":
            outbox.note_bounce(message=row, note=request.POST.get("note", ""))
            said = "Noted: it came back."
        else:
            act, said = _STEPS[step]
            act(message=row)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, said)
    return redirect("message", pk)
