"""The papers of money as files, for the desk and for the client behind their link."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_safe

from bookings.models import Booking, Business, Client, MoneyEntry, Party
from bookings.sheets.books import books_files
from bookings.views.client_page import own_page
from guiding.desk.sheets.files import make_trip_file
from guiding.desk.sheets.gather import gather
from guiding.desk.sheets.languages import language_of
from guiding.desk.sheets.money import (
    PAPER_NAMES,
    entry_paper,
    full_entries,
    full_quotes,
    has_paper,
    quote_paper,
)
from guiding.desk.sheets.statements import account_statement, season_statement
from guiding.papers.account_statement import account_statement_pdf
from guiding.papers.season_statement import season_statement_pdf

_CLIENT_FILES = {"trip-sheet.pdf": "application/pdf", "invite.ics": "text/calendar; charset=utf-8"}


def _file(content: bytes, name: str, kind: str = "application/pdf") -> HttpResponse:
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["Cache-Control"] = "private, no-store"
    return response


def _size(request: HttpRequest) -> str:
    size = request.GET.get("paper", "")
    return size if size in {"A4", "Letter"} else ""


@require_safe
@permission_required("bookings.view_quote", raise_exception=True)
def quote_file(request: HttpRequest, pk: int) -> HttpResponse:
    """A price note as PDF; `?paper=Letter` for the other page size."""
    quote = get_object_or_404(full_quotes(), pk=pk)
    return _file(quote_paper(quote, page_size=_size(request)), f"price-note-{pk}.pdf")


@require_safe
@permission_required("bookings.view_moneyentry", raise_exception=True)
def entry_file(request: HttpRequest, pk: int) -> HttpResponse:
    """An invoice, a receipt or a credit note as PDF."""
    return _entry_file(get_object_or_404(full_entries(), pk=pk), _size(request))


def _entry_file(entry: MoneyEntry, size: str = "") -> HttpResponse:
    if not has_paper(entry):
        raise Http404("This entry has no paper.")
    return _file(entry_paper(entry, page_size=size), f"{PAPER_NAMES[entry.kind]}-{entry.label}.pdf")


@require_safe
@permission_required("bookings.view_moneyentry", raise_exception=True)
def books_file(request: HttpRequest, year: int, name: str) -> StreamingHttpResponse:
    """The papers, the journal or the totals of a year as CSV, written as it goes."""
    found = next((pieces for each, pieces in books_files(year) if each == name), None)
    if found is None or not 2000 <= year <= 2100:
        raise Http404("There is no such file of the books.")
    response = StreamingHttpResponse(found, content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["Cache-Control"] = "private, no-store"
    return response


@require_safe
@permission_required("bookings.view_moneyentry", raise_exception=True)
def statement_file(request: HttpRequest, pk: int) -> HttpResponse:
    """The statement of account of a client as PDF, as of today."""
    client = get_object_or_404(Client, pk=pk)
    try:
        statement = account_statement(
            client,
            business=Business.objects.get(),
            printed_at=timezone.now().replace(second=0, microsecond=0),
            page_size=_size(request),
        )
    except ValueError as missing:
        raise Http404(str(missing)) from None
    return _file(account_statement_pdf(statement), f"statement-{pk:05d}.pdf")


@require_safe
@permission_required("bookings.view_moneyentry", raise_exception=True)
def season_file(request: HttpRequest, year: int) -> HttpResponse:
    """The season statement of a year as PDF."""
    if not 2000 <= year <= 2100:
        raise Http404("There is no such year.")
    try:
        statement = season_statement(
            Business.objects.get(),
            year=year,
            printed_at=timezone.now().replace(second=0, microsecond=0),
            page_size=_size(request),
        )
    except ValueError as missing:
        raise Http404(str(missing)) from None
    return _file(season_statement_pdf(statement), f"season-{year}.pdf")


@require_safe
@own_page
def client_quote(request: HttpRequest, party: Party, token: str, pk: int) -> HttpResponse:
    """The client's price note, once it was sent."""
    quote = get_object_or_404(full_quotes().exclude(sent_at=None), pk=pk, party=party)
    return _file(quote_paper(quote), f"price-note-{pk}.pdf")


@require_safe
@own_page
def client_entry(request: HttpRequest, party: Party, token: str, pk: int) -> HttpResponse:
    """An invoice, a receipt or a credit note of the client's."""
    entry = full_entries().filter(shares__party=party, pk=pk).distinct().first()
    if entry is None:
        raise Http404("There is no such paper.")
    return _entry_file(entry)


@require_safe
@own_page
def client_file(
    request: HttpRequest, party: Party, token: str, booking_pk: int, name: str
) -> HttpResponse:
    """The trip sheet of a confirmed day, or its entry for the client's calendar."""
    booking = get_object_or_404(
        Booking, pk=booking_pk, party=party, status=Booking.Status.CONFIRMED
    )
    file = gather(booking.trip_id, business=Business.objects.get())
    if name not in _CLIENT_FILES or file is None:
        raise Http404("There is no such paper.")
    file = file.of_party(party.pk)
    printed_at = timezone.now().replace(minute=0, second=0, microsecond=0)
    try:
        content = make_trip_file(name, file, printed_at=printed_at, language=language_of(booking))
    except ValueError as missing:
        raise Http404(str(missing)) from None
    return _file(content, f"{file.day:%Y-%m-%d}-{name}", _CLIENT_FILES[name])
