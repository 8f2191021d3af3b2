"""The client's trip sheet."""

from __future__ import annotations

import datetime
from collections.abc import Callable

from bookings.models import Booking, Participant
from bookings.queries.money import invoices_of
from bookings.queries.signers import stays_with
from bookings.rules.money import rounded_money
from bookings.rules.phones import phone_text
from bookings.sheets.accounts import BookingAccount, accounts_of
from bookings.sheets.letterhead import our_side
from bookings.sheets.paying import ways_to_pay
from bookings.sheets.pricing import booking_rungs
from guiding.desk.sheets.catches import fish_facts
from guiding.desk.sheets.gather import TripFile, letterhead
from guiding.desk.sheets.ladder import ladder_lines
from guiding.desk.sheets.languages import in_language
from guiding.desk.sheets.paying import other_ways
from guiding.desk.sheets.risks import risk_lines
from guiding.papers import records
from guiding.papers.formats import Formats
from guiding.papers.words import put_in
from guiding.safety.sheets.card import emergency_facts, position_of_spot

_BACK_EARLY = datetime.timedelta(minutes=45)
DECIDED_BEFORE = datetime.timedelta(hours=14)
_MINUTE = datetime.timedelta(minutes=1)

Say = Callable[..., str]


def trip_sheet(
    file: TripFile, *, printed_at: datetime.datetime, page_size: str = "", language: str = ""
) -> records.TripSheet:
    """What a party holds. ValueError when the trip has no plan yet.

    It is made of the party's own facts. ValueError where several parties come and the file is
    nobody's: then each has a sheet of its own. What the guide has written (the offer, the spot)
    stands as it was written; everything else is in `language`, or in that of the business.
    """
    if file.party is None and len(file.parties) > 1:
        raise ValueError(f"Several parties come on {file.trip}: each has a trip sheet of its own.")
    trip, plan, nature, business = file.trip, file.plan, file.nature, file.business
    strip = file.strip()
    if plan is None or nature is None or strip is None:
        raise ValueError(f"{trip} has no plan yet: choose a spot before its papers are printed.")
    head = letterhead(
        business,
        number=f"T{trip.pk:05d}-{trip.sequence}",
        printed_at=printed_at,
        page_size=page_size,
        trip=file.trip,
    )
    head = in_language(head, language)
    shape = Formats(head)
    spot, offer, say = plan.spot, trip.offer, speaker(shape)
    fished = bool(nature.tide)
    return records.TripSheet(
        letterhead=head,
        title=offer.name,
        starts_at=trip.starts_at,
        meet=meeting(file),
        back_earliest_at=trip.ends_at - _BACK_EARLY,
        back_latest_at=trip.ends_at,
        guide_name=business.guide_name,
        guide_phone=phone_text(business.phone),
        first_names=tuple(person.given_name for person in file.people),
        strip=strip,
        emergency=emergency(file),
        decision_at=trip.starts_at - DECIDED_BEFORE,
        decision_how=say("sheet.decision_how"),
        spot_name=spot.name,
        method=strip.cast_only or say("sheet.flown"),
        what_we_do=offer.summary,
        walking=say("sheet.walk", minutes=spot.walk_out_min) if spot.walk_out_min else "",
        signal=spot.signal,
        bring=tuple(line.strip() for line in offer.bring.splitlines() if line.strip()),
        supplied=tuple(line.strip() for line in offer.supplied.splitlines() if line.strip()),
        steps=_steps(file, say),
        tide_source=nature.tide_source if fished else nature.tide_why,
        forecast_source=file.conditions.weather.sources if file.conditions else "",
        forecast_issued_at=file.conditions.weather.oldest_issued_at if file.conditions else None,
        risks=risk_lines(file, language=head.language),
        fish=fish_facts(shape.local(trip.starts_at).date(), shape),
        money=_money(file, shape, printed_at),
        insurance=records.InsuranceFacts(cover=business.insurance),
        minors=_minors(file, say),
    )


def child_page_of(
    file: TripFile, *, printed_at: datetime.datetime, page_size: str = "", language: str = ""
) -> records.ChildPage:
    """The child's own page. ValueError for a trip that no minor comes on."""
    if not file.minors and not any(booking.party.minors for booking in file.bookings):
        raise ValueError("No minor comes on this trip: there is no child's page to print.")
    head = letterhead(
        file.business,
        number=f"T{file.trip.pk:05d}-C",
        printed_at=printed_at,
        page_size=page_size,
        trip=file.trip,
    )
    return records.ChildPage(in_language(head, language), file.trip.offer.name)


def speaker(shape: Formats) -> Say:
    """The fixed sentences of a paper's language, with their places filled."""

    def say(key: str, **values: object) -> str:
        return put_in(shape.words.text(key), **values)

    return say


def meeting(file: TripFile) -> records.Place:
    trip = file.trip
    return _place(trip.meeting_place, trip.meeting_latitude, trip.meeting_longitude)


def _place(name: str, lat: float | None, lon: float | None) -> records.Place:
    """A place with its grid reference, where it is known at all."""
    if lat is None or lon is None:
        return records.Place(name=name)
    return records.Place(name=name, lat=lat, lon=lon, grid=position_of_spot(lat, lon).grid)


def emergency(file: TripFile) -> records.EmergencyFacts:
    """The same facts as on the emergency card."""
    return emergency_facts(file.business, file.plan, file.trip)


def _steps(file: TripFile, say: Say) -> tuple[records.PlanStep, ...]:
    plan, trip = file.plan, file.trip
    if plan is None:
        return ()
    spot = plan.spot
    ready = plan.session_start - (spot.set_up_min + spot.walk_out_min) * _MINUTE
    packed = plan.session_end + (spot.pack_up_min + spot.walk_out_min) * _MINUTE
    step = records.PlanStep
    return (
        step(trip.starts_at, say("sheet.meet", place=trip.meeting_place)),
        step(ready, say("sheet.ready", spot=spot.name)),
        step(plan.session_start, say("sheet.lines_out"), until=plan.session_end),
        step(plan.session_end, say("sheet.pack_up"), until=packed),
        step(trip.ends_at, say("sheet.back")),
    )


def _money(
    file: TripFile, shape: Formats, printed_at: datetime.datetime
) -> records.MoneyFacts | None:
    """The account of a day that one party has to itself; shared days carry no sum on the sheet."""
    if len(file.bookings) != 1:
        return None
    booking, say = file.bookings[0], speaker(shape)
    if booking.price is None:
        return None
    on = printed_at.astimezone(file.business.tz).date()
    (account,) = accounts_of([booking], business=file.business, on=on)
    due, price = account.next_due, rounded_money(booking.price, booking.currency)
    paid = rounded_money(account.account.paid, booking.currency)
    # Places that are only held owe nothing yet; the sheet says what the day will come to.
    held = booking.status == Booking.Status.TENTATIVE
    return records.MoneyFacts(
        price=price,
        paid=paid,
        due=price - paid if held else account.left,
        due_on=due.due_on if due and due.left == account.left else None,
        currency=booking.currency,
        how_to_pay=_how_to_pay(account, file, say, shape.words.language),
        ladder=ladder_lines(booking_rungs(booking), shape),
        weather_rule=say("sheet.weather_rule"),
    )


def _how_to_pay(account: BookingAccount, file: TripFile, say: Say, language: str) -> str:
    """Where the money goes, once there is an invoice with a reference to name."""
    invoice = invoices_of(account.booking).first()
    if invoice is None or account.account.open <= 0:
        return ""
    ways = ways_to_pay(our_side(file.business), language=language, invoice=invoice)
    numbers = [*ways.lines, *(f"{name} {number}" for name, number in ways.numbers)]
    transfer = (
        say(
            "sheet.how_to_pay",
            account=ways.account_name,
            numbers=", ".join(numbers),
            reference=ways.reference,
        )
        if ways.account_name
        else ""
    )
    return " ".join(filter(None, (transfer, *other_ways(ways, language))))


def _minors(file: TripFile, say: Say) -> records.MinorsFacts | None:
    if not file.minors:
        return None
    pairs = [
        f"{minor.given_name}: {minor.guardian.given_name if minor.guardian else stays_with(minor)}"
        for minor in file.minors
        if stays_with(minor)
    ]
    alone = [minor.given_name for minor in file.minors if not stays_with(minor)]
    words = []
    if pairs:
        words.append("; ".join(pairs) + ".")
    if alone:
        words.append(say("sheet.no_guardian", names=", ".join(alone)))
    return records.MinorsFacts(
        responsible=" ".join(words),
        swim_level=", ".join(
            say(f"sheet.swim_{minor.swims or 'unknown'}", name=minor.given_name)
            for minor in file.minors
        ),
        contacts=_contacts(file.bookings, file.minors),
    )


def _contacts(bookings: tuple[Booking, ...], minors: tuple[Participant, ...]) -> tuple[str, ...]:
    """A grown-up at home who can be rung: whoever booked for the minors that come."""
    parties = {minor.party_id for minor in minors}
    clients = [each.party.client for each in bookings if each.party_id in parties]
    return tuple(f"{client}, {phone_text(client.phone)}" for client in clients if client.phone)
