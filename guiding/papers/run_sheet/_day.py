"""The front of the run sheet: the times that hold and the decision; and the day's sea."""

from datetime import datetime

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, TableStyle

from guiding.papers.records import Decision, LimitRow, RunSheet, Verdict
from guiding.papers.sea_day import SeaDay
from guiding.papers.setting import Grid, Typesetter
from guiding.papers.styles import Tint


def decision_sections(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    """The times that hold, the decision, and what the checks said."""
    return [
        _times(setter, sheet),
        setter.gap(0.6),
        KeepTogether(setter.across("run.decision", _decision(setter, sheet.decision))),
        *setter.beside("run.method", setter.text(sheet.method, "tight")),
        *setter.beside("run.limits", setter.bullets(sheet.limits)),
        *setter.beside("run.checks", setter.bullets(sheet.checks)),
    ]


def sea_sections(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    """The strip, its words, and where they come from."""
    sea = SeaDay(setter, sheet.strip)
    strip = sea.drawing()
    decision = sheet.decision
    sources = sea.sources("", decision.forecast_source, decision.forecast_issued_at)
    told = [strip, setter.gap(0.5), *sea.twin(), sources]
    return setter.across("run.day", told, lead_pt=strip.height)


def _times(setter: Typesetter, sheet: RunSheet) -> Flowable:
    """The times that bind the guide, large enough to read in the rain."""
    day = setter.local(sheet.starts_at).date()
    known: tuple[tuple[str, datetime | None, str], ...] = (
        ("run.start", sheet.starts_at, sheet.meet.name),
        ("run.leave_by", sheet.leave_by_at, sheet.leave_by_reason),
        ("run.last_drive_out", sheet.last_drive_out_at, sheet.last_drive_out_reason),
        ("run.back", sheet.back_latest_at, ""),
        (
            "run.overdue",
            sheet.overdue_at or sheet.emergency.overdue_at,
            sheet.emergency.contact_name,
        ),
    )
    cells = [
        [
            setter.para(setter.word(label), "label"),
            setter.para(setter.safe(setter.time_on(instant, day)), "large"),
            setter.para(setter.safe(reason), "small"),
        ]
        for label, instant, reason in known
        if instant is not None
    ]
    heading = setter.para(
        f"<b>{setter.safe(setter.day(day))}</b>  ·  {setter.safe(sheet.spot.name)}"
    )
    grid = setter.table([cells], [1] * len(cells), pad=0.3, plain=True, width=setter.width - 16)
    return setter.panel([heading, grid], Tint.RUST)


def _decision(setter: Typesetter, decision: Decision) -> list[Flowable]:
    content: list[Flowable] = []
    if decision.limits:
        content.append(_limits(setter, decision.limits))
    if decision.verdict is None:
        return [*content, _open_decision(setter)]
    when = setter.when(decision.taken_at) if decision.taken_at else "–"
    taken = setter.word(
        "run.decision_taken",
        verdict=setter.words.text(f"run.{decision.verdict.value}").upper(),
        when=when,
        who=decision.taken_by or "–",
    )
    told: list[Flowable] = [setter.para(f"<b>{taken}</b>", "tight")]
    told += setter.labelled("run.decision_because", decision.reason, "tight")
    colour = {Verdict.GO: Tint.KELP, Verdict.HOLD: Tint.OCHRE, Verdict.CALL_OFF: Tint.RUST}
    return [*content, setter.gap(0.4), setter.panel(told, colour[decision.verdict])]


def _limits(setter: Typesetter, limits: tuple[LimitRow, ...]) -> Flowable:
    rows = []
    for row in limits:
        verdict = setter.word(f"run.{row.verdict.value}")
        if row.verdict is not Verdict.GO:
            verdict = f"<b>{verdict.upper()}</b>"
        told = f"{verdict} {setter.safe(row.reason)}".strip()
        rows.append(
            [setter.safe(row.name), setter.safe(row.limit), setter.safe(row.forecast), told]
        )
    head = [
        setter.word(f"run.decision_{name}") for name in ("limit", "allowed", "forecast", "verdict")
    ]
    return setter.table(rows, (3, 2, 2, 5), head, pad=0.15)


def _open_decision(setter: Typesetter) -> Flowable:
    """The box that the guide fills in with a pencil."""
    marks = [
        [setter.box(), setter.para(f"<b>{setter.word(f'run.{verdict.value}')}</b>", "tight")]
        for verdict in Verdict
    ]
    line = [cell for pair in marks for cell in pair]
    blanks = [
        setter.para(setter.word(f"run.decision_{name}"), "label")
        for name in ("time", "by", "reason")
    ]
    first = Grid([line], colWidths=[7 * mm, 20 * mm, 7 * mm, 20 * mm, 7 * mm, 30 * mm])
    second = Grid(
        [blanks],
        colWidths=[30 * mm, 40 * mm, setter.width - 70 * mm - 24],
        rowHeights=[11 * mm],
        style=TableStyle(
            [("LINEBELOW", (0, 0), (-1, -1), 0.6, Tint.INK), ("VALIGN", (0, 0), (-1, -1), "TOP")]
        ),
    )
    first.hAlign = second.hAlign = "LEFT"
    return setter.panel(
        [setter.para(setter.word("run.decision_open"), "small"), first, second], Tint.OCHRE
    )
