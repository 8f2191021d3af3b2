"""The day strip: hours, labels, patterns, the SVG and the text twin."""

import io
import itertools
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader
from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing, Path, Rect, String
from reportlab.pdfgen.canvas import Canvas

from guiding.drawings.palette import DARK, LIGHT, PRINT, palette_rules
from guiding.drawings.strip import (
    BlockKind,
    HeightUnit,
    MoonDay,
    PlanBlock,
    SpeedUnit,
    StripDetail,
    StripFacts,
    StripWords,
    TideTurn,
    TurnKind,
    day_strip,
    strip_rows,
    strip_svg,
)
from tests.drawings.made_days import full_day, midnight
from tests.drawings.reading import SVG, boxes_of, collisions, strokes_of, svg_tree, words_of

DUBLIN = "Europe/Dublin"
SPRING = date(2026, 3, 29)
AUTUMN = date(2026, 10, 25)


def hour_labels(drawing: Drawing) -> list[tuple[str, float]]:
    """The hours under the scale with their middles, left to right."""
    boxes = boxes_of(drawing)
    midnights = [low for text, _, low, _, _ in boxes if text == "24"]
    row = [(t, (a + b) / 2) for t, a, low, b, _ in boxes if abs(low - midnights[0]) < 0.1]
    return sorted([one for one in row if one[0].isdigit()], key=lambda one: one[1])


def test_a_plain_day_shows_every_hour_once() -> None:
    labels = hour_labels(day_strip(full_day(), 1000))
    assert [text for text, _ in labels] == [f"{hour:02d}" for hour in range(25)]


def test_spring_day_of_23_hours_skips_an_hour() -> None:
    labels = hour_labels(day_strip(full_day(SPRING), 1000))
    assert [text for text, _ in labels] == ["00", *(f"{hour:02d}" for hour in range(2, 25))]
    steps = [b - a for (_, a), (_, b) in itertools.pairwise(labels)]
    assert max(steps) - min(steps) < 0.5


def test_autumn_day_of_25_hours_shows_one_twice() -> None:
    labels = hour_labels(day_strip(full_day(AUTUMN), 1000))
    assert [text for text, _ in labels][:4] == ["00", "01", "01", "02"]
    assert len(labels) == 26


def test_a_half_hour_change_keeps_whole_local_hours() -> None:
    day = full_day(date(2026, 4, 5), "Australia/Lord_Howe")
    assert (day.day_end - day.day_start) == timedelta(hours=24.5)
    labels = hour_labels(day_strip(day, 1000))
    # The clock falls from 02:00 to 01:30: the hour of one lasts an hour and a half.
    assert [text for text, _ in labels] == [f"{hour:02d}" for hour in range(25)]
    steps = [b - a for (_, a), (_, b) in itertools.pairwise(labels)]
    assert steps[1] == pytest.approx(1.5 * steps[0], rel=0.02)


def test_a_day_whose_midnight_does_not_exist() -> None:
    start = datetime(2018, 11, 4, 3, tzinfo=UTC)  # the clock went from 00:00 to 01:00
    day = StripFacts(date(2018, 11, 4), "America/Sao_Paulo", start, start + timedelta(hours=23))
    labels = hour_labels(day_strip(day, 1000))
    assert labels[0][0] == "01"
    assert len(labels) == 24


def test_the_strip_of_a_change_of_clocks_says_so() -> None:
    spring = [row for row in strip_rows(full_day(SPRING)) if row.what == "clocks change"]
    autumn = [row for row in strip_rows(full_day(AUTUMN)) if row.what == "clocks change"]
    assert [(row.time, row.value) for row in spring] == [("02:00", "+1\u00a0h")]
    assert [(row.time, row.value) for row in autumn] == [("01:00 GMT", "−1\u00a0h")]
    assert not [row for row in strip_rows(full_day()) if row.what == "clocks change"]


def test_an_hour_that_comes_twice_carries_its_name() -> None:
    first = datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    turns = (
        TideTurn(first, 4.0, TurnKind.HIGH),
        TideTurn(first + timedelta(hours=1), 0.4, TurnKind.LOW),
    )
    rows = strip_rows(full_day(AUTUMN, turns=turns))
    times = [row.time for row in rows if row.what in ("high water", "low water")]
    assert times == ["01:30 IST", "01:30 GMT"]


@pytest.mark.parametrize("day", [SPRING, AUTUMN, date(2026, 7, 18)])
@pytest.mark.parametrize(
    ("detail", "width"),
    [("full", 1000), ("full", 510), ("full", 320), ("narrow", 360), ("narrow", 240), ("mini", 120)],
)
def test_labels_never_touch(day: date, detail: str, width: float) -> None:
    now = midnight(day) + timedelta(hours=13.4)
    drawing = day_strip(full_day(day, now=now), width, detail=StripDetail(detail))
    assert collisions(drawing) == []


@given(
    turns=st.lists(
        st.tuples(st.floats(0, 24), st.floats(-1, 12), st.sampled_from(list(TurnKind))), max_size=6
    ),
    blocks=st.lists(
        st.tuples(
            st.floats(-6, 26),
            st.floats(0.1, 10),
            st.sampled_from(list(BlockKind)),
            st.text(max_size=30),
        ),
        max_size=8,
    ),
    moon=st.tuples(st.floats(0, 24), st.floats(0, 24), st.floats(0, 1)),
    now_h=st.floats(-2, 26),
    cut_off_m=st.none() | st.floats(-1, 15),
    detail=st.sampled_from([("full", 1000.0), ("full", 500.0), ("narrow", 360.0)]),
    halves=st.sampled_from([None, ("am", "pm")]),
)
def test_labels_never_touch_whatever_the_day(
    turns, blocks, moon, now_h, cut_off_m, detail, halves
) -> None:
    start = midnight(date(2026, 7, 18))

    def at(hours: float) -> datetime:
        return start + timedelta(hours=hours)

    facts = full_day(
        turns=tuple(TideTurn(at(h), m, kind) for h, m, kind in turns),
        plan=tuple(PlanBlock(at(h), at(h + long), kind, label) for h, long, kind, label in blocks),
        moon=MoonDay(moon[2], waxing=True, rise=at(moon[0]), set=at(moon[1])),
        now=at(now_h),
        cut_off_m=cut_off_m,
        halves=halves,
    )
    assert collisions(day_strip(facts, detail[1], detail=StripDetail(detail[0]))) == []
    strip_rows(facts)


def test_highs_and_lows_stand_where_they_happen() -> None:
    drawing = day_strip(full_day(), 1000)
    scale = dict(hour_labels(drawing))
    boxes = {text: (left + right) / 2 for text, left, _, right, _ in boxes_of(drawing)}
    per_hour = scale["01"] - scale["00"]
    # 15:01 is the second low water; its label ends left of the point and goes on right of it.
    assert boxes["15:01"] == pytest.approx(scale["15"], abs=per_hour)
    assert "4.0\u00a0m" in words_of(drawing)
    assert "cut-off 3.4\u00a0m" in words_of(drawing)


def test_units_and_language_are_the_readers() -> None:
    german = StripWords(
        language="de", decimal_mark=",", cut_off="Rückweg zu", wind="Wind", east="O"
    )
    facts = full_day(words=german)
    assert "Rückweg zu 3,4\u00a0m" in words_of(day_strip(facts, 1000))
    feet = full_day(height_unit=HeightUnit.FOOT, speed_unit=SpeedUnit.KNOT, halves=("am", "pm"))
    words = words_of(day_strip(feet, 1000))
    assert "cut-off 11.2\u00a0ft" in words  # 3.4 m / 0.3048
    assert "kn" in words
    rows = {row.what: row for row in strip_rows(feet)}
    assert rows["wind limit"].value == "17\u00a0kn"  # 9 m/s x 3600 / 1852
    assert rows["sunrise"].time == "5:18 am"


def test_cast_only_takes_the_place_of_may_fly() -> None:
    facts = full_day(cast_only="No permission to drop on this date; check with your own authority.")
    words = words_of(day_strip(facts, 1000))
    assert "cast only" in words
    assert "may fly" not in words
    rows = strip_rows(facts)
    assert rows[0].what == "cast only"
    assert "No permission to drop" in rows[0].value
    assert all(row.what != "may fly" for row in rows)


def test_only_what_is_known_is_drawn() -> None:
    day = date(2026, 7, 18)
    bare = StripFacts(day, DUBLIN, midnight(day), midnight(day + timedelta(days=1)))
    drawing = day_strip(bare, 1000)
    assert [one for one in words_of(drawing) if not one.isdigit()] == []
    assert strip_rows(bare) == ()
    assert drawing.height < day_strip(full_day(), 1000).height


def test_unsafe_time_and_wind_over_the_limit_are_hatched_not_only_coloured() -> None:
    hatched = day_strip(full_day(), 1000, PRINT)
    plain = day_strip(full_day(unsafe=(), over_limit=()), 1000, PRINT)

    def strokes(drawing: Drawing) -> int:
        return sum(len(one.points) for one in strokes_of(drawing, "stop") if isinstance(one, Path))

    assert strokes(hatched) > strokes(plain) + 100


def test_each_kind_of_block_has_its_own_pattern_without_colour() -> None:
    def picture(kind: BlockKind) -> list[tuple[str, int]]:
        start = midnight(date(2026, 7, 18)) + timedelta(hours=9)
        block = PlanBlock(start, start + timedelta(hours=4), kind, " ")
        with_block = day_strip(full_day(plan=(block,)), 1000, PRINT).contents
        without = day_strip(full_day(plan=()), 1000, PRINT).contents
        shapes = [str(one.getProperties()) for one in without]
        left = [one for one in with_block if str(one.getProperties()) not in shapes]
        return [
            (type(one).__name__, len(getattr(one, "points", ())))
            for one in left
            if not isinstance(one, String)
        ]

    pictures = [picture(kind) for kind in (BlockKind.DRIVE, BlockKind.SET_UP, BlockKind.SESSION)]
    assert len({str(one) for one in pictures}) == 3


def test_now_is_drawn_only_on_its_own_day() -> None:
    start = midnight(date(2026, 7, 18))
    on_day = words_of(day_strip(full_day(now=start + timedelta(hours=10)), 1000))
    day_after = words_of(day_strip(full_day(now=start + timedelta(hours=30)), 1000))
    assert "now 10:00" in on_day
    assert not [one for one in day_after if one.startswith("now")]


def test_rows_tell_the_day_in_its_order() -> None:
    rows = strip_rows(full_day())
    dated = [row.time[:5] for row in rows if row.time]
    assert dated == sorted(dated)
    told = {(row.time, row.what, row.value) for row in rows}
    assert ("08:49", "high water", "4.0\u00a0m") in told
    assert ("07:03 to 10:36", "over the cut-off", "") in told
    assert ("05:18", "sunrise", "") in told
    assert ("11:30 to 18:00", "session", "") in told
    assert ("", "Moon", "22\u00a0% lit, waxing") in told
    assert ("12:00", "Wind", "6\u00a0m/s from W, gusts 10") in told


def test_a_block_over_midnight_says_which_day() -> None:
    start = midnight(date(2026, 7, 18))
    block = PlanBlock(start + timedelta(hours=22), start + timedelta(hours=26), BlockKind.SESSION)
    rows = strip_rows(full_day(plan=(block,)))
    assert "22:00 to 02:00 next day" in [row.time for row in rows]


def test_svg_is_well_formed_scalable_and_named() -> None:
    root = svg_tree(strip_svg(full_day()))
    assert root.tag == SVG + "svg"
    assert root.get("role") == "img"
    assert root.get("viewBox", "").startswith("0 0 1000 ")
    assert root.get("width") is None
    assert root.get("height") is None
    title, description = root[0], root[1]
    assert title.tag == SVG + "title"
    assert description.tag == SVG + "desc"
    assert root.get("aria-labelledby") == title.get("id")
    assert root.get("aria-describedby") == description.get("id")
    assert "Marram Head" in (title.text or "")
    assert "high water 4.0 m" in (description.text or "")


def test_svg_keeps_to_a_strict_page() -> None:
    svg = strip_svg(full_day(now=midnight(date(2026, 7, 18)) + timedelta(hours=9)))
    root = svg_tree(svg)
    for element in root.iter():
        assert element.get("style") is None
        assert element.tag not in (SVG + "style", SVG + "script")
        assert not [name for name in element.attrib if name.startswith("on")]
    classes = set(re.findall(r"draw-(?:fill|line)-[a-z-]+", svg))
    assert classes
    rules = palette_rules()
    assert [one for one in classes if f".{one} {{" not in rules] == []


def test_svg_colours_do_not_depend_on_the_scheme() -> None:
    for element in svg_tree(strip_svg(full_day())).iter(SVG + "rect"):
        role = (element.get("class") or "").split()[0].removeprefix("draw-fill-")
        if element.get("fill") != "none":
            assert element.get("fill") == getattr(LIGHT, role.replace("-", "_"))


def test_same_facts_same_bytes_and_other_facts_other_names() -> None:
    assert strip_svg(full_day()) == strip_svg(full_day())
    names = {
        svg_tree(strip_svg(full_day(), detail)).get("aria-labelledby") for detail in StripDetail
    }
    names.add(svg_tree(strip_svg(full_day(SPRING))).get("aria-labelledby"))
    assert len(names) == 4


@given(text=st.text(max_size=60))
def test_user_text_cannot_open_an_element(text: str) -> None:
    start = midnight(date(2026, 7, 18))
    block = PlanBlock(start, start + timedelta(hours=23), BlockKind.SESSION, text)
    root = svg_tree(strip_svg(full_day(title=text, plan=(block,), notes=(text,))))
    known = {SVG + one for one in ("svg", "title", "desc", "rect", "path", "circle", "text")}
    assert {element.tag for element in root.iter()} <= known


def test_hostile_title_is_shown_as_it_is_written() -> None:
    hostile = '</title><script>alert("x")</script> & <b>'
    root = svg_tree(strip_svg(full_day(title=hostile)))
    assert (root[0].text or "").endswith(hostile)


def test_mini_is_small_and_says_nothing_in_the_picture() -> None:
    svg = strip_svg(full_day(), StripDetail.MINI)
    assert list(svg_tree(svg).iter(SVG + "text")) == []
    assert len(svg) < 12_000


@pytest.mark.parametrize("palette", [LIGHT, DARK, PRINT])
def test_the_same_drawing_goes_into_a_pdf(palette) -> None:
    buffer = io.BytesIO()
    sheet = Canvas(buffer, pagesize=(600, 300), invariant=True)
    renderPDF.draw(day_strip(full_day(), 510, palette), sheet, 20, 20)
    sheet.save()
    text = PdfReader(buffer).pages[0].extract_text()
    assert "08:49" in text
    assert "cut-off" in text


@pytest.mark.parametrize(("detail", "width"), [("full", 100), ("narrow", 100), ("mini", 10)])
def test_a_width_in_which_nothing_could_be_read_is_refused(detail: str, width: float) -> None:
    with pytest.raises(ValueError, match="needs a width of"):
        day_strip(full_day(), width, detail=StripDetail(detail))


def test_a_day_that_does_not_start_at_midnight_is_refused() -> None:
    good = full_day()
    with pytest.raises(ValueError, match="must be the first instant of 2026-07-18"):
        replace(good, day_start=good.day_start + timedelta(hours=1))
    with pytest.raises(ValueError, match="day_end of the strip has no zone"):
        replace(good, day_end=datetime(2026, 7, 19))  # noqa: DTZ001
    with pytest.raises(ValueError, match="is not known"):
        replace(good, zone="Europe/Atlantis")


def test_the_ground_covers_the_day_without_a_gap() -> None:
    drawing = day_strip(full_day(), 1000)
    tones = [
        one
        for one in drawing.contents
        if isinstance(one, Rect)
        and one.fillColor
        and one.fillColor.role in ("night", "twilight", "day")
    ]
    whole, *parts = sorted(tones, key=lambda one: -one.width)
    assert whole.fillColor.role == "day"
    edges = sorted((one.x, one.x + one.width) for one in parts)
    assert edges[0][0] == pytest.approx(whole.x)
    assert edges[-1][1] == pytest.approx(whole.x + whole.width)
    hours = [(right - left) / whole.width * 24 for left, right in edges]
    assert hours == pytest.approx([4.2, 1.1, 0.9, 1.3], abs=0.01)


@pytest.mark.parametrize("detail", list(StripDetail))
def test_the_svg_says_where_its_two_midnights_stand(detail: StripDetail) -> None:
    root = svg_tree(strip_svg(full_day(), detail))
    left, right = (float(one) for one in (root.get("data-midnights") or "").split())
    ground = next(one for one in root.iter(SVG + "rect"))
    assert float(ground.get("x", "")) == pytest.approx(left, abs=0.01)
    assert float(ground.get("width", "")) == pytest.approx(right - left, abs=0.02)


def test_twelve_hour_scale_ends_with_midnight_on_the_sheet() -> None:
    drawing = day_strip(full_day(halves=("am", "pm")), 1000)
    assert words_of(drawing).count("12 am") == 2
    assert collisions(drawing) == []


def test_long_notes_take_a_second_line_and_nothing_is_cut() -> None:
    source = "Marram Head harbour: invented table of highs and lows (official table)."
    more = "Hours to fly by their light alone: no wind and no craft in it. Not for navigation."
    short, long = full_day(tide_note=source, notes=()), full_day(tide_note=source, notes=(more,))
    assert day_strip(long, 400).height > day_strip(short, 400).height
    texts = words_of(day_strip(long, 400))
    assert source in texts
    assert more in texts
    assert collisions(day_strip(long, 400)) == []
