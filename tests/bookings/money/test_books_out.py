"""Books for the accountant, and the commands: the journal balances, nothing is a formula."""

from __future__ import annotations

import csv
import datetime
import io
import json
from collections import defaultdict
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.test import Client as Browser
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from bookings.actions.money.invoices import credit_invoice, invoice_balance
from bookings.actions.money.payments import record_payment, record_refund, take_out, write_off
from bookings.actions.trips import cancel_booking
from bookings.models import BankLine, Booking, Client, MoneyEntry, OfferExtra
from bookings.queries.money import booking_account
from bookings.rules.journal import journal_postings
from bookings.rules.tax import TaxLine
from bookings.sheets.books import books_files
from tests.factories import NOON, OfferFactory
from tests.factories_bookings import agreed

DAY = datetime.timedelta(days=1)
TODAY = datetime.date(2026, 6, 1)
CENTS = st.integers(1, 10**7).map(lambda n: Decimal(n) / 100)


def rows(year: int, name: str) -> list[list[str]]:
    pieces = dict(books_files(year))[f"{name}-{year}.csv"]
    return list(csv.reader(io.StringIO("".join(pieces).lstrip("\ufeff"))))


def booked(**facts: Any) -> Booking:
    offer = OfferFactory(name="Party day", tax_percent=Decimal("13.5"))
    return agreed(offer=offer, at=NOON, starts_at=NOON + 60 * DAY, ends_at=NOON + 61 * DAY, **facts)


@pytest.fixture
def season(business: Any) -> Booking:
    """One of everything that money does."""
    booking = booked()
    invoice_balance(booking=booking, at=NOON)
    record_payment(party=booking.party, amount=Decimal(600), moved_on=TODAY, at=NOON)
    record_refund(
        party=booking.party,
        booking=booking,
        amount=Decimal(30),
        moved_on=TODAY,
        reason="goodwill",
        at=NOON,
    )
    wrong = record_payment(
        party=booking.party, amount=Decimal(11), moved_on=TODAY, way="cash", at=NOON
    )
    take_out(entry=wrong, reason="mistake", at=NOON)
    second = booked()
    write_off(booking=second, amount=Decimal(4), reason="gone", at=NOON)
    credit_invoice(
        invoice=MoneyEntry.objects.filter(shares__booking=second, kind="invoice").get(),
        amount=Decimal(20),
        reason="slip",
        at=NOON,
    )
    cancel_booking(booking=booking, by="client", choice="move", at=NOON + 40 * DAY)
    return booking


def test_the_journal_balances_and_agrees_with_the_accounts(season: Booking) -> None:
    head, *journal = rows(2026, "journal")
    assert head[:5] == ["date", "paper", "account", "debit", "credit"]
    papers, accounts = defaultdict(Decimal), defaultdict(Decimal)
    for _on, paper, account, debit, credit, *_rest in journal:
        moved = Decimal(debit or 0) - Decimal(credit or 0)
        papers[paper] += moved
        accounts[account] += moved
    assert set(papers.values()) == {Decimal(0)}
    assert set(papers) == set(MoneyEntry.objects.values_list("label", flat=True))
    open_now = sum((booking_account(booking).open for booking in Booking.objects.all()), Decimal(0))
    on_account = sum((x.owed for x in season.party.money.filter(booking=None)), Decimal(0))
    assert accounts["Receivable"] == open_now + on_account
    assert accounts["Bank"] == 570
    assert accounts["Cash"] == 0
    assert accounts["Written off"] == 4


def test_papers_and_totals_agree_with_each_other(season: Booking) -> None:
    head, *papers = rows(2026, "papers")
    by_kind: dict[str, Decimal] = defaultdict(Decimal)
    for paper in papers:
        found = dict(zip(head, paper, strict=True))
        sign = -1 if found["takes out"] else 1
        by_kind[found["kind"]] += sign * Decimal(found["amount"])
    totals = rows(2026, "totals")
    year = next(row for row in totals if row[:1] == ["2026"])
    assert Decimal(year[1]) == by_kind["invoice"] - by_kind["credit note"]
    assert Decimal(year[3]) == by_kind["payment"]
    assert Decimal(year[4]) == by_kind["refund"]
    assert all("." in amount for amount in year[1:])


def test_a_name_is_no_formula(season: Booking) -> None:
    for nasty in ("=1+1", "+1", "-1", "@SUM(A1)", "\tx"):
        Client.objects.update(given_name=nasty, family_name="")
        found = {row[4] for row in rows(2026, "papers")[1:]}
        assert found == {f"'{nasty}" if nasty == nasty.strip() else "x"}


def test_the_files_are_there_for_a_year_and_for_no_other_name(desk: Browser) -> None:
    answer = desk.get("/money/years/2026/journal-2026.csv")
    assert answer.status_code == 200
    assert b"".join(answer.streaming_content).decode("utf-8-sig").startswith("date,paper")
    for address in ("/money/years/2026/secrets.csv", "/money/years/1890/journal-1890.csv"):
        assert desk.get(address).status_code == 404
    assert "/money/years/2026/journal-2026.csv" in desk.get("/money/years/2026/").content.decode()


@given(
    kind=st.sampled_from(["payment", "refund", "write_off", "transfer"]),
    amount=CENTS,
    way=st.sampled_from(["bank", "cash", "card", "other"]),
    back=st.booleans(),
)
def test_every_posting_has_its_other_side(kind: str, amount: Decimal, way: str, back: bool) -> None:
    found = journal_postings(kind, amount, way=way, back=back)
    assert sum(x.debit for x in found) == sum(x.credit for x in found) == amount


@given(st.lists(st.tuples(CENTS, CENTS), min_size=1, max_size=4), st.booleans())
def test_an_invoice_and_its_credit_note_cancel_out(
    sums: list[tuple[Decimal, Decimal]], exempt: bool
) -> None:
    rates = [
        TaxLine("", None if exempt else Decimal(n), net, tax, net + tax)
        for n, (net, tax) in enumerate(sums)
    ]
    amount = sum((x.gross for x in rates), Decimal(0))
    accounts: dict[str, Decimal] = defaultdict(Decimal)
    for kind in ("invoice", "credit_note"):
        for x in journal_postings(kind, amount, rates):
            accounts[x.account] += x.debit - x.credit
    assert set(accounts.values()) == {Decimal(0)}


@pytest.mark.parametrize(
    ("kind", "facts", "sentence"),
    [
        ("gift", {}, "no kind of paper"),
        ("payment", {"way": "barter"}, "does not move by"),
        ("invoice", {}, "do not make its amount"),
    ],
)
def test_what_is_no_paper_is_refused(kind: str, facts: dict[str, str], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        journal_postings(kind, Decimal(5), **facts)  # type: ignore[arg-type]


# ------------------------------------------------------------------ commands


def told(*words: str) -> Any:
    out = io.StringIO()
    call_command(*words, "--json", stdout=out)
    return json.loads(out.getvalue())


def test_quote_prints_lines_tax_parts_and_ladder(business: Any) -> None:
    offer = OfferFactory(name="Family day", child_price=Decimal(100), tax_percent=Decimal("13.5"))
    lunch = OfferExtra.objects.create(offer=offer, name="Lunch", price=Decimal(10))
    on = (timezone.localdate() + 60 * DAY).isoformat()
    found = told("quote", "--offer", "Family day", "--date", on, "--heads", "3", "--children", "1")
    assert found["total"] == "680.00"
    assert [line["text"] for line in found["lines"]] == ["Adult", "Child"]
    assert sum(Decimal(x["amount"]) for x in found["instalments"]) == 680
    assert Decimal(found["net"]) + Decimal(found["tax"]) == 680
    assert len(found["ladder"]) == 4
    assert lunch.name not in str(found["lines"])
    assert (
        told("quote", "--offer", str(offer.pk), "--date", on, "--heads", "1")["total"] == "290.00"
    )


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--offer", "None", "--date", "2090-06-01", "--heads", "2"], "There is no offer"),
        (["--offer", "Party day", "--date", "1890-06-01", "--heads", "2"], "has passed"),
        (["--offer", "Party day", "--date", "soon", "--heads", "2"], "is no date"),
        (["--offer", "Party day", "--date", "2090-06-01", "--heads", "0"], "nobody in it"),
        (["--offer", "Party day", "--date", "2090-06-01", "--heads", "99"], "too many"),
        (
            ["--offer", "Party day", "--date", "2090-06-01", "--heads", "1", "--children", "2"],
            "do not fit",
        ),
    ],
)
def test_a_wrong_quote_is_one_sentence(business: Any, words: list[str], sentence: str) -> None:
    OfferFactory(name="Party day")
    with pytest.raises(CommandError, match=sentence) as refused:
        call_command("quote", *words)
    assert "\n" not in str(refused.value)


def test_ladder_says_what_the_page_does(business: Any) -> None:
    booking = booked()
    record_payment(party=booking.party, amount=Decimal(580), moved_on=TODAY, at=NOON)
    on = (NOON + 47 * DAY).date()
    found = told("ladder", str(booking.pk), "--by", "client", "--on", on.isoformat())
    assert (found["refund"]["kept"], found["refund"]["refunded"]) == ("174.00", "406.00")
    assert found["move"]["moved"] == "406.00"
    cancel_booking(booking=booking, by="client", choice="refund", at=NOON + 47 * DAY)
    booking.refresh_from_db()
    assert booking.settlement.refunded == 406
    for words, sentence in (
        (["9999", "--by", "client", "--on", "2026-06-01"], "no booking 9999"),
        ([str(booking.pk), "--by", "client", "--on", "2026-06-01"], "only a confirmed one"),
    ):
        with pytest.raises(CommandError, match=sentence):
            call_command("ladder", *words)


def test_books_writes_three_files_or_none(season: Booking, tmp_path: Path) -> None:
    found = told("books", "--year", "2026", "--out", str(tmp_path / "books"))
    assert sorted(Path(name).name for name in found) == [
        "journal-2026.csv",
        "papers-2026.csv",
        "totals-2026.csv",
    ]
    with pytest.raises(CommandError, match="no books of 1890"):
        call_command("books", "--year", "1890", "--out", str(tmp_path / "old"))
    assert not (tmp_path / "old").exists()
    (tmp_path / "file").write_text("")
    with pytest.raises(CommandError, match="cannot be written to"):
        call_command("books", "--year", "2026", "--out", str(tmp_path / "file"))


def test_import_bank_keeps_lines_once_and_nothing_in_a_dry_run(
    business: Any, tmp_path: Path
) -> None:
    booking = booked()
    reference = MoneyEntry.objects.get().reference
    file = tmp_path / "statement.csv"
    file.write_text(f"Date;Amount;Name;Reference\n2026-06-02;174,00;Ray;{reference}\nsoon;1;x;\n")
    dry = told("import_bank", str(file), "--dry-run")
    assert (dry["new"], len(dry["problems"])) == (1, 1)
    (match,) = dry["proposals"][0]["matches"]
    assert (match["booking"], match["certainty"]) == (booking.pk, "sure")
    assert not BankLine.objects.exists()
    assert told("import_bank", str(file))["new"] == 1
    assert told("import_bank", str(file))["new"] == 0
    for path, text, sentence in (
        (tmp_path / "none.csv", None, "cannot be read"),
        (tmp_path / "bad.csv", "hello", "names a date and an amount"),
    ):
        if text:
            path.write_text(text)
        with pytest.raises(CommandError, match=sentence):
            call_command("import_bank", str(path))
