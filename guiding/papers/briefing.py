"""The briefing: what is read aloud at the spot, who heard it, every hazard, the child's page."""

from reportlab.platypus import Flowable, KeepTogether, PageBreak

from guiding.papers.document import Document
from guiding.papers.records import Briefing, BriefingItem, RiskMatrix, Score
from guiding.papers.setting import Cell, Typesetter
from guiding.papers.styles import Tint

_BODY_PT, _LEADING, _STEP = 9.5, 1.26, 0.5


def briefing_pdf(briefing: Briefing) -> bytes:
    """Builds the briefing as a PDF: read aloud, boxes for who heard it, hazards, children's page.

    The matrix that the scores were read from is printed with them. The same record gives the same
    bytes. Raises ValueError for a language the papers do not have.
    """
    setter = Document(briefing.letterhead, _BODY_PT, _LEADING, _STEP)
    about = [setter.day(briefing.day), briefing.spot_name, briefing.guide_name]
    story: list[Flowable] = [
        setter.para(setter.word("briefing.name"), "kicker"),
        setter.heading(setter.safe(briefing.title), "title"),
        setter.para(setter.safe("  ·  ".join(part for part in about if part))),
        setter.gap(0.5),
        *_spoken(setter, briefing),
        setter.rules(briefing.rules, cast_only=briefing.cast_only),
        *_heard(setter, briefing),
        *([PageBreak()] if briefing.spoken else []),
        *_items(setter, briefing),
        *setter.bullets(briefing.notes),
        *_matrix(setter, briefing.matrix),
        setter.gap(),
        setter.para(setter.word("briefing.check"), "small"),
        *_children(setter, briefing),
    ]
    kind = setter.words.text("briefing.name")
    return setter.finish(story, f"{kind}: {briefing.title}", briefing.spot_name).data


def _spoken(setter: Typesetter, briefing: Briefing) -> list[Flowable]:
    """What is read aloud, in type that is read at arm's length."""
    if not briefing.spoken:
        return []
    minutes = setter.number(briefing.spoken_minutes)
    told: list[Flowable] = [setter.para(setter.word("briefing.aloud", minutes=minutes), "label")]
    for block in briefing.spoken:
        lines = [setter.para(setter.safe(line), "aloud") for line in block.lines]
        told += [KeepTogether([setter.heading(setter.safe(block.heading)), *lines[:1]]), *lines[1:]]
    return [*told, setter.gap()]


def _children(setter: Typesetter, briefing: Briefing) -> list[Flowable]:
    """The children's own page, in large type, with a box to tick for each line said back."""
    if not briefing.child_lines:
        return []
    names = ", ".join(briefing.child_names)
    title = setter.word("briefing.for_children", names=names) if names else ""
    rows = [
        [setter.box(1.6), setter.para(setter.safe(line), "value")] for line in briefing.child_lines
    ]
    return [
        PageBreak(),
        setter.heading(title or setter.word("briefing.children"), "title"),
        setter.para(setter.word("briefing.say_back"), "value"),
        setter.gap(),
        setter.table(rows, (1, 14), pad=1.4),
    ]


def _items(setter: Typesetter, briefing: Briefing) -> list[Flowable]:
    if not briefing.items:
        return []
    rows = [_item(setter, number, item) for number, item in enumerate(briefing.items, start=1)]
    head = [setter.word(f"briefing.{name}") for name in ("hazard", "we_do", "we_say")]
    table = setter.table(rows, (3, 4, 4.4), head, pad=0.35, whole_rows=True)
    return [*setter.part(setter.word("briefing.hazards")), table]


def _item(setter: Typesetter, number: int, item: BriefingItem) -> list[Cell]:
    name: list[Flowable] = [setter.para(f"{number}. <b>{setter.safe(item.name)}</b>", "tight")]
    if item.trigger:
        name.append(setter.small(item.trigger))
    scores = " → ".join(
        _score(setter, score) for score in (item.before, item.after) if score is not None
    )
    if scores:
        name.append(setter.para(scores.replace("→", setter.word("briefing.then")), "small"))
    said: list[Flowable] = []
    if item.line:
        said.append(setter.para(f"<b>{setter.word('page.quoted', text=item.line)}</b>", "tight"))
    said += setter.labelled("briefing.if_it_happens", item.emergency, "tight")
    return [name, setter.bullets(item.controls), said]


def _score(setter: Typesetter, score: Score) -> str:
    return setter.word(
        "briefing.score",
        likelihood=score.likelihood,
        consequence=score.consequence,
        score=score.score,
        band=score.band,
    )


def _heard(setter: Typesetter, briefing: Briefing) -> list[Flowable]:
    """A box a person, ticked when they have repeated the rules."""
    if not briefing.first_names:
        return []
    cells: list[Cell] = [setter.ticked(name, setter.width / 3) for name in briefing.first_names]
    cells += [""] * (-len(cells) % 3)
    rows = [cells[start : start + 3] for start in range(0, len(cells), 3)]
    boxes = setter.table(rows, (1, 1, 1), pad=0.4, plain=True)
    line = setter.table(
        [[setter.para(setter.word(f"briefing.{name}"), "label") for name in ("time", "by")]],
        (1, 3),
        pad=2,
        extra=[("LINEBELOW", (0, 0), (-1, -1), 0.6, Tint.INK)],
        plain=True,
    )
    return [*setter.part(setter.word("briefing.heard")), boxes, KeepTogether([line]), setter.gap()]


def _matrix(setter: Typesetter, matrix: RiskMatrix | None) -> list[Flowable]:
    """The matrix, highest likelihood on top, every cell with its score and the band's name."""
    if matrix is None:
        return []
    rows: list[list[Cell]] = []
    for level in range(len(matrix.likelihoods), 0, -1):
        word = matrix.likelihoods[level - 1]
        cells: list[Cell] = [f"<b>{level}</b> {setter.safe(word)}"]
        for consequence, band in enumerate(matrix.bands[level - 1], start=1):
            cells.append(setter.small(f"{level * consequence} {band}"))
        rows.append(cells)
    head = [
        setter.word("briefing.likelihood"),
        *(
            f"{number} {setter.brief(word)}"
            for number, word in enumerate(matrix.consequences, start=1)
        ),
    ]
    table = setter.table(rows, [1.6] + [1.3] * len(matrix.consequences), head, pad=0.3)
    content: list[Flowable] = [*setter.part(setter.word("briefing.matrix")), table]
    if matrix.source:
        content.append(setter.small(matrix.source))
    return [KeepTogether(content)]
