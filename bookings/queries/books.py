"""Every invariant of money that spans rows, asked of the whole database."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from decimal import Decimal

from django.db.models import Count, F, Max, Min, Q, QuerySet

from bookings.models import Booking, MoneyEntry, MoneySeries, MoneyShare, Quote, Settlement
from bookings.queries.money import booking_accounts, exact_sum
from bookings.rules.references import creditor_reference

Kind = MoneyEntry.Kind
_NOTHING = Decimal(0)
# What an entry does to what is owed, by its kind; one that takes another out does the opposite.
_SIGNS = {
    Kind.INVOICE: 1,
    Kind.REFUND: 1,
    Kind.PAYMENT: -1,
    Kind.CREDIT_NOTE: -1,
    Kind.WRITE_OFF: -1,
    Kind.TRANSFER: 0,
}


def broken_money() -> list[str]:
    """A sentence for each thing in the books that does not agree; empty when all does."""
    return [sentence for check in _CHECKS for sentence in check()]


def _numbers() -> Iterator[str]:
    """Each series runs from 1 without a gap to the number before its next."""
    found = {
        (row["kind"], row["year"]): row
        for row in MoneyEntry.objects.order_by()
        .values("kind", "year")
        .annotate(first=Min("number"), last=Max("number"), count=Count("pk"))
    }
    series = {(each.kind, each.year): each.next_number for each in MoneySeries.objects.all()}
    for key in found.keys() | series.keys():
        row = found.get(key, {"first": 1, "last": 0, "count": 0})
        if row["first"] != 1 or row["last"] != row["count"]:
            yield f"Series {key[0]} {key[1]}: {row['count']} papers, numbered up to {row['last']}."
        if series.get(key, 1) != row["last"] + 1:
            yield f"Series {key[0]} {key[1]}: goes on after {row['last']} at {series.get(key)}."


def _lines() -> Iterator[str]:
    """The lines of a paper add up to its net, its tax and its amount; other entries have none."""
    entries = MoneyEntry.objects.order_by("pk").annotate(
        line_net=exact_sum("lines__net"),
        line_tax=exact_sum("lines__tax"),
        line_gross=exact_sum("lines__gross"),
    )
    for entry in entries.values_list(
        "kind", "label", "amount", "net", "tax", "line_gross", "line_net", "line_tax"
    ).iterator():
        kind, label, *sums = entry
        whole, parts = tuple(sums[:3]), tuple(sums[3:])
        billed = kind in {Kind.INVOICE, Kind.CREDIT_NOTE}
        if billed and whole != parts:
            yield f"{label}: its lines come to {parts}, the paper says {whole}."
        if not billed and any(part is not None for part in parts):
            yield f"{label}: a {kind} has no lines."


def _shares() -> Iterator[str]:
    """What an entry does to its accounts is its amount, with the sign of its kind."""
    rows = MoneyEntry.objects.order_by("pk").annotate(
        owed=exact_sum("shares__owed"), up=exact_sum("shares__owed", Q(shares__owed__gt=0))
    )
    for kind, label, amount, reverses, owed, up in rows.values_list(
        "kind", "label", "amount", "reverses", "owed", "up"
    ).iterator():
        wanted = _SIGNS[Kind(kind)] * amount * (-1 if reverses else 1)
        if (owed or _NOTHING) != wanted or (kind == Kind.TRANSFER and up != amount):
            yield f"{label}: its shares come to {owed}, not {wanted}."
    strangers = MoneyShare.objects.exclude(booking=None).exclude(booking__party=F("party"))
    for share in strangers.select_related("entry"):
        yield f"{share.entry.label}: a share is of a booking of another party."


def _corrections() -> Iterator[str]:
    """Nothing above an invoice is credited; what is taken out is taken out whole, of its kind."""
    credited = MoneyEntry.objects.filter(kind=Kind.INVOICE).annotate(
        off=exact_sum("credit_notes__amount")
    )
    for invoice in credited.filter(off__gt=F("amount")):
        yield f"Invoice {invoice.label}: {invoice.off} credited of {invoice.amount}."
    wrong = MoneyEntry.objects.exclude(reverses=None).exclude(
        kind=F("reverses__kind"), amount=F("reverses__amount"), currency=F("reverses__currency")
    )
    for entry in wrong:
        yield f"{entry.label}: takes out something that is not its like."
    for entry in MoneyEntry.objects.exclude(corrects=None).exclude(corrects__kind=Kind.INVOICE):
        yield f"{entry.label}: corrects a paper that is no invoice."


def _references() -> Iterator[str]:
    """Each invoice carries the reference that its number makes."""
    invoices = MoneyEntry.objects.filter(kind=Kind.INVOICE).values_list("label", "reference")
    for label, reference in invoices.iterator():
        if reference != creditor_reference(label):
            yield f"Invoice {label}: its reference {reference} is not its own."


def _never_below_nothing() -> Iterator[str]:
    """No more goes back, or moves on, than was paid: on each booking and on each account."""
    cash = Q(entry__kind__in=[Kind.PAYMENT, Kind.REFUND, Kind.TRANSFER])
    sums = MoneyShare.objects.order_by().filter(cash).values("party", "booking")
    for row in sums.annotate(owed=exact_sum("owed")).filter(owed__gt=0):
        where = f"Booking {row['booking']}" if row["booking"] else f"Account of {row['party']}"
        yield f"{where}: {row['owed']} more went out than came in."


def _bookings() -> Iterator[str]:
    """A live booking is billed at most its price, one that left what it was charged for leaving."""
    billed: dict[int, Decimal] = defaultdict(Decimal)
    sums = (
        MoneyShare.objects.order_by()
        .filter(entry__kind__in=[Kind.INVOICE, Kind.CREDIT_NOTE], booking__isnull=False)
        .values_list("booking")
        .annotate(sum=exact_sum("owed"))
    )
    billed.update(dict(sums))
    for pk, price in _live().values_list("pk", "price"):
        if billed[pk] > (price or _NOTHING):
            yield f"Booking {pk}: billed {billed[pk]}, agreed {price}."
    settled = dict(Settlement.objects.values_list("booking", F("kept") + F("still_due")))
    for pk in Booking.objects.filter(status=Booking.Status.CANCELLED).values_list("pk", flat=True):
        charged = settled.get(pk, _NOTHING)
        if billed[pk] != charged:
            yield f"Booking {pk}: cancelled and billed {billed[pk]}, charged {charged}."


def _live() -> QuerySet[Booking]:
    return Booking.objects.filter(status=Booking.Status.CONFIRMED)


def _settlements() -> Iterator[str]:
    """A settled booking is cancelled, and holds what is to go back and nothing else."""
    for each in Settlement.objects.exclude(booking__status=Booking.Status.CANCELLED):
        yield f"Settlement {each.pk}: its booking is not cancelled."
    rows = Settlement.objects.values_list("booking", "paid", "moved", "still_due")
    accounts = booking_accounts([pk for pk, *_ in rows])
    for pk, paid, moved, still_due in rows:
        if accounts[pk].paid > paid - moved + still_due:
            yield f"Booking {pk}: settled on {paid} paid, and now holds {accounts[pk].paid}."


def _quotes() -> Iterator[str]:
    """The lines of a price note add up to its total; the newest yes is what the booking costs."""
    sums = Quote.objects.annotate(sum=exact_sum("lines__amount")).values_list(
        "pk", "sum", "tax", "tax_included", "total"
    )
    for pk, lines, tax, included, total in sums:
        if lines is None:
            yield f"Price note {pk}: has no lines."
        elif lines + (_NOTHING if included else tax) != total:
            yield f"Price note {pk}: its lines come to {lines}, its total is {total}."
    newest: dict[int | None, tuple[int, bool]] = {}
    accepted = Quote.objects.filter(
        status=Quote.Status.ACCEPTED, booking__status=Booking.Status.CONFIRMED
    ).order_by("answered_at", "pk")
    for quote in accepted.select_related("booking"):
        agreed = (quote.booking.price, quote.booking.deposit) if quote.booking else None
        newest[quote.booking_id] = (quote.pk, agreed == (quote.total, quote.deposit))
    for pk, fits in newest.values():
        if not fits:
            yield f"Price note {pk}: its booking carries another price."


_CHECKS: tuple[Callable[[], Iterator[str]], ...] = (
    _numbers,
    _lines,
    _shares,
    _corrections,
    _references,
    _never_below_nothing,
    _bookings,
    _settlements,
    _quotes,
)
