"""The report of an incident: what happened, the day as it was, what was done, the record of it."""

from reportlab.platypus import Flowable

from guiding.papers.document import Document
from guiding.papers.records import Fact, IncidentReport
from guiding.papers.setting import Cell, Typesetter
from guiding.papers.styles import Tint

_BODY_PT, _LEADING, _STEP = 9.8, 1.28, 0.55


def incident_report_pdf(report: IncidentReport) -> bytes:
    """Builds the report of an incident or near miss as a PDF, with a line to sign.

    The same record gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    setter = Document(report.letterhead, _BODY_PT, _LEADING, _STEP)
    about = [setter.when(report.happened_at), report.place]
    state = setter.word("incident.open")
    if report.closed_at:
        state = setter.word("incident.closed", when=setter.when(report.closed_at))
    story: list[Flowable] = [
        setter.para(setter.word("incident.name"), "kicker"),
        setter.heading(setter.safe(report.title), "title"),
        setter.para(setter.safe("  ·  ".join(part for part in about if part))),
        setter.para(
            f"{state} {setter.word('incident.kept', day=setter.day(report.kept_until))}", "small"
        ),
        setter.gap(),
        setter.panel(setter.text(report.what), Tint.RUST),
        *_facts(setter, "incident.facts", report.facts),
        *_story(setter, report.story),
        *_facts(setter, "incident.conditions", report.conditions),
        *_witnesses(setter, report),
        *_follow_ups(setter, report),
        *_entries(setter, report),
        *_signing(setter),
        setter.para(setter.word("incident.check"), "small"),
    ]
    kind = setter.words.text("incident.name")
    return setter.finish(story, f"{kind}: {report.title}", report.title).data


def _facts(setter: Typesetter, heading: str, facts: tuple[Fact, ...]) -> list[Flowable]:
    if not facts:
        return []
    lines = [f"<b>{setter.safe(one.label)}:</b> {setter.safe(one.value)}" for one in facts]
    return [*setter.part(setter.word(heading)), *setter.columns(lines, 2)]


def _story(setter: Typesetter, story: tuple[Fact, ...]) -> list[Flowable]:
    told: list[Flowable] = []
    for one in story:
        told += [*setter.part(setter.safe(one.label)), *setter.text(one.value)]
    return told


def _witnesses(setter: Typesetter, report: IncidentReport) -> list[Flowable]:
    if not report.witnesses:
        return []
    told: list[Flowable] = [*setter.part(setter.word("incident.witnesses"))]
    for one in report.witnesses:
        when = setter.when(one.taken_at) if one.taken_at else ""
        about = "  ·  ".join(part for part in (one.contact, when) if part)
        told.append(setter.para(f"<b>{setter.safe(one.name)}</b> {setter.safe(about)}", "tight"))
        told += setter.text(one.words)
    return told


def _follow_ups(setter: Typesetter, report: IncidentReport) -> list[Flowable]:
    if not report.follow_ups:
        return []
    rows: list[list[Cell]] = []
    for one in report.follow_ups:
        done = setter.word("incident.not_done")
        if one.done_on:
            done = f"{setter.safe(setter.short_day(one.done_on))}: {setter.safe(one.done_how)}"
        what: list[Flowable] = [setter.para(setter.safe(one.what), "tight")]
        if one.source:
            what.append(setter.small(one.source))
        rows.append([what, setter.safe(setter.short_day(one.due_on)), done])
    head = [setter.word(f"incident.{name}") for name in ("what", "by", "done")]
    table = setter.table(rows, (4.6, 1.9, 4), head)
    return [*setter.part(setter.word("incident.follow_ups")), table]


def _entries(setter: Typesetter, report: IncidentReport) -> list[Flowable]:
    """The record as it was written: lines are only ever added."""
    if not report.entries:
        return []
    rows: list[list[Cell]] = [
        [
            setter.safe(setter.when(one.written_at)),
            setter.safe(one.by),
            f"<b>{setter.safe(one.about)}</b>",
            setter.safe(one.words),
        ]
        for one in report.entries
    ]
    head = [setter.word(f"incident.{name}") for name in ("when", "who", "about", "words")]
    table = setter.table(rows, (2.2, 2.2, 2, 5), head, pad=0.25)
    return [*setter.part(setter.word("incident.record")), table]


def _signing(setter: Typesetter) -> list[Flowable]:
    names = ("sign_name", "sign_mark", "sign_day")
    cells: list[Cell] = [setter.para(setter.word(f"incident.{name}"), "label") for name in names]
    line = ("LINEBELOW", (0, 0), (-1, -1), 0.6, Tint.INK)
    return [
        setter.gap(),
        setter.table([cells], (3, 4, 2), pad=2.4, extra=[line], plain=True),
        setter.gap(),
    ]
