"""The trip sheet put together from its sections, set tighter where two pages would not do."""

from reportlab.platypus import Flowable, PageBreak

from guiding.papers.child_page import child_page
from guiding.papers.document import Document
from guiding.papers.page import Finished
from guiding.papers.records import TripSheet
from guiding.papers.trip_sheet._after import after_sections
from guiding.papers.trip_sheet._before import before_sections

_BODY_PT = 9.5
# Leading and step of space: the usual, and the tight for a sheet that would need a third page.
_TIERS = ((1.2, 0.4), (1.12, 0.26))
_PAGES = 2


def trip_sheet_pdf(sheet: TripSheet) -> bytes:
    """Builds the client's trip sheet as a PDF of two pages in type of nine and a half points.

    A party too large for that flows on to a third page. The child's page, where one is wanted,
    comes after the sheet. The same record gives the same bytes. Raises ValueError for a language
    the papers do not have.
    """
    finished = None
    for leading, step in _TIERS:
        finished = _set(sheet, leading, step)
        extra = 1 if sheet.minors and sheet.minors.child_page else 0
        if finished.pages <= _PAGES + extra:
            break
    assert finished is not None  # noqa: S101  (there is always a tier)
    return finished.data


def _set(sheet: TripSheet, leading: float, step: float) -> Finished:
    setter = Document(sheet.letterhead, _BODY_PT, leading, step)
    roomy = (leading, step) == _TIERS[0]
    story: list[Flowable] = [
        *before_sections(setter, sheet),
        *after_sections(setter, sheet, together=roomy),
    ]
    if sheet.minors and sheet.minors.child_page:
        story += [PageBreak(), *child_page(setter)]
    return setter.finish(
        story,
        f"{setter.words.text('trip.name')}: {sheet.title}",
        setter.words.text("trip.subject").format(title=sheet.title),
    )
