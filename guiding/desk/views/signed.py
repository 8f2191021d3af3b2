"""Signed forms as PDF: for the desk, and for the signer behind a private link."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_safe

from bookings.models import Business, Signature
from bookings.queries.records import own_signatures, signed_records
from bookings.queries.signing_links import OpenLink
from bookings.views.private import Tongue, private_page
from bookings.views.records import download
from guiding.desk.sheets.signed import proof_address, signed_form_file


@require_safe
@permission_required("bookings.see_signed", raise_exception=True)
def signed_pdf(request: HttpRequest, number: int) -> HttpResponse:
    """The signed form of any record."""
    return _pdf(get_object_or_404(signed_records(), pk=number))


@require_safe
@private_page
def sign_copy(
    request: HttpRequest, opened: OpenLink, _tongue: Tongue, _token: str, number: int
) -> HttpResponse:
    """The signer's own copy; a record that somebody else signed is not there."""
    own = {signature.pk for signature in own_signatures(opened.signer, opened.trip)}
    if number not in own:
        raise Http404("There is no record of this number behind this link.")
    return _pdf(get_object_or_404(signed_records(), pk=number))


def _pdf(signature: Signature) -> HttpResponse:
    business = Business.objects.get()
    try:
        content = signed_form_file(
            signature,
            business=business,
            printed_at=timezone.now().replace(second=0, microsecond=0),
            proof=proof_address(signature),
        )
    except ValueError as refusal:
        raise Http404(str(refusal)) from None
    return download(content, f"record-{signature.pk}.pdf", "application/pdf")
