"""The day strip as a drawing, for the screen and for paper."""

from enum import StrEnum
from functools import lru_cache
from zoneinfo import ZoneInfo

from reportlab.graphics.shapes import Drawing

from guiding.drawings._canvas import PAPER_SPARE_SHARE, SCREEN_SPARE_SHARE, Canvas
from guiding.drawings._svg import write_svg
from guiding.drawings.palette import LIGHT, Palette
from guiding.drawings.strip import _plan, _scale, _sky, _tide, _wind
from guiding.drawings.strip._frame import Frame, Lanes
from guiding.drawings.strip._tide import has_heights
from guiding.drawings.strip.facts import StripFacts
from guiding.drawings.strip.rows import strip_rows


class StripDetail(StrEnum):
    """How much a strip says: a whole page width, a phone, a cell of the diary."""

    FULL = "full"
    NARROW = "narrow"
    MINI = "mini"


_LEAST_WIDTHS = {StripDetail.FULL: 320.0, StripDetail.NARROW: 240.0, StripDetail.MINI: 80.0}
_WIDTHS = {StripDetail.FULL: 1000.0, StripDetail.NARROW: 360.0, StripDetail.MINI: 160.0}


def day_strip(
    facts: StripFacts,
    width: float | None = None,
    palette: Palette = LIGHT,
    detail: StripDetail = StripDetail.FULL,
    text_size: float | None = None,
) -> Drawing:
    """The day strip of one day at one spot, as a drawing whose height follows from its width.

    `width` and `text_size` are in drawing units (points on paper); without them a usual width for
    the detail and a legible text size for the width are taken. Raises ValueError for a width under
    80 (mini), 240 (narrow) or 320 (full), below which nothing could be read.
    """
    return _draw_strip(facts, width, palette, StripDetail(detail), text_size, PAPER_SPARE_SHARE)


def strip_svg(
    facts: StripFacts,
    detail: StripDetail = StripDetail.FULL,
    width: float | None = None,
    text_size: float | None = None,
) -> str:
    """The day strip as one SVG element for a page; the same facts give the same bytes.

    It has no width of its own and no inline style: its colours are the classes of
    `palette_rules`, with the light palette as the colours of last resort.
    """
    return _kept_svg(facts, StripDetail(detail), width, text_size)


# A page of the diary shows forty days that seldom change between two looks.
@lru_cache(maxsize=256)
def _kept_svg(
    facts: StripFacts, detail: StripDetail, width: float | None, text_size: float | None
) -> str:
    drawing = _draw_strip(facts, width, LIGHT, detail, text_size, SCREEN_SPARE_SHARE)
    words = facts.words
    title = f"{words.strip_of}: {facts.title or facts.day.isoformat()}"
    told = [f"{row.time} {row.what} {row.value}".strip() for row in strip_rows(facts)]
    return write_svg(
        drawing,
        title=title,
        description=". ".join(" ".join(one.split()) for one in told),
        kind=f"day-strip-{detail}",
        data={"midnights": _midnights(detail, width, text_size)},
        language=words.language,
    )


def _draw_strip(
    facts: StripFacts,
    width: float | None,
    palette: Palette,
    detail: StripDetail,
    text_size: float | None,
    spare_share: float,
) -> Drawing:
    width = _WIDTHS[detail] if width is None else width
    least = _LEAST_WIDTHS[detail]
    if width < least:
        raise ValueError(f"A {detail} strip needs a width of {least:g} or more, not {width:g}.")
    size = text_size or _text_size(detail, width)
    left, right = _edges(detail, width, size)
    lines = _scale.note_lines(facts, right - left, size, spare_share)
    lanes, height = _lanes(facts, detail, size, len(lines))
    frame = Frame(
        facts=facts,
        canvas=Canvas(width, height, palette, spare_share),
        lanes=lanes,
        left=left,
        right=right,
        size=size,
        zone=ZoneInfo(facts.zone),
    )
    _draw(frame, detail)
    return frame.canvas.drawing


def _edges(detail: StripDetail, width: float, size: float) -> tuple[float, float]:
    """Where the two midnights stand."""
    gutter = {StripDetail.FULL: 4.0, StripDetail.NARROW: 2.1, StripDetail.MINI: 0.1}[detail]
    return gutter * size, width - (0.1 if detail is StripDetail.MINI else 0.9) * size


def _midnights(detail: StripDetail, width: float | None, text_size: float | None) -> str:
    """The same for a script that draws the hairline of now over a kept strip."""
    width = _WIDTHS[detail] if width is None else width
    left, right = _edges(detail, width, text_size or _text_size(detail, width))
    return f"{left:.2f} {right:.2f}"


def _text_size(detail: StripDetail, width: float) -> float:
    if detail is StripDetail.FULL:
        return max(7.0, min(12.5, width / 70))
    if detail is StripDetail.NARROW:
        return max(8.0, min(14.0, width / 29))
    return width / 18


def _lanes(
    facts: StripFacts, detail: StripDetail, size: float, note_lines: int
) -> tuple[Lanes, float]:
    """Lanes from the top down, in text sizes; a lane without facts takes no room."""
    mini = detail is StripDetail.MINI
    wind = (4.1 if any(one.gust_ms for one in facts.winds) else 3.8) if facts.winds else 0.0
    rows = {
        "sky": 0.0 if mini else 1.9,
        "wind": 0.0 if mini else wind + (1.5 if facts.waves else 0.0),
        "tide": 4.4 if mini else 9.4 if has_heights(facts) else 0.6,
        "scale": 0.35 if mini else 0.5,
        "hours": 0.0 if mini else 1.5,
        "fly": 0.5 if mini else 1.15,
        "plan": 0.9 if mini else 1.7,
        "notes": _notes_share(facts, detail, note_lines),
    }
    height = sum(rows.values()) * size
    top, bottoms = height, {}
    for name, share in rows.items():
        top -= share * size
        bottoms[name] = top
    lanes = Lanes(
        sky_y=bottoms["sky"],
        sky_h=rows["sky"] * size,
        wind_y=bottoms["wind"],
        wind_h=rows["wind"] * size,
        tide_y=bottoms["tide"],
        tide_h=rows["tide"] * size,
        tide_head={"full": 1.7, "narrow": 2.7, "mini": 0.3}[detail] * size,
        scale_y=bottoms["scale"],
        scale_h=rows["scale"] * size,
        hours_y=bottoms["hours"],
        fly_y=bottoms["fly"],
        fly_h=rows["fly"] * size,
        plan_y=bottoms["plan"],
        plan_h=rows["plan"] * size,
        notes_y=bottoms["notes"],
        top_y=height,
    )
    return lanes, height


def _notes_share(facts: StripFacts, detail: StripDetail, note_lines: int) -> float:
    """The foot holds the notes of a full strip and the time of now on a narrow one."""
    if detail is StripDetail.FULL and note_lines:
        return 1.8 + _scale.NOTE_SHARE * _scale.NOTE_LINE_SHARE * (note_lines - 1)
    return 1.6 if detail is StripDetail.NARROW and facts.now else 0.45


def _draw(frame: Frame, detail: StripDetail) -> None:
    """Ground first, then what lies on it, labels in the order of their weight, lines last.

    Lines come last because they stop short of the labels on their way.
    """
    labelled = detail is not StripDetail.MINI
    _sky.draw_ground(frame)
    _tide.draw_water(frame, labelled)
    _wind.draw_limits(frame)
    _scale.draw_scale(frame, labelled)
    _plan.draw_plan(frame, labelled)
    if labelled:
        _tide.draw_turns(frame, side_by_side=detail is StripDetail.FULL)
        _sky.draw_suns(frame)
        _scale.draw_now_label(frame, at_foot=detail is StripDetail.NARROW)
        _sky.draw_moons(frame)
        _sky.draw_twilights(frame)
        _tide.draw_cut_off_label(frame)
        _wind.draw_wind(frame)
        _wind.draw_waves(frame)
    if detail is StripDetail.FULL:
        _scale.draw_names(frame)
        _scale.draw_notes(frame)
    _tide.draw_cut_off(frame)
    _sky.draw_changes(frame)
    _scale.draw_now(frame)
    if labelled:
        _scale.draw_neatline(frame, both_sides=detail is StripDetail.FULL)
