"""Statements: the account of a client, and the year of the business."""

from __future__ import annotations

import datetime
from decimal import Decimal

from babel import dates
from django.db.models import Count, Prefetch, Q, Sum

from bookings.models import Booking, Business, Client, MoneyEntry, MoneyShare, Trip
from bookings.queries.money import Kind, YearTotals, tax_by_rate, year_totals
from bookings.rules.money import rounded_money
from bookings.sheets.letterhead import our_side
from guiding.desk.sheets.catches import season_fish
from guiding.desk.sheets.gather import letterhead
from guiding.desk.sheets.languages import in_language, language_of_client
from guiding.desk.sheets.paying import bank_details
from guiding.papers import records
from guiding.papers.formats import Formats

_BILLING = {Kind.INVOICE, Kind.CREDIT_NOTE, Kind.WRITE_OFF}


def account_statement(
    client: Client, *, business: Business, printed_at: datetime.datetime, page_size: str = ""
) -> records.AccountStatement:
    """Every paper of a client until the day of printing, with what stood after each.

    In the client's language. ValueError where nothing was billed or paid yet.
    """
    until = printed_at.astimezone(business.tz).date()
    entries = _entries(client, until)
    if not entries:
        raise ValueError(f"Nothing was billed to {client} or paid by them yet.")
    currencies = {entry.currency for entry in entries}
    if len(currencies) > 1:
        raise ValueError(f"The account of {client} is in {len(currencies)} currencies.")
    currency = currencies.pop()
    head = letterhead(
        business, number=f"A{client.pk:05d}", printed_at=printed_at, page_size=page_size
    )
    head = in_language(head, language_of_client(client))
    shape, balance, rows = Formats(head), Decimal(0), []
    for entry in entries:
        owed = sum((share.owed for share in entry.client_shares), Decimal(0))  # type: ignore[attr-defined]
        if owed:  # what only moved from one day of theirs to another changes nothing here
            balance = rounded_money(balance + owed, currency)
            rows.append(_row(entry, rounded_money(owed, currency), balance, shape))
    return records.AccountStatement(
        letterhead=head,
        recipient=records.Recipient(
            name=str(client),
            address_lines=tuple(x.strip() for x in client.address.splitlines() if x.strip()),
            tax_number=client.tax_number,
        ),
        until=until,
        rows=tuple(rows),
        balance=balance,
        currency=currency,
        bank=bank_details(our_side(business), language=head.language) if balance > 0 else None,
    )


def _entries(client: Client, until: datetime.date) -> list[MoneyEntry]:
    shares = MoneyShare.objects.filter(party__client=client)
    return list(
        MoneyEntry.objects.filter(shares__party__client=client, on__lte=until)
        .select_related("reverses")
        .prefetch_related(Prefetch("shares", shares, to_attr="client_shares"))
        .distinct()
        .order_by("on", "pk")
    )


def _row(entry: MoneyEntry, owed: Decimal, balance: Decimal, shape: Formats) -> records.AccountRow:
    kind = Kind(entry.kind)
    text = shape.words.text(f"account.{kind.value}").format(label=entry.label)
    if entry.reverses_id is not None:
        text = shape.words.text("account.taken_out").format(what=text)
    if entry.about:
        text = f"{text}: {entry.about}"
    billing = kind in _BILLING
    return records.AccountRow(
        on=entry.on,
        text=text,
        balance=balance,
        billed=owed if billing else None,
        paid=None if billing else -owed,
    )


def season_statement(
    business: Business, *, year: int, printed_at: datetime.datetime, page_size: str = ""
) -> records.SeasonStatement:
    """A year of the books and the days. ValueError for a year without a paper or a trip."""
    totals, days = year_totals(year), _days_by_offer(business, year)
    if not days and not MoneyEntry.objects.filter(on__year=year).exists():
        raise ValueError(f"{year} has neither a paper nor a trip: there is nothing to state.")
    head = letterhead(business, number=f"S{year}", printed_at=printed_at, page_size=page_size)
    shape = Formats(head)
    say = shape.words.text
    sums = totals.sums
    fished = sum(row[1] for row in days)
    fish = season_fish(year, business, shape)
    return records.SeasonStatement(
        letterhead=head,
        title=say("season.title").format(year=year),
        first_day=datetime.date(year, 1, 1),
        last_day=datetime.date(year, 12, 31),
        results=(
            records.Figure(say("season.billed"), amount=_money(sums.billed, business)),
            records.Figure(
                say("season.received"), amount=_money(sums.received - sums.refunded, business)
            ),
            records.Figure(
                say("season.days_run"),
                count=fished,
                detail=say("season.of_days").format(count=sum(sum(row[1:4]) for row in days)),
            ),
        ),
        money=(_by_month(totals, business, shape), _by_rate(year, business, shape)),
        tallies=(
            records.TallyTable(
                title=say("season.days_by_offer"),
                columns=tuple(
                    say(f"season.{name}")
                    for name in ("offer", "days_fished", "days_off", "days_ahead", "heads")
                ),
                rows=tuple((row[0], *(shape.number(x) for x in row[1:])) for row in days),
            ),
            *((fish,) if fish else ()),
        ),
        currency=business.currency,
    )


def _money(amount: Decimal, business: Business) -> Decimal:
    return rounded_money(amount, business.currency)


_MONTHLY = ("billed", "tax", "received", "refunded", "written_off")


def _by_month(totals: YearTotals, business: Business, shape: Formats) -> records.StatementTable:
    rows = [
        records.StatementRow(
            dates.format_date(month.first_day, "LLLL", locale=shape.locale),
            tuple(_money(getattr(month, name), business) or None for name in _MONTHLY),
        )
        for month in totals.months
        if any(getattr(month, name) for name in _MONTHLY)
    ]
    return records.StatementTable(
        title=shape.words.text("season.by_month"),
        columns=tuple(shape.words.text(f"season.{name}") for name in _MONTHLY),
        rows=tuple(rows),
        totals=tuple(_money(getattr(totals.sums, name), business) for name in _MONTHLY),
    )


def _by_rate(year: int, business: Business, shape: Formats) -> records.StatementTable:
    say, lines = shape.words.text, tax_by_rate(year)
    return records.StatementTable(
        title=say("season.by_rate"),
        columns=tuple(say(f"season.{name}") for name in ("net", "tax", "gross")),
        rows=tuple(
            records.StatementRow(
                say("season.exempt")
                if line.rate_pct is None
                else say("season.rate").format(rate=shape.number(line.rate_pct)),
                tuple(_money(x, business) for x in (line.net, line.tax, line.gross)),
            )
            for line in lines
        ),
    )


def _days_by_offer(business: Business, year: int) -> list[tuple[str, int, int, int, int]]:
    """Offer, days fished, called off, still to come, heads of the days fished."""
    begin = datetime.datetime(year, 1, 1, tzinfo=business.tz)
    end = datetime.datetime(year + 1, 1, 1, tzinfo=business.tz)
    fished, off = Q(status=Trip.Status.FISHED), Q(status=Trip.Status.CANCELLED)
    trips = Trip.objects.filter(starts_at__gte=begin, starts_at__lt=end)
    rows = (
        trips.order_by()
        .values("offer__name")
        .annotate(
            fished=Count("pk", filter=fished),
            off=Count("pk", filter=off),
            ahead=Count("pk", filter=~fished & ~off),
        )
        .order_by("offer__name")
    )
    heads = dict(
        Booking.objects.filter(trip__in=trips.filter(fished), status=Booking.Status.CONFIRMED)
        .order_by()
        .values_list("trip__offer__name")
        .annotate(Sum("heads"))
    )
    return [
        (
            row["offer__name"],
            row["fished"],
            row["off"],
            row["ahead"],
            heads.get(row["offer__name"]) or 0,
        )
        for row in rows
    ]
