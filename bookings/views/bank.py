"""The bank statement: read, matched, taken."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from bookings.actions.money.bank import keep_statement, set_line_aside, take_bank_line
from bookings.forms.money import BankFileForm
from bookings.models import BankLine, Booking, Business
from bookings.queries.bank import lines_to_do, proposals
from bookings.rules.statement import Statement, read_statement
from bookings.sheets.bank import what_is_owed
from bookings.views.form_page import form_page


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.add_moneyentry", raise_exception=True)
def bank(request: HttpRequest) -> HttpResponse:
    """Read a file; below it every line that waits, with whose money it may be."""
    business = Business.objects.get()
    sent = request.method == "POST"
    form = BankFileForm(request.POST if sent else None, request.FILES if sent else None)
    statement: Statement | None = None
    if sent and form.is_valid():
        try:
            statement = read_statement(_text(form.cleaned_data["file"].read()), business.currency)
        except ValueError as refusal:
            form.add_error("file", str(refusal))
        else:
            new = keep_statement(lines=statement.lines)
            lines = len(statement.lines)
            told = f"{lines} line{'s' * (lines != 1)} read, {len(new)} of them new."
            messages.success(request, told)
            if not statement.problems:
                return redirect("bank")
    page = Paginator(lines_to_do(), 25).get_page(request.GET.get("page"))
    invoices, bookings = what_is_owed(business=business, on=timezone.localdate())
    context = {
        "page": page,
        "proposals": proposals(list(page), invoices, bookings),
        "owing": {booking.pk: booking for booking in bookings.values()}.values(),
        "problems_read": statement.problems if statement else (),
    }
    return form_page(request, form, "Bank statement", "bookings/bank.html", **context)


def _text(raw: bytes) -> str:
    """Banks write UTF-8, some still the old western set."""
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")


@require_POST
@permission_required("bookings.add_moneyentry", raise_exception=True)
def bank_take(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a line as the payment of the booking chosen."""
    line = get_object_or_404(BankLine, pk=pk)
    chosen = request.POST.get("booking", "")
    booking = Booking.objects.filter(pk=int(chosen)).first() if chosen.isdigit() else None
    if booking is None:
        messages.error(request, "Choose whose money it is.")
        return redirect("bank")
    try:
        entry = take_bank_line(line=line, booking=booking)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{entry} of {booking.party.client} is recorded.")
    return redirect("bank")


@require_POST
@permission_required("bookings.add_moneyentry", raise_exception=True)
def bank_aside(request: HttpRequest, pk: int) -> HttpResponse:
    """It is no client's money."""
    line = get_object_or_404(BankLine, pk=pk)
    try:
        set_line_aside(line=line, reason=request.POST.get("reason", "") or "no client's money")
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, "Set aside.")
    return redirect("bank")
