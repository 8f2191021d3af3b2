"""What a client sees of their own party, and nothing of anybody else."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Prefetch

from bookings.models import (
    Ask,
    Booking,
    Business,
    Guardian,
    MoneyEntry,
    Participant,
    Party,
    Quote,
    Settlement,
    TextKind,
    TextVersion,
    Trip,
)
from bookings.queries.bookings import full_bookings
from bookings.queries.money import Kind, on_account
from bookings.queries.quotes import open_quotes
from bookings.queries.signers import day_of_party, guardians_of, is_minor_on, signing_rules
from bookings.queries.texts import texts_in
from bookings.rules.ladder import LadderDay, ladder_days
from bookings.rules.money import rounded_money
from bookings.rules.prices import Instalment, instalment_plan
from bookings.rules.tax import TaxSheet
from bookings.sheets.accounts import BookingAccount, accounts_of
from bookings.sheets.cancelling import terms_in_words
from bookings.sheets.client_words import yours_when
from bookings.sheets.letterhead import our_side
from bookings.sheets.paying import WaysToPay, ways_to_pay
from bookings.sheets.pricing import offer_rungs, plain, quote_tax, rungs_of


@dataclass(frozen=True, slots=True)
class QuoteToAnswer:
    """A price note the client can say yes to, with everything there is to know before."""

    quote: Quote
    tax: TaxSheet
    parts: tuple[Instalment, ...]
    terms: tuple[LadderDay, ...]
    yours_when: str


@dataclass(frozen=True, slots=True)
class ToPay:
    """An open invoice and how to pay it."""

    invoice: MoneyEntry
    amount: Decimal
    ways: WaysToPay


@dataclass(frozen=True, slots=True)
class BookedDay:
    """A booking with its money, the terms if plans change, and a choice that waits."""

    booking: Booking
    account: BookingAccount
    terms: tuple[LadderDay, ...]
    settlement: Settlement | None
    to_pay: ToPay | None

    @property
    def state(self) -> str:
        """How the day stands for this party: agreed is not confirmed while the trip is not."""
        trip, booking = self.booking.trip, self.booking
        waits = trip.status == Trip.Status.TENTATIVE or booking.awaits_deposit
        if booking.status == Booking.Status.CONFIRMED and waits:
            return "agreed"
        return trip.status if trip.status == Trip.Status.FISHED else booking.status


@dataclass(frozen=True, slots=True)
class Companion:
    """Somebody who comes; `signs` names who signs for a minor, empty while nobody does."""

    person: Participant
    minor: bool
    signs: str


@dataclass(frozen=True, slots=True)
class ClientPage:
    """The whole page."""

    party: Party
    to_answer: tuple[QuoteToAnswer, ...]
    ran_out: tuple[Quote, ...]
    asked: tuple[Ask, ...]
    days: tuple[BookedDay, ...]
    people: tuple[Companion, ...]
    unnamed: int
    on_account: Decimal
    terms_text: TextVersion | None
    invoices: tuple[MoneyEntry, ...]
    quotes: tuple[Quote, ...]


def client_page(
    party: Party, *, business: Business, at: datetime.datetime, language: str = ""
) -> ClientPage:
    """The page of a party as of a moment, in a constant number of queries.

    `language` is that of the terms to read; empty for the client's own.
    """
    on = at.astimezone(business.tz).date()
    language = language or party.client.language.split("-")[0]
    bookings = list(full_bookings().filter(party=party).order_by("trip__starts_at", "pk"))
    accounts = accounts_of(bookings, business=business, on=on)
    settlements = {
        each.booking_id: each for each in Settlement.objects.filter(booking__party=party)
    }
    papers = list(
        MoneyEntry.objects.filter(
            kind__in=[Kind.INVOICE, Kind.CREDIT_NOTE, Kind.PAYMENT], shares__party=party
        )
        .prefetch_related("shares")
        .distinct()
        .order_by("pk")
    )
    people = _companions(party, at)
    shown = [
        (each, settlements.get(each.booking.pk))
        for each in accounts
        if each.booking.status != Booking.Status.CANCELLED or each.booking.pk in settlements
    ]
    return ClientPage(
        party=party,
        to_answer=_to_answer(party, business, at, language),
        ran_out=_ran_out(party, at),
        asked=tuple(party.asks.filter(answered_at=None)),
        days=tuple(
            _day(account, found, papers, business, on, language) for account, found in shown
        ),
        people=people,
        unnamed=max(party.heads - len(people), 0),
        on_account=on_account(party),
        terms_text=texts_in(language, [TextKind.TERMS], at=at).get(TextKind.TERMS),
        invoices=tuple(paper for paper in papers if paper.reverses_id is None),
        quotes=tuple(
            Quote.objects.filter(party=party, replaced_by=None)
            .exclude(sent_at=None)
            .exclude(status=Quote.Status.LAPSED)
            .order_by("pk")
        ),
    )


def _companions(party: Party, at: datetime.datetime) -> tuple[Companion, ...]:
    day, rules = day_of_party(party, at=at), signing_rules()
    guardians = Guardian.objects.select_related("person__party__client").order_by("pk")
    people = party.participants.select_related("guardian__party__client").prefetch_related(
        Prefetch("guardians", guardians)
    )
    return tuple(
        Companion(
            person,
            minor=is_minor_on(person, day, rules) is True,
            signs=", ".join(signer.name for signer in guardians_of(person, day, rules)),
        )
        for person in people
    )


def _to_answer(
    party: Party, business: Business, at: datetime.datetime, language: str
) -> tuple[QuoteToAnswer, ...]:
    quotes = (
        open_quotes(at=at)
        .filter(party=party)
        .select_related("offer__ladder", "booking__trip")
        .prefetch_related("lines", "offer__ladder__steps")
        .order_by("pk")
    )
    return tuple(_quote(quote, business, at, language) for quote in quotes)


def _ran_out(party: Party, at: datetime.datetime) -> tuple[Quote, ...]:
    """The last price, where it ran out unanswered; of older ones there is nothing to say."""
    last = Quote.objects.filter(party=party).exclude(sent_at=None).order_by("-sent_at", "-pk")
    quote = last.select_related("booking__trip").first()
    if quote is None or quote.status not in {Quote.Status.SENT, Quote.Status.LAPSED}:
        return ()
    begun = quote.booking is not None and quote.booking.trip.starts_at <= at
    return (quote,) if begun or quote.valid_until <= at else ()


def _quote(quote: Quote, business: Business, at: datetime.datetime, language: str) -> QuoteToAnswer:
    on = at.astimezone(business.tz).date()
    rungs = rungs_of(quote.terms) if quote.terms.get("ladder") else offer_rungs(quote.offer)
    parts: tuple[Instalment, ...] = ()
    terms: tuple[LadderDay, ...] = ()
    if quote.booking:
        trip_on = quote.booking.trip.starts_at.astimezone(business.tz).date()
        terms = ladder_days(trip_on, rungs, on=on)
        parts = instalment_plan(
            plain(quote.total),
            plain(quote.deposit),
            quote.currency,
            min(on, trip_on),
            trip_on,
            quote.terms.get("balance_days", business.balance_days),
        )
    return QuoteToAnswer(quote, quote_tax(quote), parts, terms, yours_when(quote, language))


def _day(
    account: BookingAccount,
    settlement: Settlement | None,
    papers: list[MoneyEntry],
    business: Business,
    on: datetime.date,
    language: str,
) -> BookedDay:
    booking = account.booking
    terms: tuple[LadderDay, ...] = ()
    if booking.status == Booking.Status.CONFIRMED:
        terms = terms_in_words(booking, on=on, business=business)
    mine = [
        paper
        for paper in papers
        if paper.kind == Kind.INVOICE
        and any(share.booking_id == booking.pk for share in paper.shares.all())
    ]
    owed = to_pay(mine, account, business, language)
    return BookedDay(booking, account, terms, settlement, owed)


def to_pay(
    invoices: list[MoneyEntry], account: BookingAccount, business: Business, language: str
) -> ToPay | None:
    """The newest invoice, what is billed and open, and how to send it; None when nothing is."""
    amount = rounded_money(account.account.open, account.booking.currency)
    if not invoices or amount <= 0:
        return None
    invoice = max(invoices, key=lambda paper: paper.pk)
    ours = our_side(business)
    return ToPay(
        invoice=invoice,
        amount=amount,
        ways=ways_to_pay(ours, language=language, invoice=invoice, amount=amount),
    )
