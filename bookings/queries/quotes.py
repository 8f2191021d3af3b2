"""Questions about price notes."""

from __future__ import annotations

import datetime

from django.db.models import Q, QuerySet

from bookings.models import Quote


def open_quotes(*, at: datetime.datetime) -> QuerySet[Quote]:
    """Price notes that a party can say yes to: sent, not run out, and their trip still to come."""
    ahead = Q(booking=None) | Q(booking__trip__starts_at__gt=at)
    return Quote.objects.filter(ahead, status=Quote.Status.SENT, valid_until__gt=at)
