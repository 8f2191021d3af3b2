"""The first run: the business and the first login, from an empty database."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import Group, Permission, User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from bookings.models import Business
from guiding.desk.actions.business import checked_particulars
from guiding.safety.actions.library import load_library

# What each role may do, by app and verb; the owner may do everything.
ROLES: dict[str, tuple[tuple[str, str], ...]] = {
    "helper": (
        ("bookings", "view"),
        ("equipment", "view"),
        ("equipment", "add"),
        ("days", "view"),
        ("safety", "view"),
        ("safety", "add"),
    ),
    "bookkeeper": (("bookings", "view"), ("days", "view")),
}


@transaction.atomic
def open_business(*, password: str, **fields: Any) -> User:
    """Make the business and its owner's login; refused when there is a business already."""
    business = Business(**checked_particulars(fields))
    business.full_clean()
    if Business.objects.exists():
        raise ValidationError("This desk is open already: sign in.")
    owner = User(
        username=business.email,
        email=business.email,
        first_name=business.guide_name[:150],
        is_superuser=True,
        is_staff=True,
    )
    try:
        validate_password(password, owner)
    except ValidationError as refusal:
        raise ValidationError({"password": refusal.messages}) from None
    owner.set_password(password)
    try:
        with transaction.atomic():
            business.save(force_insert=True)
            owner.save()
    except IntegrityError:
        raise ValidationError("This desk was opened a moment ago: sign in.") from None
    make_roles()
    load_library()
    return owner


@transaction.atomic
def make_roles() -> None:
    """The groups of the roles, with their rights set anew."""
    for name, rights in ROLES.items():
        group, _ = Group.objects.get_or_create(name=name)
        allowed = Permission.objects.none()
        for app, verb in rights:
            allowed |= Permission.objects.filter(
                content_type__app_label=app, codename__startswith=f"{verb}_"
            )
        group.permissions.set(allowed)
