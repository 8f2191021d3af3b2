"""What several commands ask for: a spot by name or number, a text file, the business."""

from __future__ import annotations

from pathlib import Path

from django.core.exceptions import ValidationError
from django.core.management.base import CommandError

from bookings.models import Business
from guiding.days.models import Spot
from guiding.days.queries.plans import spots


def the_business() -> Business:
    business = Business.objects.first()
    if business is None:
        raise CommandError("There is no business yet: open the desk once, or load the demo.")
    return business


def spot_named(typed: str) -> Spot:
    """The spot of a name or a number, or one sentence with those there are."""
    found = spots().filter(name__iexact=typed).first()
    if found is None and typed.isdigit():
        found = spots().filter(pk=int(typed[:9])).first()
    if found is None:
        known = ", ".join(Spot.objects.values_list("name", flat=True)) or "none yet"
        raise CommandError(f"There is no spot {typed!r}. Known spots: {known}.")
    return found


def text_file(name: str) -> str:
    """The text of a file, or one sentence about why it cannot be read."""
    try:
        return Path(name).read_text(encoding="utf-8-sig")
    except OSError as error:
        raise CommandError(f"{name} cannot be read: {error.strerror}.") from None
    except UnicodeDecodeError:
        raise CommandError(f"{name} is no text file in UTF-8.") from None


def refused(refusal: ValidationError) -> CommandError:
    """A refusal in one sentence; of many bad rows all are named."""
    return CommandError("; ".join(refusal.messages))
