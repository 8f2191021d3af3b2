"""Money: what is owed, what happened, each paper, payments and refunds, the year."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from bookings.actions.money.invoices import credit_invoice
from bookings.actions.money.payments import record_payment, record_refund, take_out
from bookings.forms.money import (
    AmountReasonForm,
    PaymentForm,
    ReasonForm,
    RefundForm,
    today_first,
)
from bookings.models import Booking, Business, MoneyEntry, Party, Quote
from bookings.queries import money as queries
from bookings.queries.bookings import full_bookings
from bookings.queries.parties import party_page
from bookings.sheets.accounts import accounts_of, open_accounts
from bookings.sheets.paying import printed_reference
from bookings.views.form_page import form_page, typed

_LISTS = {
    "invoices": ("Invoices", [MoneyEntry.Kind.INVOICE, MoneyEntry.Kind.CREDIT_NOTE]),
    "payments": ("Payments", [MoneyEntry.Kind.PAYMENT]),
    "refunds": ("Refunds", [MoneyEntry.Kind.REFUND]),
    "other": ("Write-offs and transfers", [MoneyEntry.Kind.WRITE_OFF, MoneyEntry.Kind.TRANSFER]),
}


@require_safe
@permission_required("bookings.view_moneyentry", raise_exception=True)
def money(request: HttpRequest, template: str = "bookings/money.html") -> HttpResponse:
    """What is late, what is due next, what goes back, and the year so far."""
    on = timezone.localdate()
    found = open_accounts(business=Business.objects.get(), on=on)
    context = {
        "title": "Money",
        "late": [each for each in found if each.overdue],
        "ahead": [each for each in found if each.left and not each.overdue],
        "back": [each for each in found if each.over],
        "year": queries.year_totals(on.year),
        "newest": MoneyEntry.objects.all()[:8],
    }
    return render(request, template, context)


@require_safe
@permission_required("bookings.view_quote", raise_exception=True)
def quote_list(request: HttpRequest) -> HttpResponse:
    """Price notes, newest first; `?state=` shows one state."""
    state = request.GET.get("state", "")
    found = Quote.objects.select_related("party__client")
    if state in Quote.Status.values:
        found = found.filter(status=state)
    page = Paginator(found, 50).get_page(request.GET.get("page"))
    context = {"title": "Price notes", "page": page, "states": Quote.Status.choices, "state": state}
    return render(request, "bookings/quote_list.html", context)


@require_safe
@permission_required("bookings.view_moneyentry", raise_exception=True)
def entry_list(request: HttpRequest, name: str) -> HttpResponse:
    title, kinds = _LISTS[name]
    found = queries.entries_with_party().filter(kind__in=kinds)
    page = Paginator(found, 50).get_page(request.GET.get("page"))
    context = {"title": title, "page": page, "name": name}
    return render(request, "bookings/entry_list.html", context)


def _entry_or_404(pk: int) -> MoneyEntry:
    return get_object_or_404(
        MoneyEntry.objects.select_related(
            "reverses", "reversed_by", "corrects", "entered_by", "quote"
        ).prefetch_related(
            "lines", "shares__party__client", "shares__booking__trip", "credit_notes"
        ),
        pk=pk,
    )


@require_safe
@permission_required("bookings.view_moneyentry", raise_exception=True)
def money_entry(
    request: HttpRequest, pk: int, template: str = "bookings/money_entry.html"
) -> HttpResponse:
    found = _entry_or_404(pk)
    left = sum(line.gross for line in queries.left_of_invoice(found))
    takes_out = found.kind in {"payment", "refund", "write_off"}
    context = {
        "title": str(found),
        "entry": found,
        "left": left,
        "reference": printed_reference(found.letterhead["business"], found)
        if found.kind == MoneyEntry.Kind.INVOICE
        else "",
        "may_credit": found.kind == MoneyEntry.Kind.INVOICE and left > 0,
        "may_take_out": takes_out and not found.reverses_id and not hasattr(found, "reversed_by"),
    }
    return render(request, template, context)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.add_moneyentry", raise_exception=True)
def entry_credit(request: HttpRequest, pk: int) -> HttpResponse:
    """A credit note for an invoice, all of it or a part."""
    found = get_object_or_404(MoneyEntry, pk=pk, kind=MoneyEntry.Kind.INVOICE)
    left = sum(line.gross for line in queries.left_of_invoice(found))
    form = AmountReasonForm(
        typed(request),
        button="Write the credit note",
        currency=found.currency,
        initial={"amount": left},
    )
    if request.method == "POST" and form.is_valid():
        try:
            note = credit_invoice(invoice=found, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{note} is written.")
            return redirect("money_entry", note.pk)
    return form_page(request, form, f"Correct invoice {found.label}")


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.add_moneyentry", raise_exception=True)
def entry_take_out(request: HttpRequest, pk: int) -> HttpResponse:
    """An entry made by mistake, taken out by another."""
    found = get_object_or_404(MoneyEntry, pk=pk)
    form = ReasonForm(typed(request), button="Take it out")
    if request.method == "POST" and form.is_valid():
        try:
            entry = take_out(entry=found, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{found.label} is taken out by {entry.label}.")
            return redirect("money_entry", entry.pk)
    return form_page(request, form, f"Take out {found}")


def _party_or_404(pk: int) -> Party:
    party = party_page(pk)
    if party is None:
        raise Http404("There is no such party.")
    return party


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.add_moneyentry", raise_exception=True)
def party_pay(request: HttpRequest, pk: int) -> HttpResponse:
    """Money that came in from a party."""
    found, on = _party_or_404(pk), timezone.localdate()
    business = Business.objects.get()
    bookings = list(full_bookings().filter(party__client=found.client_id))
    owing = [each for each in accounts_of(bookings, business=business, on=on) if each.left]
    due = sum(part.left for each in owing for part in each.instalments if part.due_on <= on)
    left = sum(each.left for each in owing)
    form = PaymentForm(
        typed(request),
        bookings=[each.booking for each in owing],
        currency=business.currency,
        initial=today_first(on, amount=due or left or None),
    )
    if request.method == "POST" and form.is_valid():
        try:
            entry = record_payment(party=found, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
            form.ask_again()
        else:
            messages.success(request, f"{entry} is recorded.")
            return redirect("party", pk)
    title = f"A payment of {found.client}"
    return form_page(request, form, title, "bookings/party_pay.html", owing=owing, party=found)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.add_moneyentry", raise_exception=True)
def party_refund(request: HttpRequest, pk: int, booking_pk: int | None = None) -> HttpResponse:
    """Money that goes back, of a booking or of what stands on account."""
    found, business = _party_or_404(pk), Business.objects.get()
    booking = get_object_or_404(Booking, pk=booking_pk, party=found) if booking_pk else None
    there = queries.booking_account(booking).paid if booking else queries.on_account(found)
    owed = max(-queries.booking_account(booking).open, 0) if booking else there
    form = RefundForm(
        typed(request),
        currency=business.currency,
        initial=today_first(timezone.localdate(), amount=owed or there or None),
    )
    if request.method == "POST" and form.is_valid():
        try:
            entry = record_refund(party=found, booking=booking, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{entry} is recorded.")
            return redirect("party", pk)
    title = f"Money back to {found.client}"
    return form_page(request, form, title, "bookings/party_refund.html", there=there, party=found)


@require_safe
@permission_required("bookings.view_moneyentry", raise_exception=True)
def money_year(
    request: HttpRequest, year: int, template: str = "bookings/money_year.html"
) -> HttpResponse:
    """A year by month, and its tax by rate."""
    if not 2000 <= year <= 2100:
        raise Http404("There are no books of this year.")
    context = {
        "title": f"Money of {year}",
        "year": queries.year_totals(year),
        "rates": queries.tax_by_rate(year),
        "years": queries.years(),
        "files": [(word, f"{word.lower()}-{year}.csv") for word in ("Papers", "Journal", "Totals")],
    }
    return render(request, template, context)
