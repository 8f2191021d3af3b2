"""The same person twice: the pairs that may be one, put together and parted again."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from bookings.actions import merges as actions
from bookings.models import Client, ClientMerge, Party
from bookings.queries import merges as queries

_MOST_SHOWN = 20


@require_safe
@permission_required("bookings.change_client", raise_exception=True)
def same_list(request: HttpRequest) -> HttpResponse:
    context = {
        "title": "The same person twice",
        "pairs": queries.doubles(),
        "merges": queries.merges()[:_MOST_SHOWN],
    }
    return render(request, "bookings/same_list.html", context)


@require_safe
@permission_required("bookings.change_client", raise_exception=True)
def party_same(request: HttpRequest, pk: int) -> HttpResponse:
    """Who else the client of a party may be; `?q=` looks for somebody by name."""
    party = get_object_or_404(Party.objects.select_related("client"), pk=pk)
    words = request.GET.get("q", "").strip()
    context = {
        "title": f"{party.client}: known under another entry?",
        "party": party,
        "words": words,
        "found": queries.maybe_same(party.client, words),
        "merges": queries.merges(party.client),
    }
    return render(request, "bookings/party_same.html", context)


@require_POST
@permission_required("bookings.change_client", raise_exception=True)
def same_merge(request: HttpRequest) -> HttpResponse:
    """Put two together; the first is the one that stays."""

    def act(kept: Client, gone: Client) -> str:
        merge = actions.merge_clients(kept=kept, gone=gone)
        count = len(merge.parties)
        moved = "1 case" if count == 1 else f"{count} cases"
        return f"{gone} is {kept}: {moved} moved over. It can be undone below."

    return _on_two(request, act)


@require_POST
@permission_required("bookings.change_client", raise_exception=True)
def same_apart(request: HttpRequest) -> HttpResponse:
    def act(kept: Client, gone: Client) -> str:
        actions.keep_apart(one=kept, other=gone)
        return f"{kept} and {gone} are two people; they are not proposed again."

    return _on_two(request, act)


def _on_two(request: HttpRequest, act: Callable[[Client, Client], str]) -> HttpResponse:
    pks = [_number(request.POST.get(name)) for name in ("kept", "gone")]
    found = Client.objects.in_bulk(pks)

    def act_on_found() -> str:
        if not all(pk in found for pk in pks):
            raise ValidationError("One of the two is not there any more. Choose again.")
        return act(found[pks[0]], found[pks[1]])

    return _told(request, act_on_found)


def _number(typed: str | None) -> int:
    """What was sent, as a row's number; 0, which no row has, for anything else."""
    return int(typed) if typed and typed.isascii() and typed.isdigit() and len(typed) < 16 else 0


@require_POST
@permission_required("bookings.change_client", raise_exception=True)
def same_undo(request: HttpRequest, pk: int) -> HttpResponse:
    merge = get_object_or_404(ClientMerge.objects.select_related("kept", "gone"), pk=pk)

    def act() -> str:
        actions.undo_merge(merge=merge)
        return f"{merge.gone} and {merge.kept} are two again, each with their own cases."

    return _told(request, act)


def _told(request: HttpRequest, act: Callable[[], str]) -> HttpResponse:
    try:
        messages.success(request, act())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    return redirect("same_list")
