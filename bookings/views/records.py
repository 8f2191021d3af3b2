"""Signed records: one looked at, taken away to be checked elsewhere, and the whole chain walked."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from bookings.queries.evidence import check_chain, proof_of
from bookings.queries.records import newer_number, record_of, signed_records
from bookings.sheets.signed import ONE_LINER, record_files, record_zip

_SAYS = (
    ("Signed by", "signer_name"),
    ("Signed for", "signed_for"),
    ("Age on the day", "age"),
    ("As", "relationship"),
    ("Reached on", "guardian_contact"),
    ("Stays responsible", "responsible"),
    ("Signer known by", "identified_by"),
    ("Signed with", "own_means"),
    ("Seen by", "witness"),
    ("Answer", "answer"),
    ("What they said", "intent"),
)


@require_safe
@permission_required("bookings.see_signed", raise_exception=True)
def signed(request: HttpRequest, number: int, pdf_view: str = "") -> HttpResponse:
    """One record as it was sealed. `pdf_view` names the page of its signed form."""
    signature = get_object_or_404(signed_records(), pk=number)
    proof = proof_of(signature.record.own_hash)
    facts: dict[str, object] = {}
    problem = ""
    try:
        facts = record_of(signature).facts
    except ValueError as refusal:
        problem = str(refusal)
    context = {
        "title": f"Record {number}",
        "signature": signature,
        "rows": [
            (label, facts[name]) for label, name in _SAYS if facts.get(name) not in {None, ""}
        ],
        "problem": problem,
        "whole": bool(proof and proof.whole),
        "newer": newer_number(signature),
        "one_liner": ONE_LINER,
        "pdf_view": pdf_view,
    }
    return render(request, "bookings/signed.html", context)


@require_safe
@permission_required("bookings.see_signed", raise_exception=True)
def signed_files(request: HttpRequest, number: int) -> HttpResponse:
    """Everything needed to check a record elsewhere, as one archive."""
    signature = get_object_or_404(signed_records(), pk=number)
    try:
        content = record_zip(record_files(signature))
    except (ValueError, OSError) as refusal:
        raise Http404(str(refusal)) from None
    return download(content, f"record-{number}.zip", "application/zip")


@require_safe
@permission_required("bookings.see_signed", raise_exception=True)
def signed_sheet(request: HttpRequest, number: int) -> HttpResponse:
    """The photograph of a sheet that was signed on paper."""
    signature = get_object_or_404(signed_records(), pk=number)
    if signature.sheet is None:
        raise Http404("This record was not signed on paper.")
    try:
        with signature.sheet.file.open("rb") as stream:
            content = stream.read()
    except OSError:
        raise Http404("The file of this sheet is missing.") from None
    return download(content, f"record-{number}-sheet.jpg", "image/jpeg")


@require_safe
@permission_required("bookings.see_signed", raise_exception=True)
def chain_check(request: HttpRequest) -> HttpResponse:
    """The whole chain walked: what `verify_waivers` prints, on a page."""
    context = {
        "title": "Is every signed record whole?",
        "check": check_chain(),
    }
    return render(request, "bookings/signed_check.html", context)


def download(content: bytes, name: str, content_type: str) -> HttpResponse:
    """A file to keep: never shown in the page, never stored on the way."""
    response = HttpResponse(content, content_type=content_type)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    return response
