"""A row of the demo season for every address that asks for one."""

from __future__ import annotations

import datetime
import itertools
from collections.abc import Callable, Iterable

from django.contrib.auth.models import User
from django.core.files.base import ContentFile
from django.db.models import Model

from bookings.actions.invites import make_feed_link
from bookings.actions.outbox import put_in_outbox
from bookings.models import (
    Booking,
    CancellationLadder,
    Client,
    ClientMerge,
    Message,
    MoneyEntry,
    Offer,
    OfferExtra,
    Participant,
    Party,
    Quote,
    Trip,
    TripAttendee,
)
from bookings.rules.mail import Enclosed
from equipment import models as equipment
from guiding.days import models as days
from guiding.desk.actions.invites import tell_calendars
from guiding.desk.sheets.answers import answer_token
from guiding.safety import models as safety

AT = datetime.datetime(2026, 6, 1, 8, 0, tzinfo=datetime.UTC)


def _defect() -> Model:
    thing = equipment.Thing.objects.first()
    return equipment.Defect.objects.create(thing=thing, found_at=AT, what="A ring is cracked.")


def _service() -> Model:
    thing = equipment.Thing.objects.first()
    return equipment.ServiceRecord.objects.create(thing=thing, rule_name="Rinse", done_at=AT)


def _rule() -> Model:
    return equipment.ServiceRule.objects.create(kind="rod", name="Look at rings", every_days=30)


def _attachment() -> Model:
    return equipment.Attachment.objects.create(
        thing=equipment.Thing.objects.first(),
        kind="paper",
        title="Maker's sheet",
        content_type="application/pdf",
        file=ContentFile(b"%PDF-1.7", "sheet.pdf"),
        size=8,
        added_at=AT,
    )


def _message() -> Model:
    message = put_in_outbox(
        kind="go",
        cause="seen by whom",
        to_mail="anna@example.org",
        subject="We go",
        body="Hello",
        enclosed=[Enclosed("sheet.pdf", "application/pdf", b"%PDF-1.7")],
        at=AT,
    )
    return message or Message.objects.get(cause="seen by whom")


def _permit() -> Model:
    permit = days.DropPermit.objects.all()[0]
    permit.file.save("scan.pdf", ContentFile(b"%PDF-1.7"))
    return permit


def _held_paper() -> Model:
    paper = safety.HeldPaper.objects.all()[0]
    paper.file.save("scan.pdf", ContentFile(b"%PDF-1.7"))
    return paper


def _merge() -> Model:
    kept, gone = Client.objects.all()[:2]
    found, _ = ClientMerge.objects.get_or_create(
        kept=kept, gone=gone, undone_at=None, defaults={"at": AT}
    )
    return found


def _next_trip() -> Trip:
    return Trip.objects.filter(starts_at__gt=AT, status="confirmed", plan__isnull=False)[0]


def _booked_party() -> Model:
    """Booked on the next day to come, everybody named, and the deposit billed."""
    return _next_trip().bookings.filter(status="confirmed")[0].party


def _paying_client() -> Model:
    return MoneyEntry.objects.all()[0].shares.all()[0].party.client


# What `pk` stands for, by how the address begins; the longest beginning counts.
ROWS: dict[str, Callable[[], Model]] = {
    "messages/": _message,
    "setup/calendars/": lambda: User.objects.all()[0],
    "parties/": lambda: Party.objects.filter(state="open", participants__isnull=False)[0],
    "parties/<int:pk>/bookings/": _booked_party,
    "trips/": _next_trip,
    "trips/fish/": lambda: days.Catch.objects.filter(struck_out_at=None)[0],
    "spots/fish/": lambda: days.SpeciesRule.objects.all()[0],
    "spots/": lambda: days.Spot.objects.all()[0],
    "spots/tides/": lambda: days.TideSource.objects.all()[0],
    "setup/rates/": lambda: days.CostRate.objects.all()[0],
    "setup/offers/": lambda: Offer.objects.all()[0],
    "setup/ladders/": lambda: CancellationLadder.objects.get_or_create(name="House")[0],
    "parties/same/": _merge,
    "money/clients/": _paying_client,
    "money/quotes/": lambda: Quote.objects.all()[0],
    "gear/things/": lambda: equipment.Thing.objects.all()[0],
    "gear/defects/": _defect,
    "gear/use/": lambda: equipment.UseEntry.objects.all()[0],
    "gear/craft/": lambda: equipment.Craft.objects.all()[0],
    "gear/packs/": lambda: equipment.FlightPack.objects.all()[0],
    "gear/checks/": lambda: equipment.PackCheck.objects.all()[0],
    "gear/reels/": lambda: equipment.Reel.objects.all()[0],
    "gear/services/": _service,
    "gear/files/": _attachment,
    "gear/rules/": _rule,
    "spots/permissions/": _permit,
    "gear/rigs/": lambda: days.Rig.objects.all()[0],
    "gear/tackle/": lambda: days.Tackle.objects.all()[0],
    "gear/drops/": lambda: days.Drop.objects.filter(reverses=None, reversed_by=None)[0],
    "gear/chargers/": lambda: days.Charger.objects.all()[0],
    "safety/incidents/": lambda: safety.Incident.objects.all()[0],
    "safety/follow-ups/": lambda: safety.FollowUp.objects.all()[0],
    "safety/hazards/": lambda: safety.Hazard.objects.all()[0],
    "safety/papers/": _held_paper,
    "safety/papers/kinds/": lambda: safety.PaperKind.objects.all()[0],
    "safety/spots/": lambda: days.Spot.objects.all()[0],
    "gear/load/": lambda: days.LoadLine.objects.all()[0],
}


def _feed_token() -> str:
    return make_feed_link(user=User.objects.filter(is_superuser=True)[0])


def _answer_token() -> str:
    tell_calendars(trip_pk=_next_trip().pk, at=AT)
    return answer_token(TripAttendee.objects.all()[0])


# What opens a private address, by how it begins.
TOKENS: dict[str, Callable[[], str]] = {
    "calendar/": _feed_token,
    "answer/": _answer_token,
}
# Words that an address may hold.
WORDS: dict[str, tuple[str, ...]] = {
    "kind": ("rod", "pack"),
    "step": (
        "confirm",
        "call-off",
        "fished",
        "sent",
        "accepted",
        "again",
        "arrived",
        "withdraw",
        "bounced",
        "close",
        "reopen",
    ),
    "name": ("trip-sheet.pdf", "run-sheet.pdf", "cost-sheet.pdf", "cost.csv", "invite.ics"),
    "sheet": ("prep-lists.pdf", "drop-sheet.pdf", "prep.csv", "shopping.csv", "charging.csv"),
    "number": ("1",),
    "year": ("2026",),
    "message_kind": ("trip_sheet",),
    "language": ("en",),
    "token": ("no-such-token",),
    "key": ("abc-def",),
    "uidb36": ("1",),
}


def rows_for(route: str, parts: Iterable[str]) -> Iterable[tuple[str, dict[str, object]]]:
    """Everything to fill an address with: the words that tell one from the other, and all of it."""
    parts = list(parts)
    known: dict[str, object] = {}
    if "pk" in parts:
        beginnings = [start for start in ROWS if route.startswith(start)]
        assert beginnings, f"say in ROWS of {__name__} which row {route!r} is about"
        known["pk"] = ROWS[max(beginnings, key=len)]().pk
    if "booking_pk" in parts:
        known["booking_pk"] = Booking.objects.filter(party=known["pk"], status="confirmed")[0].pk
    if "person_pk" in parts:
        known["person_pk"] = Participant.objects.filter(party=known["pk"])[0].pk
    if "extra_pk" in parts:
        offer = Offer.objects.get(pk=known["pk"])
        extra, _ = OfferExtra.objects.get_or_create(offer=offer, name="Flask", price=5)
        known["extra_pk"] = extra.pk
    tokens = [start for start in TOKENS if route.startswith(start)]
    if "token" in parts and tokens:
        known["token"] = TOKENS[tokens[0]]()
    others = [part for part in parts if part not in known]
    for part in others:
        assert part in WORDS, f"say in WORDS of {__name__} what {part!r} in {route!r} may be"
    choices = [
        [word for word in WORDS[part] if f"(?P<{part}>" not in route or _fits(route, part, word)]
        for part in others
    ]
    for words in itertools.product(*choices):
        yield " ".join(words), known | dict(zip(others, words, strict=True))


def _fits(route: str, part: str, word: str) -> bool:
    """Whether a word is one of those that a pattern lists, where it lists words."""
    listed = route.split(f"(?P<{part}>")[1].split(")")[0]
    return word in listed.split("|") if "|" in listed else True
