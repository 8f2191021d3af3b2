"""Packs and rods in order, the drop table to fill in, papers carried, and what to load."""

from itertools import groupby

from reportlab.platypus import Flowable, KeepTogether, PageBreak, TableStyle

from guiding.papers.drawn import drawn_plan
from guiding.papers.records import LoadItem, PageSize, RunSheet
from guiding.papers.setting import Grid, Typesetter
from guiding.papers.styles import Tint

_DROP_COLUMNS = (
    ("number", 0.8),
    ("rod", 1),
    ("pack", 1.1),
    ("up", 1.3),
    ("down", 1.3),
    ("distance", 1.4),
    ("charge", 1.1),
    ("bait", 2),
    ("result", 4),
)
# In sizes of the body: room for a wet pencil, and twenty-four rows on a page.
_ROW_HEIGHTS = {PageSize.A4: 2.7, PageSize.LETTER: 2.4}


def gear_sections(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    """Permits, craft, packs, rods, drops, load list and notes."""
    return [
        *_kept(setter, "run.permits", _permits(setter, sheet)),
        *setter.beside("run.craft", setter.text(sheet.craft, "tight")),
        *_kept(setter, "run.packs", _packs(setter, sheet)),
        *_kept(setter, "run.rods", _rods(setter, sheet)),
        *_kept(setter, "run.drop_plan", _plan(setter, sheet)),
        *_kept(setter, "run.load", _load(setter, sheet) if sheet.load else []),
        *setter.beside("run.notes", setter.bullets(sheet.notes)),
        setter.gap(),
        setter.para(setter.word("run.check"), "small"),
        *_drops(setter, sheet),
    ]


def _kept(setter: Typesetter, heading: str, content: list[Flowable]) -> list[Flowable]:
    return [KeepTogether(setter.across(heading, content))] if content else []


def _permits(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    day = setter.local(sheet.starts_at).date()
    rows = []
    for permit in sheet.permits:
        until = setter.safe(setter.short_day(permit.valid_until)) if permit.valid_until else "–"
        if permit.valid_until and permit.valid_until < day:
            until += f" <b>{setter.word('run.permit_lapsed')}</b>"
        rows.append(
            [
                setter.safe(permit.kind),
                f"<b>{setter.safe(permit.number)}</b>",
                setter.safe(permit.authority),
                until,
                setter.safe(permit.conditions),
            ]
        )
    if not rows:
        return []
    names = ("kind", "number", "authority", "until", "conditions")
    head = [setter.word(f"run.permit_{name}") for name in names]
    return [setter.table(rows, (3, 2.4, 2.6, 2.4, 4), head, pad=0.15)]


def _packs(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    rows = []
    for number, pack in enumerate(sheet.packs, start=1):
        health = "–" if pack.health_share is None else setter.share(pack.health_share)
        charge = "–" if pack.charge_share is None else setter.share(pack.charge_share)
        rows.append(
            [
                str(number),
                f"<b>{setter.safe(pack.label)}</b>",
                setter.safe(pack.state),
                setter.safe(health),
                setter.safe(charge),
                "–" if pack.drops is None else str(pack.drops),
                setter.safe(pack.note),
            ]
        )
    if not rows:
        return []
    names = ("pack", "pack_state", "pack_health", "pack_charge", "pack_drops", "note")
    head = ["", *(setter.word(f"run.{name}") for name in names)]
    return [setter.table(rows, (0.5, 2, 1.5, 1.2, 1.2, 1.2, 5), head, right=(3, 4, 5), pad=0.15)]


def _rods(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    rows = []
    for number, rod in enumerate(sheet.rods, start=1):
        left = "–" if rod.line_left_m is None else setter.safe(setter.distance(rod.line_left_m))
        away = "–" if rod.distance_m is None else setter.safe(setter.distance(rod.distance_m))
        reel = ", ".join(setter.safe(part) for part in (rod.reel, rod.line) if part)
        rows.append(
            [
                str(number),
                f"<b>{setter.safe(rod.label)}</b>",
                reel,
                left,
                away,
                setter.safe(rod.rig),
                setter.safe(rod.weak_link),
            ]
        )
    if not rows:
        return []
    names = ("rod", "rod_reel", "rod_left", "rod_distance", "rod_rig", "rod_link")
    head = ["", *(setter.word(f"run.{name}") for name in names)]
    return [setter.table(rows, (0.5, 1.7, 3.6, 1.3, 1.3, 3, 1.8), head, right=(3, 4), pad=0.15)]


def _plan(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    return [] if sheet.drop_plan is None else [drawn_plan(setter, sheet.drop_plan)]


def _drops(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    """A page of its own for the clipboard: empty rows, the header on every page."""
    if not sheet.drop_rows:
        return []
    head = [setter.para(setter.word(f"run.drop_{name}"), "label") for name, _share in _DROP_COLUMNS]
    blank = [""] * (len(_DROP_COLUMNS) - 1)
    rows = [[setter.small(str(number)), *blank] for number in range(1, sheet.drop_rows + 1)]
    total = sum(share for _name, share in _DROP_COLUMNS)
    page = sheet.letterhead.page_size
    table = Grid(
        [head, *rows],
        colWidths=[setter.width * share / total for _name, share in _DROP_COLUMNS],
        rowHeights=[None, *[setter.styles.body_pt * _ROW_HEIGHTS[page]] * len(rows)],
        repeatRows=1,
        style=TableStyle(
            [
                ("GRID", (0, 1), (-1, -1), 0.5, Tint.QUIET),
                ("LINEBELOW", (0, 0), (-1, 0), 0.9, Tint.SLATE),
                ("LEFTPADDING", (0, 0), (-1, -1), 2.5),
                ("RIGHTPADDING", (0, 0), (-1, -1), 1),
                ("TOPPADDING", (0, 0), (-1, -1), 2),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ]
        ),
    )
    note = setter.para(f"<b>{setter.word('run.drops_note')}</b>", "small")
    return [PageBreak(), setter.heading(setter.word("run.drops")), note, table]


def _load(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    """Groups in three columns, a box before each thing."""
    blocks: list[list[Flowable]] = []
    for group, items in groupby(sheet.load, key=lambda item: item.group):
        blocks.append([setter.label(group), *(_item(setter, item) for item in items)])
    columns: list[list[Flowable]] = [[], [], []]
    held = [0, 0, 0]
    for block in blocks:
        target = held.index(min(held))
        columns[target] += [*block, setter.gap(0.6)]
        held[target] += len(block) + 1
    return [setter.table([columns], (1, 1, 1), pad=0.2, plain=True)]


def _item(setter: Typesetter, item: LoadItem) -> Flowable:
    count = f"{setter.number(item.count)} × " if item.count != 1 else ""
    return setter.ticked(f"{count}{item.text}", setter.width / 3)
