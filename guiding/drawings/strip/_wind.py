"""Wind as arrows, the hours over the limit, and the waves."""

from math import cos, radians, sin

from guiding.drawings._canvas import Point, Spot
from guiding.drawings.strip._frame import Frame, height_text, speed_text
from guiding.drawings.strip.facts import WindSample

_LONGEST_AT_MS = 16.0


def draw_limits(frame: Frame) -> None:
    """Hours over the craft's limit, hatched over the wind."""
    facts, lanes, canvas = frame.facts, frame.lanes, frame.canvas
    for one in facts.over_limit:
        spread = frame.spread(one.start, one.end)
        if not spread or not lanes.wind_h:
            continue
        left, right = spread
        top = lanes.wind_y + lanes.wind_h
        bottom = top - _arrows_h(frame)
        outline = [(left, bottom), (right, bottom), (right, top), (left, top)]
        canvas.hatch(outline, "stop", frame.size * 0.55, -45, frame.size * 0.045)
        canvas.strokes([outline[:1] + outline[3:], outline[1:3]], "stop", frame.size * 0.06)


def _arrows_h(frame: Frame) -> float:
    """Height of the part of the lane that holds the arrows, above the numbers and the waves."""
    below = 1.2 + (1.5 if frame.facts.waves else 0.0)
    return frame.lanes.wind_h - below * frame.size


def draw_wind(frame: Frame) -> None:
    """Arrows that fly with the wind, length by speed, a hairline behind for the gusts."""
    size = frame.size
    top = frame.lanes.wind_y + frame.lanes.wind_h
    middle = top - _arrows_h(frame) / 2
    foot = top - _arrows_h(frame) - size * 0.75
    last = float("-inf")
    for sample in sorted(frame.facts.winds, key=lambda one: one.at):
        x = frame.x_of(sample.at)
        room = size * 1.2
        if not frame.holds(sample.at) or not frame.left + room <= x <= frame.right - room:
            continue
        if x - last < size * 2.5:
            continue
        last = x
        over = any(one.start <= sample.at < one.end for one in frame.facts.over_limit)
        frame.canvas.place(
            [(x, foot, "middle")],
            speed_text(frame.facts, sample.wind_ms),
            size * 0.9,
            role="stop" if over else "ink",
            bold=over,
        )
        _arrow(frame, x, middle, sample, "stop" if over else "ink")


def _arrow(frame: Frame, x: float, y: float, sample: WindSample, role: str) -> None:
    size, canvas = frame.size, frame.canvas
    length = size * (0.9 + 1.0 * min(sample.wind_ms / _LONGEST_AT_MS, 1.0))
    gust_ms = max((sample.gust_ms or 0.0) - sample.wind_ms, 0.0)
    more = size * 1.4 * min(gust_ms / _LONGEST_AT_MS, 0.4)
    dx, dy = -sin(radians(sample.from_deg)), -cos(radians(sample.from_deg))

    def along(distance: float, aside: float = 0.0) -> Point:
        return (x + dx * distance - dy * aside, y + dy * distance + dx * aside)

    tip = (length + more) / 2
    base, tail = tip - size * 0.55, tip - length
    if more:
        canvas.line(along(tail - more), along(tail), role, size * 0.06)
    canvas.line(along(tail), along(base), role, size * 0.15)
    canvas.polygon([along(tip), along(base, size * 0.27), along(base, -size * 0.27)], fill=role)


def draw_waves(frame: Frame) -> None:
    """Wave height as upright ticks on a line, a number where there is room."""
    facts, size, canvas = frame.facts, frame.size, frame.canvas
    if not facts.waves:
        return
    foot = frame.lanes.wind_y + size * 0.2
    canvas.line((frame.left, foot), (frame.right, foot), "soft", size * 0.05)
    highest = max(1.5, *(one.height_m for one in facts.waves))
    last = float("-inf")
    for one in sorted(facts.waves, key=lambda wave: wave.at):
        if not frame.holds(one.at):
            continue
        x = frame.x_of(one.at)
        tall = size * (0.12 + 1.0 * max(one.height_m, 0.0) / highest)
        canvas.line((x, foot), (x, foot + tall), "tide", size * 0.16)
        if x - last >= size * 5:
            number = height_text(facts, one.height_m).split("\u00a0")[0]
            spot: Spot = (x + size * 0.25, foot + size * 0.2, "start")
            if canvas.place([spot], number, size * 0.85, role="soft", within=frame.plot):
                last = x
