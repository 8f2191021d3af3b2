"""A row of the demo season for every address that asks for one."""

from __future__ import annotations

import datetime
import itertools
from collections.abc import Callable, Iterable
from decimal import Decimal

from django.contrib.auth.models import User
from django.core.files.base import ContentFile
from django.db.models import Model

from bookings.actions.invites import make_feed_link
from bookings.actions.money.bank import keep_statement
from bookings.actions.outbox import put_in_outbox
from bookings.actions.party_links import make_party_link
from bookings.actions.trips import cancel_booking
from bookings.models import (
    Ask,
    BankLine,
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
    Settlement,
    Trip,
    TripAttendee,
    Waiting,
)
from bookings.rules.mail import Enclosed
from bookings.rules.statement import StatementLine
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


def _ask() -> Ask:
    """What somebody asked on their own page, not answered yet."""
    return Ask.objects.get_or_create(
        party=_booked_party(), text="May we come a day later?", defaults={"asked_at": AT}
    )[0]


def _bank_line() -> Model:
    line = StatementLine(1, AT.date(), Decimal(20), "EUR", "A payer", "", "", "seen by whom")
    keep_statement(lines=[line], at=AT)
    return BankLine.objects.get(fingerprint="seen by whom")


def _waiting() -> Model:
    trip, party = _next_trip(), Party.objects.filter(state="open", bookings=None)[0]
    known = Waiting.objects.filter(trip=trip, party=party).first()
    return known or Waiting.objects.create(trip=trip, party=party, heads=1, asked_at=AT)


def _settlement() -> Settlement:
    """Of the last day to come that is paid for, called off by the guide."""
    known = Settlement.objects.filter(by="guide", settled_at=AT).first()
    if known is None:
        ahead = Booking.objects.filter(status="confirmed", money__entry__kind="payment")
        booking = ahead.exclude(party=_booked_party()).order_by("-trip__starts_at")[0]
        cancel_booking(booking=booking, by="guide", at=AT)
        known = Settlement.objects.get(booking=booking)
    return known


def _entry_of(kind: str) -> Callable[[], Model]:
    """A paper of the booked party."""
    return lambda: MoneyEntry.objects.filter(kind=kind, shares__party=_booked_party())[0]


def _their_quote() -> Model:
    return Quote.objects.filter(party=_booked_party(), status="accepted")[0]


def _paying_client() -> Model:
    return MoneyEntry.objects.all()[0].shares.all()[0].party.client


# What `pk` stands for, by how the address begins; the longest beginning counts.
ROWS: dict[str, Callable[[], Model]] = {
    "messages/": _message,
    "setup/calendars/": lambda: User.objects.all()[0],
    "parties/": lambda: Party.objects.filter(state="open", participants__isnull=False)[0],
    "parties/<int:pk>/bookings/": _booked_party,
    "parties/<int:pk>/bookings/<int:booking_pk>/choose/": lambda: _settlement().booking.party,
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
    "money/papers/": _entry_of("invoice"),
    "money/papers/<int:pk>/take-out/": _entry_of("payment"),
    "money/bank/": _bank_line,
    "waiting/": _waiting,
    "parties/<int:pk>/asks/": lambda: _ask().party,
    "my/<str:token>/papers/": _entry_of("invoice"),
    "my/<str:token>/papers/quote/": _their_quote,
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


# What opens a private address, by how it begins; the first that fits counts.
TOKENS: dict[str, Callable[[], str]] = {
    "my/<str:token>/choose/": lambda: make_party_link(party=_settlement().booking.party, at=AT),
    "my/": lambda: make_party_link(party=_booked_party(), at=AT),
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


# Words of single addresses, by how they begin; the longest beginning counts before WORDS.
WORDS_OF: dict[str, dict[str, tuple[str, ...]]] = {
    "money/years/": {"name": ("papers-2026.csv", "journal-2026.csv", "totals-2026.csv")},
    "money/(?P<name>": {"name": ("invoices", "payments", "refunds", "other")},
    "my/<str:token>/days/": {"name": ("trip-sheet.pdf", "invite.ics")},
    "waiting/": {"step": ("place", "leave")},
}
# Further rows that an address names beside its first, by the name of the part.
OTHERS: dict[str, Callable[[], Model]] = {
    "ask_pk": _ask,
    "quote_pk": _their_quote,
    "settlement_pk": _settlement,
}
# What has to be sent along, by the name of the address, for the door to open to anybody.
SENT: dict[str, dict[str, str]] = {
    "client_choose": {"choice": "refund"},
    "booking_choose": {"choice": "refund"},
}


def rows_for(route: str, parts: Iterable[str]) -> Iterable[tuple[str, dict[str, object]]]:
    """Everything to fill an address with: the words that tell one from the other, and all of it."""
    parts = list(parts)
    known: dict[str, object] = {}
    if "pk" in parts:
        beginnings = [start for start in ROWS if route.startswith(start)]
        assert beginnings, f"say in ROWS of {__name__} which row {route!r} is about"
        known["pk"] = ROWS[max(beginnings, key=len)]().pk
    party = known.get("pk") if route.startswith(("parties/", "trips/")) else _booked_party().pk
    if "booking_pk" in parts:
        of_party = Booking.objects.filter(party=party)
        settled = of_party.filter(settlement__by="guide").first()
        known["booking_pk"] = (settled or of_party.filter(status="confirmed")[0]).pk
    if "person_pk" in parts:
        known["person_pk"] = Participant.objects.filter(party=party)[0].pk
    known |= {part: OTHERS[part]().pk for part in parts if part in OTHERS}
    if "extra_pk" in parts:
        offer = Offer.objects.get(pk=known["pk"])
        extra, _ = OfferExtra.objects.get_or_create(offer=offer, name="Flask", price=5)
        known["extra_pk"] = extra.pk
    tokens = [start for start in TOKENS if route.startswith(start)]
    if "token" in parts and tokens:
        known["token"] = TOKENS[tokens[0]]()
    others = [part for part in parts if part not in known]
    of_this = [start for start in WORDS_OF if route.startswith(start)]
    told = WORDS | WORDS_OF[max(of_this, key=len)] if of_this else WORDS
    for part in others:
        assert part in told, f"say in WORDS of {__name__} what {part!r} in {route!r} may be"
    choices = [
        [word for word in told[part] if f"(?P<{part}>" not in route or _fits(route, part, word)]
        for part in others
    ]
    for words in itertools.product(*choices):
        yield " ".join(words), known | dict(zip(others, words, strict=True))


def _fits(route: str, part: str, word: str) -> bool:
    """Whether a word is one of those that a pattern lists, where it lists words."""
    listed = route.split(f"(?P<{part}>")[1].split(")")[0]
    return word in listed.split("|") if "|" in listed else True
