"""A rig drawn to scale: from the main line down to the sinker, every part numbered and named."""

from dataclasses import dataclass

from reportlab.graphics.shapes import Drawing

from guiding.drawings._axes import Axis, level_margin, number_row
from guiding.drawings._canvas import (
    PAPER_SPARE_SHARE,
    SCREEN_SPARE_SHARE,
    Canvas,
    Spot,
    label_size,
)
from guiding.drawings._svg import write_svg
from guiding.drawings.fonts import text_width
from guiding.drawings.palette import LIGHT, Palette
from guiding.drawings.rig._numbered import Place, numbered_parts
from guiding.drawings.rig.facts import RigFacts, RigPiece
from guiding.drawings.rig.rows import rig_rows


@dataclass(frozen=True, slots=True)
class _Bench:
    """The sheet the rig lies on: metres across, one height for the line."""

    facts: RigFacts
    canvas: Canvas
    size: float
    metres: Axis
    line_y: float


def rig_diagram(
    facts: RigFacts,
    width: float | None = None,
    palette: Palette = LIGHT,
    text_size: float | None = None,
) -> Drawing:
    """A rig to scale as a drawing, main line left and sinker right, with its numbered key.

    The weak link goes up from the top of the trace to the clip: it parts when the craft is pulled
    and never holds a fish. Lengths are to one scale; the thickness of a line grows with what it
    bears. `width` in drawing units, 600 unless given; ValueError under 240.
    """
    return _draw(facts, width, palette, text_size, PAPER_SPARE_SHARE)


def rig_svg(facts: RigFacts, width: float | None = None, text_size: float | None = None) -> str:
    """A rig to scale as one SVG element for a page; the same facts give the same bytes."""
    drawing = _draw(facts, width, LIGHT, text_size, SCREEN_SPARE_SHARE)
    told = [f"{row.number} {row.name} {row.length} {row.strength}" for row in rig_rows(facts)]
    return write_svg(
        drawing,
        title=facts.title,
        description=". ".join(" ".join(one.split()) for one in (*told, *facts.warnings)),
        kind="rig",
        language=facts.words.language,
    )


def _draw(
    facts: RigFacts,
    width: float | None,
    palette: Palette,
    text_size: float | None,
    spare_share: float,
) -> Drawing:
    width = 600.0 if width is None else width
    if width < 240:
        raise ValueError(f"A rig needs a width of 240 or more, not {width:g}.")
    size = text_size or label_size(width, spare_share)
    lines = _key_lines(facts, width - size * 2.2, size, spare_share)
    total_m = sum(one.length_m for one in (facts.trace, facts.sinker_link) if one)
    left, right = size * 4.2, width - size * 2.6
    longest_m = max((one.piece.length_m for one in facts.branches), default=0.0)
    per_m = (right - left) / total_m
    hang = longest_m * per_m + size * 2.4
    above = size * 3.0
    if facts.weak_link:
        above = max(above, facts.weak_link.length_m * per_m + size * 2.2)
    key = len(lines) * size * 1.45 + size * 1.0
    height = key + size * 3.8 + hang + above
    canvas = Canvas(width, height, palette, spare_share)
    bench = _Bench(facts, canvas, size, Axis(0.0, total_m, left, right), height - above)
    _ruler(bench, key + size * 1.6)
    _line(bench)
    _weak_link(bench)
    _branches(bench)
    _key(bench, lines, key)
    return canvas.drawing


def _ruler(bench: _Bench, y: float) -> None:
    canvas, size, metres = bench.canvas, bench.size, bench.metres
    steps = metres.steps(10)
    level_margin(canvas, metres, steps, y, size * 0.4)
    number_row(canvas, metres, steps, y - size * 1.15, size * 0.9, bench.facts.words.decimal_mark)
    name: Spot = (metres.start - size * 0.6, y - size * 0.1, "end")
    canvas.place([name], "m", size * 0.9, role="soft")


def _thickness(bench: _Bench, piece: RigPiece) -> float:
    """What bears more is drawn thicker, from a quarter of the label size down to a hairline."""
    strongest = max(one.piece.strength_n for one in numbered_parts(bench.facts))
    return bench.size * (0.06 + 0.2 * piece.strength_n / strongest)


def _line(bench: _Bench) -> None:
    """Main line, trace and sinker link on one level, with a joint between each two."""
    canvas, size, y = bench.canvas, bench.size, bench.line_y
    done_m = 0.0
    for part in numbered_parts(bench.facts):
        thick = _thickness(bench, part.piece)
        if part.place is Place.MAIN:
            canvas.line((size * 0.6, y), (bench.metres.start, y), "ink", thick)
            _numbered(bench, part.number, size * 2.9, y + size * 1.4)
        elif part.place in (Place.TRACE, Place.FOOT):
            left, right = bench.metres.at(done_m), bench.metres.at(done_m + part.piece.length_m)
            canvas.line((left, y), (right, y), "ink", thick)
            _numbered(bench, part.number, (left + right) / 2, y + size * 1.4)
            _joint(bench, left)
            done_m += part.piece.length_m
    # Two slanting strokes: the main line goes on to the reel, not to scale.
    strokes = [
        [(x - size * 0.2, y - size * 0.5), (x + size * 0.2, y + size * 0.5)]
        for x in (size * 1.4, size * 1.8)
    ]
    canvas.strokes(strokes, "ink", 0.8)
    if bench.facts.sinker:
        _sinker(bench)
    else:
        _joint(bench, bench.metres.end)


def _weak_link(bench: _Bench) -> None:
    """Up from the top of the trace to the clip, in a zigzag: the part that is meant to part."""
    part = next((one for one in numbered_parts(bench.facts) if one.place is Place.LINK), None)
    if part is None:
        return
    canvas, size, x = bench.canvas, bench.size, bench.metres.start
    low, high = bench.line_y, bench.line_y + part.piece.length_m * _per_m(bench)
    canvas.line((x, low), (x, high), "stop", _thickness(bench, part.piece))
    peak = size * 0.35
    ys = [low + (high - low) * n / 4 for n in range(5)]
    run = [(x + (peak if n % 2 else -peak), y) for n, y in enumerate(ys)]
    canvas.strokes([run], "stop", size * 0.1)
    # The clip: a jaw that opens.
    jaw = [(x, high), (x, high + size * 0.4), (x - size * 0.45, high + size * 0.8)]
    jaw += [(x, high + size * 1.2), (x + size * 0.45, high + size * 0.8)]
    canvas.strokes([jaw], "ink", size * 0.12)
    _numbered(bench, part.number, x + size * 1.5, high + size * 0.6)


def _per_m(bench: _Bench) -> float:
    metres = bench.metres
    return (metres.end - metres.start) / (metres.high - metres.low)


def _joint(bench: _Bench, x: float) -> None:
    """A swivel: two eyes."""
    radius = bench.size * 0.22
    for side in (-radius, radius):
        bench.canvas.circle(x + side, bench.line_y, radius, fill="paper", line="ink", weight=0.8)


def _sinker(bench: _Bench) -> None:
    x, y, size = bench.metres.end, bench.line_y, bench.size
    _joint(bench, x)
    tall = size * 0.62
    body = [
        (x + size * 0.4, y + tall * 0.25),
        (x + size * 0.9, y + tall),
        (x + size * 1.7, y + tall),
        (x + size * 1.7, y - tall),
        (x + size * 0.9, y - tall),
        (x + size * 0.4, y - tall * 0.25),
    ]
    bench.canvas.polygon(body, fill="soft", line="ink", weight=0.7)
    _numbered(bench, len(numbered_parts(bench.facts)) + 1, x + size * 1.1, y + size * 1.6)


def _branches(bench: _Bench) -> None:
    """Droppers hang down to scale, each with its hook and, where there is one, its bait."""
    facts, canvas, size = bench.facts, bench.canvas, bench.size
    per_m = _per_m(bench)
    for part in numbered_parts(facts):
        if not part.branch:
            continue
        x = bench.metres.at(part.branch.at_m)
        top = bench.line_y
        foot = top - part.piece.length_m * per_m
        canvas.line((x, top), (x, foot), "ink", _thickness(bench, part.piece))
        canvas.circle(x, top, size * 0.3, fill="paper", line="ink", weight=0.9)
        _hook(bench, x, foot, bool(part.bait))
        _numbered(bench, part.number, x + size * 1.1, (top + foot) / 2)


def _hook(bench: _Bench, x: float, y: float, baited: bool) -> None:
    """A shank, a bend and a point; the bait as a hatched drop over the bend."""
    canvas, size = bench.canvas, bench.size
    gape = size * 0.7
    bend = [
        (x, y),
        (x, y - size * 0.7),
        (x + gape * 0.12, y - size * 1.05),
        (x + gape * 0.5, y - size * 1.2),
        (x + gape * 0.88, y - size * 1.05),
        (x + gape, y - size * 0.75),
        (x + gape, y - size * 0.45),
    ]
    canvas.strokes([bend, [bend[-1], (x + gape * 0.75, y - size * 0.65)]], "ink", size * 0.11)
    if baited:
        middle = x + gape * 0.1
        outline = [
            (middle, y - size * 0.1),
            (middle + size * 0.42, y - size * 0.6),
            (middle, y - size * 1.25),
            (middle - size * 0.42, y - size * 0.6),
        ]
        canvas.polygon(outline, fill="paper", line="caution", weight=size * 0.09)
        canvas.hatch(outline, "caution", size * 0.28, 45, size * 0.07)


def _numbered(bench: _Bench, number: int, x: float, y: float) -> None:
    """The number of a part, moved aside where two would touch."""
    size = bench.size
    middles = [
        (x + step * size, y + rise * size)
        for rise in (0.0, 1.3)
        for step in (0.0, 0.7, -0.7, 1.4, -1.4, 2.1)
    ]
    bench.canvas.ringed(middles, number, size * 0.9)


@dataclass(frozen=True, slots=True)
class _KeyLine:
    number: str
    text: str
    strength: str
    role: str


def _key_lines(facts: RigFacts, room: float, size: float, spare_share: float) -> list[_KeyLine]:
    """The key in lines that fit: what a dropper carries goes on a line of its own if it must."""
    found: list[_KeyLine] = []
    link = next((one.number for one in numbered_parts(facts) if one.place is Place.LINK), 0)
    for row in rig_rows(facts):
        role = "stop" if row.number == link else "ink"
        left = room - text_width(row.strength, size) * (1 + spare_share) - size
        whole = ", ".join(one for one in (row.name, row.carries, row.length) if one)
        short = ", ".join(one for one in (row.name, row.length) if one)
        fits = text_width(whole, size) * (1 + spare_share) <= left
        found.append(_KeyLine(str(row.number), whole if fits else short, row.strength, role))
        if row.carries and not fits:
            found.append(_KeyLine("", row.carries, "", "soft"))
    found.extend(_KeyLine("!", one, "", "stop") for one in facts.warnings)
    return found


def _key(bench: _Bench, lines: list[_KeyLine], top: float) -> None:
    """The numbered list under the ruler: name, length, strength; then what is wrong."""
    canvas, size = bench.canvas, bench.size
    y = top - size * 1.2
    for one in lines:
        canvas.place([(size * 1.2, y, "end")], one.number, size, one.role, bold=True)
        canvas.place([(canvas.width - size * 0.4, y, "end")], one.strength, size, one.role)
        canvas.place(
            [(size * 1.8, y, "start")],
            canvas.cut(one.text, canvas.width - size * 2.4, size),
            size,
            one.role,
        )
        y -= size * 1.45
