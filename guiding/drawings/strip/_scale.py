"""The hour scale like the margin of a chart, the hairline of now, names and notes."""

from itertools import pairwise

from guiding.drawings._canvas import Spot
from guiding.drawings.fonts import text_width
from guiding.drawings.strip._frame import Frame, clock_change, clock_text, hour_text
from guiding.drawings.strip._tide import height_cells
from guiding.drawings.strip.facts import StripFacts

NOTE_SHARE = 0.85  # of the size of the labels
NOTE_LINE_SHARE = 1.35  # of the size of the notes, from line to line


def draw_scale(frame: Frame, labelled: bool) -> None:
    """A cell an hour, every other one filled; the local hours under it."""
    canvas, lanes = frame.canvas, frame.lanes
    hours = list(frame.whole_hours())
    canvas.rect(frame.left, lanes.scale_y, frame.right - frame.left, lanes.scale_h, fill="paper")
    edges = [frame.x_of(at) for at, _ in hours] + [frame.right]
    foot, top = lanes.scale_y, lanes.scale_y + lanes.scale_h
    cells = [(left, foot, right, top) for left, right in pairwise(edges)]
    canvas.rects(cells[::2], fill="ink")
    canvas.rect(
        frame.left, lanes.scale_y, frame.right - frame.left, lanes.scale_h, line="ink", weight=0.6
    )
    _clock_change(frame)
    if labelled:
        _hour_labels(frame)


def _clock_change(frame: Frame) -> None:
    """A lozenge on the scale where the clocks change."""
    change = clock_change(frame.facts)
    if change:
        lanes = frame.lanes
        x, y = frame.x_of(change[0]), lanes.scale_y + lanes.scale_h / 2
        half = max(lanes.scale_h * 0.8, 2.0)
        corners = [(x - half, y), (x, y + half), (x + half, y), (x, y - half)]
        frame.canvas.polygon(corners, fill="caution", line="paper", weight=half * 0.25)


def _hour_labels(frame: Frame) -> None:
    canvas, size, facts = frame.canvas, frame.size, frame.facts
    hours = list(frame.whole_hours())
    per_hour = (frame.right - frame.left) / len(hours)
    widest = max(text_width(hour_text(facts, hour), size) for hour in range(24))
    step = next((one for one in (1, 2, 3, 4, 6) if one * per_hour >= widest + size * 0.9), 12)
    y = frame.lanes.hours_y + size * 0.42
    wanted = [(frame.x_of(at), hour) for at, hour in hours if hour % step == 0]
    wanted.append((frame.right, 24))
    for x, hour in wanted:
        text = hour_text(facts, hour)
        half = canvas.box_of(0, 0, text, size, False, "middle")[2]
        middle = min(max(x, half), canvas.width - half)
        canvas.place([(middle, y, "middle")], text, size)


def draw_neatline(frame: Frame, both_sides: bool) -> None:
    """The frame of the chart, with the height scale as upright margins."""
    canvas, lanes = frame.canvas, frame.lanes
    width = frame.size * 0.4
    height = lanes.top_y - lanes.tide_y
    canvas.rect(frame.left, lanes.tide_y, frame.right - frame.left, height, line="ink", weight=0.6)
    cells = height_cells(frame)
    for x in (frame.left - width, frame.right)[: 2 if both_sides else 1] if cells else ():
        foot, top = cells[0][0], cells[-1][1]
        canvas.rect(x, foot, width, top - foot, fill="paper")
        canvas.rects([(x, low, x + width, high) for low, high in cells[::2]], fill="ink")
        canvas.rect(x, foot, width, top - foot, line="ink", weight=0.6)


def _now_x(frame: Frame) -> float | None:
    now = frame.facts.now
    return frame.x_of(now) if now is not None and frame.holds(now) else None


def draw_now_label(frame: Frame, at_foot: bool) -> None:
    """The time of now beside its line, in the top lane or at the foot."""
    x, now, size = _now_x(frame), frame.facts.now, frame.size
    if x is None or now is None:
        return
    text = f"{frame.facts.words.now} {clock_text(frame.facts, now)}"
    y = frame.lanes.plan_y - size * 1.05 if at_foot else frame.lanes.sky_y + size * 0.6
    spots: list[Spot] = [(x + size * 0.4, y, "start"), (x - size * 0.4, y, "end")]
    frame.canvas.place(spots, text, size * 0.95, role="stop", bold=True)


def draw_now(frame: Frame) -> None:
    """The hairline of now, from the top through the plan, with a point at its foot."""
    x, size, canvas = _now_x(frame), frame.size, frame.canvas
    if x is None:
        return
    foot, half = frame.lanes.plan_y, size * 0.32
    start, end = (x, foot), (x, frame.lanes.top_y)
    canvas.gapped_line(start, end, "stop", max(0.9, size * 0.12))
    if frame.lanes.sky_h:
        canvas.polygon(
            [(x - half, foot - half * 1.4), (x + half, foot - half * 1.4), (x, foot)], "stop"
        )


def draw_names(frame: Frame) -> None:
    """What each lane is, in the margin, with its unit."""
    lanes, size, facts = frame.lanes, frame.size, frame.facts
    words = facts.words
    top = lanes.wind_y + lanes.wind_h
    names = []
    if facts.winds:
        names.append((words.wind, top - size * 1.3))
        names.append((facts.speed_unit.value, top - size * 2.4))
    if facts.waves:
        names.append((f"{words.waves} {facts.height_unit.value}", lanes.wind_y + size * 0.35))
    if facts.tide or facts.turns:
        names.append(
            (f"{words.tide} {facts.height_unit.value}", lanes.tide_y + lanes.tide_h - size)
        )
    if facts.plan:
        names.append((words.plan, lanes.plan_y + size * 0.5))
    for name, y in names:
        spot: Spot = (frame.left - size * 0.65, y, "end")
        frame.canvas.place([spot], name, size * 0.85, role="soft")


def note_lines(facts: StripFacts, room: float, size: float, spare_share: float) -> list[str]:
    """Where the tide comes from and what else must be said: one line, or two where it is long."""
    parts = [one for one in (facts.tide_note, *facts.notes) if one]
    whole = " · ".join(parts)
    if len(parts) < 2 or text_width(whole, size * NOTE_SHARE) * (1 + spare_share) <= room:
        return [whole] if whole else []
    return [parts[0], " · ".join(parts[1:])]


def draw_notes(frame: Frame) -> None:
    """The notes at the foot, each line cut to the width."""
    canvas, size = frame.canvas, frame.size * NOTE_SHARE
    room = frame.right - frame.left
    lines = note_lines(frame.facts, room, frame.size, canvas.spare_share)
    for above, text in enumerate(reversed(lines)):
        y = frame.lanes.notes_y + size * (0.4 + NOTE_LINE_SHARE * above)
        canvas.place([(frame.left, y, "start")], canvas.cut(text, room, size), size, "soft")
