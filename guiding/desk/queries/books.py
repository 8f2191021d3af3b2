"""Every invariant that spans rows, asked at once; what is broken is named."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from django.db.models import Count, F, Q, Sum

from bookings.models import Booking, Participant, Trip
from bookings.queries.books import broken_money
from equipment.models import Line, PackCheck, UseEntry
from guiding.days.models import DayPlan
from guiding.days.queries.flights import drops_with_wrong_wear


def broken() -> list[str]:
    """A sentence for each invariant that does not hold; empty when the books are sound."""
    return [sentence for check in CHECKS for sentence in check()]


def _places() -> Iterator[str]:
    """The counter of a trip is the sum of its live bookings."""
    trips = Trip.objects.annotate(
        sold=Sum("bookings__heads", filter=~Q(bookings__status=Booking.Status.CANCELLED))
    )
    for trip in trips:
        sold = trip.sold or 0
        if sold != trip.places_taken:
            yield f"Trip {trip.pk}: {trip.places_taken} places counted, {sold} booked."
        if sold > trip.places:
            yield f"Trip {trip.pk}: {sold} booked on {trip.places} places."


def _cancelled_trips() -> Iterator[str]:
    """A trip that was called off holds nobody's confirmed booking after it was settled."""
    odd = Booking.objects.filter(
        trip__status=Trip.Status.CANCELLED, status=Booking.Status.TENTATIVE
    )
    for booking in odd:
        yield f"Booking {booking.pk}: still held on trip {booking.trip_id}, which is called off."


def _money() -> Iterator[str]:
    """Entries, invoices, balances and price notes agree."""
    yield from broken_money()


def _people() -> Iterator[str]:
    """Nobody answers for a child of another party; no party names more people than heads."""
    for person in Participant.objects.exclude(guardian=None).exclude(guardian__party=F("party")):
        yield f"Participant {person.pk}: the guardian is of another party."
    crowded = Participant.objects.values("party").annotate(named=Count("pk"))
    for row in crowded.filter(named__gt=F("party__heads")):
        yield f"Party {row['party']}: names {row['named']} people, more than its heads."


def _plans() -> Iterator[str]:
    """A session lies within its trip."""
    outside = DayPlan.objects.filter(
        Q(session_start__lt=F("trip__starts_at")) | Q(session_end__gt=F("trip__ends_at"))
    )
    for plan in outside:
        yield f"Plan {plan.pk}: the session lies outside trip {plan.trip_id}."


def _lines() -> Iterator[str]:
    """The counter of a line is the sum of its log."""
    standing = UseEntry.objects.filter(
        kind__in=["cut_back_m", "lost_m"], reversed_by=None, line__isnull=False
    )
    logged = dict(
        standing.order_by()
        .values_list("line")
        .annotate(Sum("amount"))
        .values_list("line", "amount__sum")
    )
    for line in Line.objects.all():
        if abs(line.used_m - logged.get(line.pk, 0.0)) > 1e-6:
            yield f"Line {line.pk}: {line.used_m} m counted, {logged.get(line.pk, 0)} m logged."


def _checks() -> Iterator[str]:
    """The lowest and highest cell of a check are those of its list."""
    for check in PackCheck.objects.exclude(cells_v=[]).select_related("pack"):
        if (min(check.cells_v), max(check.cells_v)) != (check.cell_low_v, check.cell_high_v):
            yield f"Check {check.pk} of {check.pack}: lowest and highest cell do not fit its list."
        if len(check.cells_v) != check.pack.cells_series:
            yield f"Check {check.pk} of {check.pack}: measures {len(check.cells_v)} cells."


def _drops() -> Iterator[str]:
    """Every drop that stands has its wear in the use log, and one taken out has none."""
    for drop in drops_with_wrong_wear():
        yield f"Drop {drop.pk} ({drop}): its wear in the use log does not fit it."


CHECKS: tuple[Callable[[], Iterator[str]], ...] = (
    _places,
    _cancelled_trips,
    _money,
    _people,
    _plans,
    _lines,
    _checks,
    _drops,
)
