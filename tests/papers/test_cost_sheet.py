"""The cost sheet of a day, on paper and for a spreadsheet."""

import csv
from decimal import Decimal
from io import StringIO

import pytest

from guiding.papers.cost_sheet import cost_sheet_csv, cost_sheet_pdf
from guiding.papers.records import CostRow, CostSection, Figure
from tests.papers import made, reading


def test_lines_totals_break_evens_and_parties() -> None:
    told = reading.text(cost_sheet_pdf(made.cost_sheet()))
    for words in (
        "Road km road 300 km €0.42 €126.00",
        "set aside; 1,300 once in 600 flights",
        "Trip, direct €240.50",
        "Break-even, paying yourself 766.58 / 269.20 = 2.85 3",
        "Wished margin 15.0 %",
        "2 €580.00 −€228.18 10.0 % €24.68",
        "4 (this party)",
        "Bait €49.50 €54.10 €4.60",
        "check with your own authority",
    ):
        assert words in told


def test_an_actual_sheet_says_so() -> None:
    told = reading.text(cost_sheet_pdf(made.cost_sheet(estimated=False)))
    assert "Cost sheet, actual" in told


def test_csv_holds_plain_decimals_and_one_row_a_line() -> None:
    rows = list(csv.reader(StringIO(cost_sheet_csv(made.cost_sheet()))))
    assert rows[1] == ["The trip", "Road", "km road", "300", "km", "0.42", "126.00", "EUR", ""]
    assert ["The trip", "Trip, direct", "", "", "", "", "240.50", "EUR", ""] in rows
    assert [
        "What a party brings",
        "After all costs",
        "",
        "2",
        "Heads",
        "",
        "-228.18",
        "EUR",
        "",
    ] in rows
    assert len({len(row) for row in rows}) == 1


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_csv_cells_of_text_cannot_act_as_formulas(start: str) -> None:
    bad = f"{start}cmd|'/c calc'!A1"
    row = CostRow(bad, bad, Decimal("1.00"), Decimal(1), bad, Decimal("1.00"), basis=bad)
    sheet = made.cost_sheet(
        sections=(CostSection(bad, (row,), bad, Decimal("1.00")),),
        results=(Figure(bad, count=1, detail=bad),),
    )
    cells = [
        cell for line in csv.reader(StringIO(cost_sheet_csv(sheet), newline="")) for cell in line
    ]
    assert f"'{bad}" in cells
    assert [cell for cell in cells if cell.startswith(start) and "cmd" in cell] == []


def test_a_figure_is_one_thing() -> None:
    with pytest.raises(ValueError, match="exactly one"):
        Figure("Both", amount=Decimal(1), count=1)
