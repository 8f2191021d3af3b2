"""The guide's own word on what goes along on a trip."""

from __future__ import annotations

import datetime
import uuid

from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from equipment.actions.choices import follow_advice, overrule
from equipment.queries.lines import USUAL_DROP_M
from equipment.views.shape import fetch, lead_on, turned_down

MOST_DROP_M = 5000.0


@require_POST
@permission_required("equipment.add_overrule", raise_exception=True)
def gear_choice(request: HttpRequest, pk: int) -> HttpResponse:
    """Take or leave a thing against the advice, or follow the advice again.

    Sent by the page of a trip: `trip`, `on`, `drop_m` (how far its drops go), `word` (take, leave
    or follow), `reason`, `next`.
    """
    row = fetch(pk)
    to = request.POST.get("next", "")
    if not url_has_allowed_host_and_scheme(to, allowed_hosts=None):
        to = reverse("gear")
    try:
        trip_uid = uuid.UUID(request.POST.get("trip", ""))
        on = datetime.date.fromisoformat(request.POST.get("on", ""))
        drop_m = float(request.POST.get("drop_m", USUAL_DROP_M))
        if not 0 < drop_m <= MOST_DROP_M:
            raise ValueError
    except ValueError:
        said = "The page did not say for which trip. Open the trip again."
        return turned_down(request, to, ValidationError(said))
    word = request.POST.get("word", "")
    if word == "follow":
        follow_advice(thing=row, trip_uid=trip_uid)
        return lead_on(request, to, f"The advice counts again for {row.label}.")
    try:
        overrule(
            thing=row,
            trip_uid=trip_uid,
            on=on,
            take=word == "take",
            reason=request.POST.get("reason", ""),
            drop_m=drop_m,
            by=request.user,
        )
    except ValidationError as error:
        return turned_down(request, to, error)
    return lead_on(request, to, f"{row.label} {'goes along' if word == 'take' else 'stays'}.")
