"""What to prepare and what to load, in the order of the deadlines, with boxes to tick."""

from itertools import groupby

from reportlab.platypus import Flowable

from guiding.papers.document import Document
from guiding.papers.records import LoadItem, PrepList, PrepLists
from guiding.papers.setting import Cell, Typesetter


def prep_lists_pdf(lists: PrepLists) -> bytes:
    """Builds the prep and load lists of a day as a PDF, a box a line, two where things come back.

    The same record gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    setter = Document(lists.letterhead, 10.5, 1.26, 0.5)
    about = [setter.when(lists.starts_at), lists.spot_name]
    story: list[Flowable] = [
        setter.para(setter.word("prep.name"), "kicker"),
        setter.heading(setter.safe(lists.title), "title"),
        setter.para(setter.safe("  ·  ".join(part for part in about if part))),
    ]
    if not lists.lists:
        story.append(setter.para(setter.word("prep.none")))
    for one in lists.lists:
        story += _list(setter, one, lists.count_back)
    story += [setter.gap(), *setter.bullets(lists.notes)]
    kind = setter.words.text("prep.name")
    return setter.finish(story, f"{kind}: {lists.title}", lists.title).data


def _list(setter: Typesetter, one: PrepList, count_back: bool) -> list[Flowable]:
    title = setter.safe(one.title)
    if one.by:
        title += f"  ·  {setter.word('prep.by', when=setter.when(one.by))}"
    rows: list[list[Cell]] = []
    for group, items in groupby(one.items, key=lambda item: item.group):
        rows += [
            _row(setter, item, setter.safe(group) if number == 0 else "", count_back)
            for number, item in enumerate(items)
        ]
    part = [*setter.part(title), *setter.text(one.note, "small")]
    if not rows:
        return [*part, setter.para(setter.word("prep.empty"), "tight")]
    head = [setter.word("prep.out"), *([setter.word("prep.back")] if count_back else [])]
    head += ["", setter.word("prep.what"), setter.word("prep.group")]
    widths = [0.8, *([0.8] if count_back else []), 0.9, 7, 3]
    figures = (2,) if count_back else (1,)
    return [*part, setter.table(rows, widths, head, right=figures, pad=0.35)]


def _row(setter: Typesetter, item: LoadItem, group: str, count_back: bool) -> list[Cell]:
    boxes: list[Cell] = [setter.box()]
    if count_back:
        boxes.append(setter.box())
    count = f"{setter.number(item.count)} ×" if item.count != 1 else ""
    return [*boxes, setter.safe(count), setter.safe(item.text), setter.small(group)]
