"""What a trip sheet costs, as a ratio to a bare document with the same words and the same strip.

The bare document sets the sheet's own text as plain paragraphs, line by line, and draws the same
strip. Absolute times drift on shared machines; the shortest of many runs taken in turn gives a
ratio that hardly does, so the aim itself is the bound.

    .venv/bin/pytest tests/bench/test_bench_papers.py -s
"""

import time
from collections.abc import Callable
from io import BytesIO
from math import log10
from xml.sax.saxutils import escape

import pypdf
from reportlab.platypus import Paragraph, SimpleDocTemplate

from guiding.drawings.strip import StripFacts, day_strip
from guiding.papers.records import RunPerson
from guiding.papers.run_sheet import run_sheet_pdf
from guiding.papers.styles import Styles
from guiding.papers.trip_sheet import trip_sheet_pdf
from tests.papers import made

ROUNDS = 40


def words_of(data: bytes) -> list[str]:
    """The lines of text of a paper."""
    pages = pypdf.PdfReader(BytesIO(data)).pages
    return [line for page in pages for line in page.extract_text().splitlines() if line.strip()]


def bare(lines: list[str], strip: StripFacts) -> bytes:
    """The same words and the same strip, with nothing of a layout."""
    file = BytesIO()
    style = Styles.of(9.5, 1.2, 0.4).tight
    story = [Paragraph(escape(line), style) for line in lines]
    story.insert(len(story) // 4, day_strip(strip, width=450))
    SimpleDocTemplate(file, invariant=1, initialFontName="Body").build(story)
    return file.getvalue()


def best_s(*works: Callable[[], object]) -> list[float]:
    """The shortest run of each work, taken in turn so that a busy moment hits them all."""
    shortest = [float("inf")] * len(works)
    for _ in range(ROUNDS):
        for i, work in enumerate(works):
            began = time.perf_counter()
            work()
            shortest[i] = min(shortest[i], time.perf_counter() - began)
    return shortest


def test_a_trip_sheet_against_a_bare_document() -> None:
    """Aim: 1.5 at most. Pages a second are printed for orientation."""
    sheet = made.trip_sheet()
    lines = words_of(trip_sheet_pdf(sheet))
    ours, theirs = best_s(lambda: trip_sheet_pdf(sheet), lambda: bare(lines, sheet.strip))
    rate = len(pypdf.PdfReader(BytesIO(trip_sheet_pdf(sheet))).pages) / ours
    print(f"\ntrip sheet {ours * 1e3:.0f} ms, bare {theirs * 1e3:.0f} ms: {ours / theirs:.2f}")
    print(f"{rate:.0f} pages a second")
    assert ours / theirs <= 1.5


def test_a_run_sheet_grows_with_its_party_and_not_faster() -> None:
    """Exponent of the time from 10 to 100 and 1,000 people: at most a little over one."""
    sheets = [
        made.run_sheet(people=tuple(RunPerson(f"Person {n}") for n in range(count)))
        for count in (10, 100, 1000)
    ]
    took = [min(_timed(sheet) for _ in range(2)) for sheet in sheets]
    exponent = log10(took[2] / took[1])
    print(f"\nrun sheet of 10, 100, 1,000: {[f'{t * 1e3:.0f} ms' for t in took]}, {exponent:.2f}")
    assert exponent < 1.4


def _timed(sheet: object) -> float:
    began = time.perf_counter()
    run_sheet_pdf(sheet)  # type: ignore[arg-type]
    return time.perf_counter() - began
