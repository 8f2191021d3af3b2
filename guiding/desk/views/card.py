"""The emergency card: on the screen, and the guide's own copy with the medicines."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import permission_required
from django.contrib.auth.models import User
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from bookings.actions.health import look_at_notes
from bookings.queries.health import guides_trip, kept_of, opened_people
from bookings.views.records import download
from guiding.desk.sheets.briefing import card_paper
from guiding.desk.views.safety import planned_or_404
from guiding.papers.emergency_card import emergency_card_pdf
from guiding.papers.records import CardSize
from guiding.safety.sheets.card import medicines_of, position_of_spot


@require_safe
@permission_required("safety.view_watch", raise_exception=True)
def trip_card(request: HttpRequest, pk: int) -> HttpResponse:
    """The emergency card on the screen; what was noted of people for the guides alone."""
    file = planned_or_404(pk)
    spot = file.plan.spot  # type: ignore[union-attr]
    context: dict[str, Any] = {
        "title": "Emergency card",
        "file": file,
        "trip": file.trip,
        "card": card_paper(file, printed_at=timezone.now()),
        "where": position_of_spot(spot.latitude, spot.longitude),
        "guides_copy": guides_trip(request.user, file.trip),
        "declared": len({note.participant_id for note in kept_of(file.trip)}),
    }
    return render(request, "desk/safety_card.html", context)


@require_POST
def trip_card_own(request: HttpRequest, pk: int) -> HttpResponse:
    """The guide's own copy with allergies and medicines by person, once the look is on the log.

    A POST, so that nothing opens the notes by itself.
    """
    file = planned_or_404(pk)
    if not guides_trip(request.user, file.trip):
        raise PermissionDenied("Only the guides of this trip may see its health notes.")
    notes = kept_of(file.trip)
    user = request.user if isinstance(request.user, User) else None
    look_at_notes(notes=notes, user=user, trip=file.trip, why="the guide's own emergency card")
    card = card_paper(
        file,
        printed_at=timezone.now().replace(second=0, microsecond=0),
        size=CardSize.SHEET,
        medicines=medicines_of(opened_people(file.trip, notes)),
    )
    name = f"{file.day:%Y-%m-%d}-card-own-copy.pdf"
    return download(emergency_card_pdf(card), name, "application/pdf")
