"""The almanac of a spot as a file to print."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from bookings.models import Business
from bookings.views.records import download
from guiding.days.queries.plans import spots
from guiding.days.views.almanac import asked_span
from guiding.desk.sheets.almanac import almanac_file


@require_safe
@permission_required("days.view_spot", raise_exception=True)
def almanac_paper(request: HttpRequest, pk: int) -> HttpResponse:
    """`?year=2027` or `?month=2027-05`, as the page has it; this year when neither is given."""
    spot = get_object_or_404(spots(), pk=pk)
    month, first, last = asked_span(request)
    try:
        content = almanac_file(
            spot=spot,
            first=first,
            last=last,
            business=Business.objects.get(),
            printed_at=timezone.now().replace(second=0, microsecond=0),
        )
    except ValueError as refusal:
        raise Http404(str(refusal)) from None
    name = f"almanac-{slugify(str(spot))}-{first:{'%Y-%m' if month else '%Y'}}.pdf"
    return download(content, name, "application/pdf")
