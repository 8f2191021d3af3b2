"""The demo's money: paid when it was due, one refund, a balance open, and a statement to try."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from bookings.models import Business, MoneyEntry
from bookings.queries.books import broken_money
from bookings.rules.references import iban_is_valid
from bookings.sheets.accounts import open_accounts
from guiding.desk.actions.demo import demo_statement
from tests.commands import manage


def test_deposits_are_paid_and_somebody_owes_a_balance(season: object) -> None:
    business = Business.objects.get()
    assert business.demo_day is not None
    kinds = list(MoneyEntry.objects.values_list("kind", flat=True))
    assert kinds.count("refund") == 1
    assert kinds.count("payment") > 20
    assert broken_money() == []
    today = open_accounts(business=business, on=business.demo_day)
    owing = [each for each in today if each.left]
    assert owing
    late = [each for each in owing if each.overdue]
    assert len(late) <= 1


def test_the_statement_of_the_demo_shows_every_kind_of_match(season: Any, tmp_path: Path) -> None:
    file = tmp_path / "bank.csv"
    file.write_text(demo_statement(today=season.day, business=Business.objects.get()))
    done = manage("import_bank", str(file), "--dry-run", "--json")
    assert done.code == 0
    assert done.facts["problems"] == []
    found = [[match["certainty"] for match in each["matches"]] for each in done.facts["proposals"]]
    assert sorted(found) == [[], ["guess"], ["likely"], ["sure"]]


def test_the_account_of_the_demo_has_check_digits_and_can_be_paid_into(season: object) -> None:
    assert iban_is_valid(Business.objects.get().iban)
