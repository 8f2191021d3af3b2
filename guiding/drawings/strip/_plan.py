"""The plan of the day, and when the craft may fly."""

from guiding.drawings._canvas import Spot
from guiding.drawings.strip._frame import Frame, clock_text
from guiding.drawings.strip.facts import BlockKind, PlanBlock, StripFacts


def block_label(facts: StripFacts, block: PlanBlock) -> str:
    """The block's own label, or the word for its kind."""
    words = facts.words
    kinds = {
        BlockKind.DRIVE: words.drive,
        BlockKind.SET_UP: words.set_up,
        BlockKind.SESSION: words.session,
        BlockKind.PACK_DOWN: words.pack_down,
    }
    return block.label.strip() or kinds[block.kind]


def draw_plan(frame: Frame, labelled: bool) -> None:
    """The bar of 'may fly' over the blocks of the plan."""
    _may_fly(frame, labelled)
    for block in frame.facts.plan:
        spread = frame.spread(block.start, block.end)
        if spread:
            _block(frame, block, *spread)
            if labelled:
                _label(frame, block, *spread)


def _may_fly(frame: Frame, labelled: bool) -> None:
    facts, lanes, size, canvas = frame.facts, frame.lanes, frame.size, frame.canvas
    height = size * (0.32 if labelled else 0.28)
    y = lanes.fly_y + (lanes.fly_h - height) / 2
    if facts.cast_only is not None:
        whole = (frame.left, frame.right)
        if labelled:
            _over_bar(frame, facts.words.cast_only, [whole], "stop")
        start, end = ((x, y + height / 2) for x in whole)
        canvas.gapped_line(start, end, "stop", size * 0.12, (size * 0.15, size * 0.35))
        return
    spreads = [s for s in (frame.spread(one.start, one.end) for one in facts.may_fly) if s]
    if not spreads:
        return
    gap = _over_bar(frame, facts.words.may_fly, spreads, "go") if labelled else None
    for left, right in spreads:
        edges = [left, right]
        if gap and left < gap[0] < right:
            edges = [left, gap[0], gap[1], right]
        pieces = zip(edges[::2], edges[1::2], strict=True)
        canvas.rects([(low, y, high, y + height) for low, high in pieces], fill="go")
        ends = [[(x, y - height * 0.5), (x, y + height * 1.5)] for x in (left, right)]
        canvas.strokes(ends, "go", size * 0.1)


def _over_bar(
    frame: Frame, text: str, spreads: list[tuple[float, float]], role: str
) -> tuple[float, float] | None:
    """The name of the bar, in a gap of its widest stretch (left and right), else beside it."""
    size = frame.size * 0.9
    left, right = max(spreads, key=lambda one: one[1] - one[0])
    y = frame.lanes.fly_y + frame.lanes.fly_h / 2 - size * 0.28
    middle = (left + right) / 2
    box = frame.canvas.box_of(middle, y, text, size, False, "middle")
    if right - left > (box[2] - box[0]) * 1.6:
        frame.canvas.place([(middle, y, "middle")], text, size, role)
        return box[0] - size * 0.3, box[2] + size * 0.3
    spots: list[Spot] = [(right + size * 0.5, y, "start"), (left - size * 0.5, y, "end")]
    frame.canvas.place(spots, text, size, role)
    return None


def _block(frame: Frame, block: PlanBlock, left: float, right: float) -> None:
    """Each kind has its own pattern, so that it reads without colour."""
    size, canvas = frame.size, frame.canvas
    y, height = frame.lanes.plan_y, frame.lanes.plan_h
    outline = [(left, y), (right, y), (right, y + height), (left, y + height)]
    width = right - left
    if block.kind is BlockKind.SESSION:
        canvas.rect(left, y, width, height, fill="block", line="block")
        return
    canvas.rect(left, y, width, height, fill="paper")
    if block.kind is BlockKind.DRIVE:
        edge = height * 0.13
        lows = (y, y + height - edge)
        canvas.rects([(left, low, right, low + edge) for low in lows], fill="block")
    else:
        slant = 60 if block.kind is BlockKind.SET_UP else -60
        canvas.hatch(outline, "grid", size * 0.45, slant, size * 0.06)
    canvas.rect(left, y, width, height, line="block", weight=max(0.6, size * 0.07))


def _label(frame: Frame, block: PlanBlock, left: float, right: float) -> None:
    """The most that fits inside: name and times, the name, or nothing."""
    facts, size = frame.facts, frame.size
    session = block.kind is BlockKind.SESSION
    name = block_label(facts, block)
    times = f"{clock_text(facts, block.start)}–{clock_text(facts, block.end)}"
    y = frame.lanes.plan_y + frame.lanes.plan_h / 2 - size * 0.32
    for text in (f"{name} {times}", name):
        middle = (left + right) / 2
        box = frame.canvas.box_of(middle, y, text, size, session, "middle")
        width = box[2] - box[0]
        if width + size * 0.5 > right - left:
            continue
        if not session and block.kind is not BlockKind.DRIVE:
            frame.canvas.rect(
                middle - width / 2 - size * 0.2,
                frame.lanes.plan_y + frame.lanes.plan_h * 0.14,
                width + size * 0.4,
                frame.lanes.plan_h * 0.72,
                fill="paper",
            )
        role = "on_block" if session else "ink"
        frame.canvas.place([(middle, y, "middle")], text, size, role, bold=session)
        return
    if block.kind is BlockKind.DRIVE and right - left > size * 1.2:
        middle = frame.lanes.plan_y + frame.lanes.plan_h / 2
        dash = (size * 0.5, size * 0.4)
        frame.canvas.line((left + size * 0.3, middle), (right, middle), "block", size * 0.1, dash)
