"""The rules of signing, set in Setup."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from bookings.models import SigningRules


@transaction.atomic
def save_signing_rules(**fields: Any) -> SigningRules:
    """The one row of rules, set anew; they count from now on."""
    rules = SigningRules.objects.first() or SigningRules()
    for name, value in fields.items():
        setattr(rules, name, value)
    rules.full_clean(validate_unique=False, validate_constraints=False)
    rules.save()
    return rules
