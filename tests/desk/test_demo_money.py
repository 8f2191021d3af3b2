"""The demo's money: paid when it was due, one refund, a balance open, and a statement to try."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings

from bookings.models import Business, MoneyEntry
from bookings.queries.books import broken_money
from bookings.sheets.accounts import open_accounts
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


def test_the_statement_of_the_demo_is_read(season: object) -> None:
    file = Path(settings.FIXTURES_DIR) / "demo" / "bank.csv"
    done = manage("import_bank", str(file), "--dry-run")
    assert done.code == 0
    assert "4 lines read" in done.out
