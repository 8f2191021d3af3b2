"""Questions about the catch: of a trip, of a year, and which species come first."""

from __future__ import annotations

import datetime
from collections.abc import Iterable

from django.db.models import Prefetch, Q, QuerySet

from bookings.models import Booking, Trip
from guiding.days.models import Catch, DayPlan, SpeciesRule
from guiding.days.rules.catch import SpeciesLimits
from guiding.days.rules.seasons import ShutDates

_LATELY = 200  # fish that say which species are usual


def catches_of(trip: Trip) -> QuerySet[Catch]:
    """Every entry of a trip, newest first, struck out ones too."""
    rows = Catch.objects.filter(trip=trip).select_related("species", "person")
    return rows.order_by("-at", "-pk")


def standing(rows: QuerySet[Catch]) -> QuerySet[Catch]:
    """The entries that count."""
    return rows.filter(struck_out_at=None)


def species_lately() -> list[SpeciesRule]:
    """The species on offer: those caught lately by how many times, then the others by name."""
    newest = standing(Catch.objects.order_by("-at", "-pk")).values_list("species", flat=True)
    times: dict[int, int] = {}
    for species in newest[:_LATELY]:
        times[species] = times.get(species, 0) + 1
    rows = list(SpeciesRule.objects.filter(in_use=True))
    return sorted(rows, key=lambda row: (-times.get(row.pk, 0), row.name_en))


def limits_of(rules: Iterable[SpeciesRule]) -> dict[int, SpeciesLimits]:
    """What may be kept, by species, as it was typed in."""
    return {
        rule.pk: SpeciesLimits(
            least_mm=rule.least_mm,
            most_mm=rule.most_mm,
            bag=rule.bag_limit,
            closed=ShutDates(rule.closed_from, rule.closed_to, yearly=True, reason="closed season")
            if rule.closed_from and rule.closed_to
            else None,
            protected=rule.protected,
            checked_on=rule.checked_on,
        )
        for rule in rules
    }


def anglers_of(trip: Trip) -> int:
    """How many people of live bookings fish on a trip."""
    heads = Booking.objects.filter(trip=trip).exclude(status=Booking.Status.CANCELLED)
    return sum(heads.values_list("heads", flat=True))


def year_span(year: int, zone: datetime.tzinfo) -> tuple[datetime.datetime, datetime.datetime]:
    """From New Year to New Year where the business is."""
    return datetime.datetime(year, 1, 1, tzinfo=zone), datetime.datetime(
        year + 1, 1, 1, tzinfo=zone
    )


def catches_of_year(year: int, zone: datetime.tzinfo) -> QuerySet[Catch]:
    """The entries that count of the trips of a year."""
    start, end = year_span(year, zone)
    rows = Catch.objects.filter(trip__starts_at__gte=start, trip__starts_at__lt=end)
    return standing(rows).select_related("species").order_by("at", "pk")


def days_fished(year: int, zone: datetime.tzinfo) -> QuerySet[Trip]:
    """Trips of a year that were fished or on which fish were logged, with plan, bookings, fish."""
    start, end = year_span(year, zone)
    live = Booking.objects.filter(status=Booking.Status.CONFIRMED)
    fish = standing(Catch.objects.select_related("species")).order_by("at", "pk")
    return (
        Trip.objects.filter(starts_at__gte=start, starts_at__lt=end)
        .filter(Q(status=Trip.Status.FISHED) | Q(pk__in=fish.order_by().values("trip")))
        .prefetch_related(
            Prefetch("bookings", live, to_attr="confirmed"),
            Prefetch("catches", fish, to_attr="fish"),
            Prefetch("plan", DayPlan.objects.select_related("spot")),
        )
        .order_by("starts_at", "pk")
    )
