"""`manage.py assess TRIP`: the hazards of a trip with the numbers that fired them."""

from __future__ import annotations

import json as jsonlib

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from bookings.models import Business
from guiding.desk.sheets.gather import TripFile, gather
from guiding.desk.sheets.risks import assessment
from guiding.safety.queries.assessment import Assessment, facts_record, lines_record


class Command(BaseCommand):
    help = (
        "Say which hazards belong to a trip, the number that fired each, and the risk before and "
        "after what is done about it. Example: manage.py assess 12 --json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("trip", type=int, help="number of the trip")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *, trip: int, json: bool, **_: object) -> None:
        file = trip_file(trip)
        try:
            found = assessment(file)
        except ValueError as refusal:
            raise CommandError(str(refusal)) from None
        if not found.library_size:
            raise CommandError(
                f"The hazard library is empty: run {settings.PROGRAM} load_hazards first."
            )
        if json:
            self.stdout.write(jsonlib.dumps(_record(file, found), ensure_ascii=False, indent=1))
            return
        for one in found.hazards:
            hazard = one.fired.hazard
            self.stdout.write(
                f"{hazard.likelihood_before} x {hazard.consequence_before} {one.band_before}"
                f" -> {hazard.likelihood_after} x {hazard.consequence_after} {one.band_after}"
                f"  {one.fired.name}: {one.fired.trigger}"
            )
        self.stdout.write(
            f"{len(found.hazards)} of {found.library_size} hazards. {_signed(found)} "
            "Check with your own authority."
        )


def trip_file(pk: int) -> TripFile:
    """The file of a trip for a command, or one sentence why there is none."""
    business = Business.objects.first()
    if business is None:
        raise CommandError("There is no business yet: open the desk once, or load the demo.")
    file = gather(pk, business=business)
    if file is None:
        raise CommandError(f"There is no trip {pk}.")
    return file


def _signed(found: Assessment) -> str:
    if found.signed is None:
        return "Not signed yet."
    if found.changed:
        return f"Signed, but asks for another look: {'; '.join(found.changed[:3])}."
    return f"Signed by {found.signed.signed_name}."


def _record(file: TripFile, found: Assessment) -> dict[str, object]:
    return {
        "trip": file.trip.pk,
        "day": file.day.isoformat(),
        "facts": facts_record(found.facts),
        "hazards": lines_record(found.hazards),
        "dropped": [
            {"key": one.fired.key, "reason": one.choice.reason}
            for one in found.dropped
            if one.choice
        ],
        "library": found.library_size,
        "signed_at": found.signed.signed_at.isoformat() if found.signed else None,
        "changed": list(found.changed),
    }
