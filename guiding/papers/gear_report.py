"""The gear report: what is fit, what is due, what is grounded, and why."""

from reportlab.platypus import Flowable

from guiding.papers.document import Document
from guiding.papers.records import GearReport, GearRow, GearSection
from guiding.papers.setting import Cell, Typesetter
from guiding.papers.styles import Tint

_BODY_PT, _LEADING, _STEP = 9.5, 1.26, 0.5


def gear_report_pdf(report: GearReport) -> bytes:
    """Builds the gear report as a PDF: one table a kind, what cannot wait marked in words.

    The same record gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    setter = Document(report.letterhead, _BODY_PT, _LEADING, _STEP)
    story: list[Flowable] = [
        setter.para(setter.word("gear.name"), "kicker"),
        setter.heading(setter.safe(report.title), "title"),
        setter.para(setter.word("gear.on", day=setter.day(report.on))),
        setter.gap(0.5),
    ]
    told = [
        f"{setter.safe(fact.label)} <b>{setter.safe(fact.value)}</b>" for fact in report.summary
    ]
    if told:
        story += [setter.panel([setter.para("  ·  ".join(told), "tight")], Tint.KELP)]
    for section in report.sections:
        story += _section(setter, section)
    story += [setter.gap(), *setter.bullets(report.notes)]
    story.append(setter.para(setter.word("gear.check"), "small"))
    kind = setter.words.text("gear.name")
    return setter.finish(story, f"{kind}: {report.title}", report.title).data


def _section(setter: Typesetter, section: GearSection) -> list[Flowable]:
    part = setter.part(
        f"{setter.safe(section.title)} ({setter.safe(setter.number(len(section.rows)))})"
    )
    if not section.rows:
        return [*part, setter.para(setter.word("gear.none"), "tight")]
    names = ("thing", "state", "health", "next", "due", "why")
    table = setter.table(
        [_row(setter, row) for row in section.rows],
        (2.2, 1.5, 2.1, 2.4, 1.9, 3.4),
        [setter.word(f"gear.{name}") for name in names],
        pad=0.3,
    )
    return [*part, table, *setter.text(section.note, "small")]


def _row(setter: Typesetter, row: GearRow) -> list[Cell]:
    due = setter.safe(row.due)
    if row.urgent:
        due = f"<b>{setter.word('gear.now')}</b> {due}"
    return [
        f"<b>{setter.safe(row.label)}</b>",
        f"<b>{setter.safe(row.state)}</b>" if row.urgent else setter.safe(row.state),
        setter.safe(row.health),
        setter.safe(row.next_step),
        due,
        setter.safe(row.reason),
    ]
