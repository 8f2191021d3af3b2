"""The run sheet put together: what is decided, people, the sea, gear, drops to fill in."""

from reportlab.platypus import Flowable

from guiding.papers.document import Document
from guiding.papers.records import RunSheet
from guiding.papers.run_sheet._day import decision_sections, sea_sections
from guiding.papers.run_sheet._gear import gear_sections
from guiding.papers.run_sheet._people import people_sections

_BODY_PT, _LEADING, _STEP = 9.5, 1.26, 0.4


def run_sheet_pdf(sheet: RunSheet) -> bytes:
    """Builds the guide's run sheet as a PDF; it grows with the party and the drop table.

    The same record gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    setter = Document(sheet.letterhead, _BODY_PT, _LEADING, _STEP)
    story: list[Flowable] = [
        setter.para(setter.word("run.name"), "kicker"),
        setter.heading(setter.safe(sheet.title), "title"),
        *decision_sections(setter, sheet),
        *people_sections(setter, sheet),
        *sea_sections(setter, sheet),
        *gear_sections(setter, sheet),
    ]
    finished = setter.finish(
        story,
        f"{setter.words.text('run.name')}: {sheet.title}",
        setter.words.text("run.subject").format(title=sheet.title),
    )
    return finished.data
