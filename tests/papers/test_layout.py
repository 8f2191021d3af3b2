"""Nothing stands outside the page, and no heading alone at its foot."""

from typing import Any

import pypdf
import pytest

from guiding.papers.gear_report import gear_report_pdf
from guiding.papers.records import GearRow, GearSection, PageSize
from guiding.papers.trip_sheet import trip_sheet_pdf
from tests.papers import family, made, reading
from tests.papers.test_names_and_notes import hostile

MARGIN_PT = 15 / 25.4 * 72


def _outside(data: bytes, margin: float) -> list[str]:
    """Texts that begin outside the margins of their page."""
    found: list[str] = []
    for page in pypdf.PdfReader(reading.BytesIO(data)).pages:
        width, height = float(page.mediabox.width), float(page.mediabox.height)

        def look(
            text: str, cm: Any, tm: Any, _font: Any, _size: Any, w: float = width, h: float = height
        ) -> None:
            x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
            y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
            inside = margin - 1 <= x <= w - margin and 8 <= y <= h - 8
            if text.strip() and not inside:
                found.append(f"{text!r} at {x:.0f}, {y:.0f}")

        page.extract_text(visitor_text=look)
    return found


@pytest.mark.parametrize("name", sorted(set(family.NAMES) - {"labels", "emergency card"}))
@pytest.mark.parametrize("size", list(PageSize))
def test_text_stays_between_the_margins(name: str, size: PageSize) -> None:
    assert _outside(family.built(name, page_size=size), MARGIN_PT) == []


@pytest.mark.parametrize("name", ["trip sheet", "run sheet", "invoice", "briefing"])
def test_long_words_stay_between_the_margins(name: str) -> None:
    assert _outside(hostile(name, "Wm" * 200), MARGIN_PT) == []


@pytest.mark.parametrize("rows", range(24, 48))
def test_no_heading_stands_alone_at_the_foot_of_a_page(rows: int) -> None:
    one = GearRow("P1", "fit", "95 %", "retire", "2027", "at 80 %")
    sections = (
        GearSection("Sectionone", (one,) * rows),
        GearSection("Sectiontwo", (one,) * 3),
        GearSection("Sectionthree", (one,) * 3),
    )
    report = made.gear_report(sections=sections, summary=())
    for page in reading.pages(gear_report_pdf(report)):
        for name in ("Sectionone", "Sectiontwo", "Sectionthree"):
            if name in page:
                assert "P1 fit" in page[page.index(name) :], f"{name} stands alone"


def test_a_wide_and_a_narrow_party_never_share_a_line() -> None:
    """Sixty long names in the trip sheet: each is on the paper once, in order."""
    names = tuple(f"Maximilian-Alexander{number:02d}" for number in range(60))
    told = reading.squeezed(trip_sheet_pdf(made.trip_sheet(first_names=names)))
    places = [told.index(name) for name in names]
    assert places == sorted(places)
