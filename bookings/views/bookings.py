"""One booking: its money, and every change of it shown before it is made."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bookings.actions.changes import change_heads, move_booking
from bookings.actions.money.invoices import invoice_balance, invoice_deposit
from bookings.actions.money.payments import write_off
from bookings.actions.money.settlements import choose
from bookings.actions.trips import cancel_booking
from bookings.forms.money import AmountReasonForm, CancelForm, ChoiceForm, DateForm, HeadsForm
from bookings.models import Booking, Business
from bookings.queries import bookings as queries
from bookings.rules.ladder import Wish
from bookings.sheets.accounts import accounts_of
from bookings.sheets.cancelling import cancellation_terms, terms_in_words
from bookings.sheets.changes import date_change, heads_change
from bookings.views.form_page import form_page, typed

_STALE = "What it comes to has changed since you looked. Read it once more, then press again."


def _booking_or_404(pk: int, booking_pk: int) -> Booking:
    found = queries.booking_page(booking_pk, pk)
    if found is None:
        raise Http404("There is no such booking.")
    return found


@require_safe
@permission_required("bookings.view_booking", raise_exception=True)
def booking(
    request: HttpRequest, pk: int, booking_pk: int, template: str = "bookings/booking.html"
) -> HttpResponse:
    found = _booking_or_404(pk, booking_pk)
    business = Business.objects.get()
    on = timezone.localdate()
    (account,) = accounts_of([found], business=business, on=on)
    entries = list(queries.entries_of_booking(found))
    context = {
        "title": str(found.trip.offer),
        "booking": found,
        "account": account,
        "entries": entries,
        "settlement": queries.settlement_of(found),
        "billed_all": account.account.billed >= account.price,
        "terms": terms_in_words(found, on=on, business=business),
        "choice_form": ChoiceForm(),
    }
    return render(request, template, context)


def _previewed(
    request: HttpRequest,
    found: Booking,
    form: Any,
    template: str,
    title: str,
    preview: Callable[[Any], Any],
    act: Callable[[Any], Booking],
) -> HttpResponse:
    """A change: asked for by GET it is worked out and shown, sent by POST it is done as shown."""
    shown = None
    if form.is_bound and form.is_valid():
        try:
            shown = preview(form.cleaned_data)
            if request.method == "POST" and request.POST.get("seen") != _seen(shown):
                raise ValidationError(_STALE)
            if request.method == "POST":
                done = act(form.cleaned_data)
                messages.success(request, "Changed as shown.")
                return redirect("booking", done.party_id, done.pk)
        except ValidationError as refusal:
            form.refuse(refusal)
        except ValueError as refusal:
            form.refuse(ValidationError(str(refusal)))
    seen = _seen(shown) if shown else ""
    return form_page(request, form, title, template, booking=found, shown=shown, seen=seen)


def _seen(shown: Any) -> str:
    """What was shown, in few letters: compared again before it is done."""
    if isinstance(shown, dict):
        return " ".join(f"{wish} {x.kept} {x.refunded} {x.moved}" for wish, x in shown.items())
    sums = (getattr(shown, "new_price", ""), getattr(shown, "price", ""), shown.left, shown.over)
    return " ".join(map(str, sums))


def _asked(request: HttpRequest, name: str) -> Any:
    """What was typed, by either method; None on a first visit."""
    data = request.POST if request.method == "POST" else request.GET
    return data if name in data or request.method == "POST" else None


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_booking", raise_exception=True)
def booking_heads(request: HttpRequest, pk: int, booking_pk: int) -> HttpResponse:
    """More or fewer heads."""
    found = _booking_or_404(pk, booking_pk)
    business, on = Business.objects.get(), timezone.localdate()
    form = HeadsForm(_asked(request, "heads"), initial={"heads": found.heads})
    return _previewed(
        request,
        found,
        form,
        "bookings/booking_heads.html",
        "More or fewer heads",
        lambda wish: heads_change(found, on=on, business=business, **wish),
        lambda wish: change_heads(booking=found, **wish),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_booking", raise_exception=True)
def booking_date(request: HttpRequest, pk: int, booking_pk: int) -> HttpResponse:
    """Another day."""
    found = _booking_or_404(pk, booking_pk)
    business, on = Business.objects.get(), timezone.localdate()
    trips = queries.days_for(found, at=timezone.now())
    form = DateForm(_asked(request, "trip"), trips=trips)
    return _previewed(
        request,
        found,
        form,
        "bookings/booking_date.html",
        "Another day",
        lambda wish: date_change(found, on=on, business=business, **wish),
        lambda wish: move_booking(booking=found, **wish),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.change_booking", raise_exception=True)
def booking_cancel(request: HttpRequest, pk: int, booking_pk: int) -> HttpResponse:
    """Cancel by the ladder."""
    found = _booking_or_404(pk, booking_pk)
    business, on = Business.objects.get(), timezone.localdate()
    form = CancelForm(_asked(request, "by"))
    return _previewed(
        request,
        found,
        form,
        "bookings/booking_cancel.html",
        "Cancel a booking",
        lambda wish: _by_word(cancellation_terms(found, on=on, business=business, **wish)),
        lambda wish: cancel_booking(booking=found, **wish),
    )


def _by_word(terms: dict[Wish, Any]) -> dict[str, Any]:
    return {wish.value: outcome for wish, outcome in terms.items()}


@require_POST
@permission_required("bookings.add_moneyentry", raise_exception=True)
def booking_bill(request: HttpRequest, pk: int, booking_pk: int) -> HttpResponse:
    """The next invoice: the first instalment, or all that is not billed yet."""
    found = _booking_or_404(pk, booking_pk)
    act = invoice_balance if queries.entries_of_booking(found).exists() else invoice_deposit
    try:
        entry = act(booking=found)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("booking", pk, booking_pk)
    messages.success(request, f"{entry} is written.")
    return redirect("money_entry", entry.pk)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.add_moneyentry", raise_exception=True)
def booking_write_off(request: HttpRequest, pk: int, booking_pk: int) -> HttpResponse:
    found = _booking_or_404(pk, booking_pk)
    (account,) = accounts_of([found], business=Business.objects.get(), on=timezone.localdate())
    form = AmountReasonForm(
        typed(request),
        button="Write it off",
        currency=found.currency,
        initial={"amount": account.account.open},
    )
    if request.method == "POST" and form.is_valid():
        try:
            entry = write_off(booking=found, **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{entry} is written.")
            return redirect("booking", pk, booking_pk)
    return form_page(request, form, f"Give up money of {found.party.client}")


@require_POST
@permission_required("bookings.change_booking", raise_exception=True)
def booking_choose(request: HttpRequest, pk: int, booking_pk: int) -> HttpResponse:
    """The client told us what they want with their money."""
    found = _booking_or_404(pk, booking_pk)
    settlement = queries.settlement_of(found)
    if settlement is None:
        raise Http404("This booking was not settled.")
    try:
        choose(settlement=settlement, choice=request.POST.get("choice", ""))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, "Noted.")
    return redirect("booking", pk, booking_pk)
