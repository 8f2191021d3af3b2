"""The gear list."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from equipment.models import Thing
from equipment.queries.booked import booked_days
from equipment.queries.gear import GearState, gear_list
from equipment.views.shape import asked_day

STATES = ("fit", "watch", "due", "grounded", "retired")


@require_safe
@permission_required("equipment.view_thing", raise_exception=True)
def gear(request: HttpRequest) -> HttpResponse:
    """Everything, by kind, with its state on a day and what decides it."""
    on = asked_day(request)
    kind = request.GET.get("kind", "")
    state = request.GET.get("state", "")
    words = request.GET.get("q", "").strip()[:80]
    states = gear_list(
        on=on,
        booked=booked_days(on=on),
        kinds=[kind] if kind in Thing.Kind.values else None,
        with_retired=state == "retired",
    )
    shown = [one for one in states if _wanted(one, state, words)]
    return render(
        request,
        "equipment/gear.html",
        {
            "title": "Gear",
            "on": on,
            "groups": by_kind(shown),
            "shown": len(shown),
            "owned": len(states),
            "kinds": Thing.Kind.choices,
            "states": STATES,
            "kind": kind,
            "state": state,
            "words": words,
            "asks_day": "on" in request.GET,
        },
    )


def _wanted(one: GearState, state: str, words: str) -> bool:
    if state in STATES and one.state != state:
        return False
    return words.lower() in f"{one.label} {one.model_note}".lower()


def by_kind(states: list[GearState]) -> list[tuple[str, list[GearState]]]:
    """Groups in the order of the kinds' list: what flies first, what drives last."""
    groups: dict[str, list[GearState]] = {kind: [] for kind in Thing.Kind.values}
    for one in states:
        groups[one.kind].append(one)
    return [(Thing.Kind(kind).label, rows) for kind, rows in groups.items() if rows]
