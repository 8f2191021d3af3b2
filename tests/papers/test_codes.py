"""Square codes, looked at as they come out of a printer."""

from dataclasses import replace
from pathlib import Path

import pytest
import segno

from guiding.papers.invoice import invoice_pdf
from guiding.papers.labels import labels_pdf
from guiding.papers.records import GearLabel
from tests.papers import made, reading
from tests.papers.codes import DPI, modules, needs_printer, printed, read_code


@needs_printer
def test_a_printed_label_holds_its_code(tmp_path: Path) -> None:
    sheet = made.labels(
        labels=(GearLabel("pack-17", "P17"),),
        columns=1,
        rows=1,
        width_mm=60,
        height_mm=30,
        left_mm=10,
        top_mm=10,
    )
    picture = printed(labels_pdf(sheet), tmp_path)
    wanted = segno.make("pack-17", error="m", micro=False, boost_error=False)
    mm = DPI / 25.4
    box = (12 * mm, 12 * mm, 26 * mm)  # the height of the label less two millimetres on each side
    found = modules(picture, box)
    assert found == [[bool(dark) for dark in row] for row in wanted.matrix]
    assert read_code(found) == "pack-17"


@pytest.mark.parametrize("length", [1, 20, 40, 60, 80, 100])
def test_a_code_is_read_whatever_its_size(length: int) -> None:
    """Proves the reader of these tests on codes that the library made: versions 1 to 6."""
    words = "https://desk.example.org/gear/packs/123456/"[:length].ljust(length, "x")
    code = segno.make(words, error="m", micro=False, boost_error=False)
    assert read_code([[bool(dark) for dark in row] for row in code.matrix]) == words


def test_an_invoice_in_euros_says_what_its_code_is_for() -> None:
    told = reading.text(invoice_pdf(made.invoice()))
    assert "Payment code for a bank app" in told
    assert "IE29 AIBK 9311 5212 3456 78" in told
    without = replace(made.BANK, qr_payload="")
    told = reading.text(invoice_pdf(made.invoice(bank=without)))
    assert "Payment code" not in told


def test_nothing_due_shows_no_way_to_pay() -> None:
    told = reading.text(invoice_pdf(made.invoice(due=made.Decimal("0.00"))))
    assert "Nothing is left to pay." in told
    assert "IBAN" not in told


def test_labels_flow_over_sheets_and_start_where_asked() -> None:
    many = tuple(GearLabel(f"T-{number}", f"Thing{number}") for number in range(30))
    pages = reading.pages(labels_pdf(made.labels(labels=many, start=20)))
    assert len(pages) == 3
    assert "Thing3" in pages[0]
    assert "Thing4" not in pages[0]
    assert "Thing4" in pages[1]
    assert "Thing29" in pages[2]


def test_a_grid_larger_than_the_page_is_refused() -> None:
    with pytest.raises(ValueError, match="the page has 210 x 297"):
        labels_pdf(made.labels(columns=5, width_mm=60))
    with pytest.raises(ValueError, match="at least 25 mm wide"):
        made.labels(width_mm=20)
    with pytest.raises(ValueError, match="start within the sheet"):
        made.labels(start=24)


def test_a_label_without_a_code_is_refused() -> None:
    with pytest.raises(ValueError, match="has no code"):
        made.labels(labels=(GearLabel("", "P1"),))
