"""The ground of the strip (night, twilight, day) and what the sky does when."""

from datetime import datetime
from math import cos, pi, sin

from guiding.drawings._canvas import Canvas, Point, Spot
from guiding.drawings.strip._frame import Frame, clock_text
from guiding.drawings.strip._tide import water_y
from guiding.drawings.strip.facts import MoonDay, StripFacts, Tone


def draw_ground(frame: Frame) -> None:
    """Three tones from the scale up to the top, with a hairline where they change."""
    canvas, lanes = frame.canvas, frame.lanes
    bottom = lanes.tide_y
    top = lanes.sky_y + lanes.sky_h
    canvas.rect(frame.left, bottom, frame.right - frame.left, top - bottom, fill="day")
    for one in frame.facts.tones:
        spread = frame.spread(one.start, one.end)
        if spread and one.tone is not Tone.DAY:
            left, right = spread
            canvas.rect(left, bottom, right - left, top - bottom, fill=one.tone.value)


def draw_changes(frame: Frame) -> None:
    """A hairline where the light changes, down to the water."""
    words = frame.facts.words
    for at, word in sky_changes(frame.facts):
        x = frame.x_of(at)
        sun = word in (words.sunrise, words.sunset)
        foot = water_y(frame, at)
        dash = None if sun else (1.0, 2.0)
        frame.canvas.gapped_line((x, foot), (x, frame.lanes.top_y), "soft", 0.6, dash)


def sky_changes(facts: StripFacts) -> list[tuple[datetime, str]]:
    """Where one tone meets the next, with the word for it."""
    words = facts.words
    brightness = {Tone.NIGHT: 0, Tone.TWILIGHT: 1, Tone.DAY: 2}
    found = []
    for before, after in zip(facts.tones, facts.tones[1:], strict=False):
        if before.end != after.start or before.tone is after.tone:
            continue
        rising = brightness[after.tone] > brightness[before.tone]
        if Tone.DAY in (before.tone, after.tone):
            word = words.sunrise if rising else words.sunset
        else:
            word = words.dawn if rising else words.dusk
        if facts.day_start <= after.start < facts.day_end:
            found.append((after.start, word))
    return found


def draw_suns(frame: Frame) -> None:
    """Sunrise and sunset in the top lane."""
    words = frame.facts.words
    for at, word in sky_changes(frame.facts):
        if word in (words.sunrise, words.sunset):
            _sun_label(frame, at, rising=word == words.sunrise)


def draw_moons(frame: Frame) -> None:
    """Moonrise and moonset in the top lane."""
    moon = frame.facts.moon
    if moon:
        for moment, rising in ((moon.rise, True), (moon.set, False)):
            if moment and frame.holds(moment):
                _moon_label(frame, moon, moment, rising)


def draw_twilights(frame: Frame) -> None:
    """First and last light in the top lane, where there is room."""
    words = frame.facts.words
    for at, word in sky_changes(frame.facts):
        if word in (words.dawn, words.dusk):
            before = word == words.dawn
            size = frame.size * 0.9
            y = frame.lanes.sky_y + frame.size * 0.6
            spots = _spots(frame.x_of(at), y, size * 0.35, before)
            text = clock_text(frame.facts, at)
            frame.canvas.place(spots, text, size, role="soft", within=frame.plot)


def _spots(x: float, y: float, gap: float, before: bool) -> list[Spot]:
    left: Spot = (x - gap, y, "end")
    right: Spot = (x + gap, y, "start")
    return [left, right] if before else [right, left]


def _sun_label(frame: Frame, at: datetime, rising: bool) -> None:
    """A half sun on the horizon, and the time on the day's side of it."""
    size, x = frame.size, frame.x_of(at)
    y = frame.lanes.sky_y + size * 0.6
    radius = size * 0.36
    # The half sun stands on the side of the day, the time beyond it.
    middle = x + (1 if rising else -1) * size * 0.95
    spots = _spots(middle, y, size * 0.8, before=not rising)[:1]
    text = clock_text(frame.facts, at)
    if frame.canvas.place(spots, text, size, bold=True, within=frame.plot):
        _half_sun(frame.canvas, middle, y + size * 0.06, radius)
        frame.canvas.taken.append((middle - size * 0.7, y, middle + size * 0.7, y + size * 0.8))


def _half_sun(canvas: Canvas, x: float, y: float, radius: float) -> None:
    dome = [(x + radius * cos(a * pi / 12), y + radius * sin(a * pi / 12)) for a in range(13)]
    canvas.polygon(dome, fill="ink")
    rays = []
    for degrees in (20, 55, 90, 125, 160):
        c, s = cos(degrees * pi / 180), sin(degrees * pi / 180)
        rays.append(
            [
                (x + 1.35 * radius * c, y + 1.35 * radius * s),
                (x + 1.8 * radius * c, y + 1.8 * radius * s),
            ]
        )
    canvas.strokes(rays, "ink", radius * 0.2)
    canvas.line((x - 1.7 * radius, y), (x + 1.7 * radius, y), "ink", radius * 0.22)


def _moon_label(frame: Frame, moon: MoonDay, at: datetime, rising: bool) -> None:
    """The disc as it looks tonight, an arrowhead up or down, and the time."""
    size, canvas = frame.size, frame.canvas
    y = frame.lanes.sky_y + size * 0.6
    text = clock_text(frame.facts, at)
    radius = size * 0.48
    room = radius * 2 + size * 0.75
    wanted = frame.x_of(at)
    for x in (wanted, *(wanted + step * size for step in (-2, 2, -4, 4, -6, 6))):
        box = canvas.box_of(x + room - radius, y, text, size * 0.95, False, "start")
        whole = (x - radius, box[1], box[2], box[3])
        if canvas.is_free(whole) and whole[0] >= frame.left and whole[2] <= frame.right:
            moon_disc(canvas, x, y + size * 0.3, radius, moon)
            _arrowhead(canvas, x + radius + size * 0.38, y + size * 0.3, size * 0.26, rising)
            canvas.text(x + room - radius, y, text, size * 0.95)
            canvas.taken.append(whole)
            return


def _arrowhead(canvas: Canvas, x: float, y: float, half: float, up: bool) -> None:
    tip = half if up else -half
    canvas.polygon([(x - half, y - tip * 0.8), (x + half, y - tip * 0.8), (x, y + tip)], fill="ink")


def moon_disc(canvas: Canvas, x: float, y: float, radius: float, moon: MoonDay) -> None:
    """The lit part of the disc: one limb and the terminator, an ellipse seen from the side."""
    canvas.circle(x, y, radius, fill="moon_dark")
    share = min(max(moon.lit_share, 0.0), 1.0)
    side = 1.0 if moon.waxing != moon.from_south else -1.0
    angles = [pi / 2 - i * pi / 16 for i in range(17)]
    limb: list[Point] = [(x + side * radius * cos(a), y + radius * sin(a)) for a in angles]
    across = side * (1 - 2 * share)
    back = [(x + across * radius * cos(a), y + radius * sin(a)) for a in reversed(angles)]
    if share > 0.01:
        canvas.polygon(limb + back, fill="moon_lit")
    canvas.circle(x, y, radius, line="ink", weight=max(0.5, radius * 0.12))
