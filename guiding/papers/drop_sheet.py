"""The drop sheet: what to fly by, the plan of the drops drawn, and the rigs to scale."""

from reportlab.platypus import Flowable, KeepTogether

from guiding.papers.document import Document
from guiding.papers.drawn import drawn_plan, drawn_rig
from guiding.papers.records import CheckRow, CheckVerdict, DropSheet
from guiding.papers.setting import Cell, Typesetter
from guiding.papers.styles import Tint

_BODY_PT, _LEADING, _STEP = 9.5, 1.26, 0.45
# Of the width of the text: so that numbers, checks and plan of a usual day share the first page.
_PLAN_SHARE, _RIG_SHARE = 0.76, 0.9


def drop_sheet_pdf(sheet: DropSheet) -> bytes:
    """Builds the drop sheet as a PDF: numbers and checks, the plan drawn, each rig to scale.

    The same record gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    setter = Document(sheet.letterhead, _BODY_PT, _LEADING, _STEP)
    about = [part for part in (setter.when(sheet.starts_at), sheet.spot_name) if part]
    story: list[Flowable] = [
        setter.para(setter.word("drops.name"), "kicker"),
        setter.heading(setter.safe(sheet.title), "title"),
        setter.para(setter.safe("  ·  ".join(about))),
        setter.gap(0.5),
    ]
    if sheet.cast_only:
        reason = setter.para(f"<b>{setter.safe(sheet.cast_only)}</b>", "tight")
        story.append(setter.panel([reason], Tint.RUST))
    if sheet.facts:
        lines = [
            f"{setter.safe(fact.label)} <b>{setter.safe(fact.value)}</b>" for fact in sheet.facts
        ]
        story.append(setter.panel(setter.columns(lines, 2, setter.width - 24), Tint.KELP))
    story += _checks(setter, sheet)
    if sheet.plan is not None:
        plan = drawn_plan(setter, sheet.plan, setter.width * _PLAN_SHARE)
        story.append(KeepTogether([*setter.part(setter.word("drops.plan")), plan]))
    for facts, takes in sheet.rigs:
        drawing = drawn_rig(setter, facts, setter.width * _RIG_SHARE)
        told = f"{setter.word('drops.rig')} {setter.safe(facts.title)}"
        content: list[Flowable] = [*setter.part(told), drawing]
        if takes:
            content += setter.labelled("drops.takes", ", ".join(takes), "small")
        story.append(KeepTogether(content))
    story += [setter.gap(), *setter.bullets(sheet.notes)]
    story.append(setter.para(setter.word("drops.check"), "small"))
    kind = setter.words.text("drops.name")
    return setter.finish(story, f"{kind}: {sheet.title}", sheet.title).data


def _checks(setter: Typesetter, sheet: DropSheet) -> list[Flowable]:
    """What spoke up, each with its fix; what is a go in one line below."""
    if not sheet.checks:
        return []
    spoke = [row for row in sheet.checks if row.verdict is not CheckVerdict.GO]
    quiet = [row.name for row in sheet.checks if row.verdict is CheckVerdict.GO]
    content: list[Flowable] = []
    if spoke:
        head = ["", setter.word("drops.found"), setter.word("drops.fix")]
        rows = [_row(setter, row) for row in spoke]
        content.append(setter.table(rows, (1.6, 6, 5), head, pad=0.25))
    if quiet:
        content += [
            setter.gap(0.4),
            *setter.labelled("drops.quiet", ", ".join(quiet), "small"),
        ]
    return [*setter.part(setter.word("drops.checks")), *content]


def _row(setter: Typesetter, row: CheckRow) -> list[Cell]:
    verdict = setter.word(f"drops.{row.verdict.value}")
    if row.verdict is CheckVerdict.STOP:
        verdict = f"<b>{verdict.upper()}</b>"
    return [
        f"{verdict}<br/>{setter.safe(row.name)}",
        setter.safe(row.found),
        setter.safe(row.fix),
    ]
