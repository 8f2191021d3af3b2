"""Trends and bars: what is measured, expected, planned; the same in the picture and in words."""

import itertools

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from reportlab.graphics.shapes import Circle, Drawing, Line, Path, Polygon, Rect

from guiding.drawings.bars import Bar, BarFacts, bar_chart, bar_rows, bar_svg
from guiding.drawings.palette import PRINT
from guiding.drawings.trend import (
    TrendBand,
    TrendCrossing,
    TrendFacts,
    TrendMark,
    TrendPoint,
    trend_chart,
    trend_rows,
    trend_svg,
)
from tests.drawings.reading import SVG, collisions, strokes_of, svg_tree, words_of


def pack(**changes: object) -> TrendFacts:
    """The health of an invented pack, with its forecast."""
    facts: dict[str, object] = {
        "title": "Health of pack A2",
        "x_name": "cycles",
        "y_name": "health %",
        "points": tuple(TrendPoint(x, 100 - 0.07 * x, x != 64) for x in range(0, 130, 8)),
        "forecast": tuple(
            TrendBand(x, 98 - 0.08 * x, 100 - 0.07 * x, 101 - 0.06 * x) for x in range(120, 401, 20)
        ),
        "limit": 80.0,
        "crossing": TrendCrossing(286, 228, 350),
        "marks": (TrendMark(128, "today"), TrendMark(160, "last booked trip")),
        "note": "From 17 capacity checks",
    }
    return TrendFacts(**(facts | changes))  # type: ignore[arg-type]


def discs(drawing: Drawing) -> list[Circle]:
    return [one for one in drawing.contents if isinstance(one, Circle)]


def test_every_counted_measurement_is_a_disc_and_the_others_a_cross() -> None:
    drawing = trend_chart(pack(), 600)
    assert len(discs(drawing)) == 16
    crosses = [one for one in strokes_of(drawing, "soft", dashed=False) if isinstance(one, Path)]
    assert [len(one.points) // 4 for one in crosses] == [2]


def test_points_keep_their_order_and_their_scale() -> None:
    found = discs(trend_chart(pack(), 600))
    steps = {round(b.cx - a.cx, 1) for a, b in itertools.pairwise(found[:8])}
    assert len(steps) == 1
    assert [one.cy for one in found] == sorted((one.cy for one in found), reverse=True)


def test_the_limit_is_dashed_and_lies_where_the_middle_crosses_it() -> None:
    drawing = trend_chart(pack(), 600)
    dashed = strokes_of(drawing, "stop", dashed=True)
    assert len(dashed) == 1
    assert isinstance(dashed[0], Path)
    level = dashed[0].points[1]
    bracket = [one for one in strokes_of(drawing, "stop", dashed=False) if isinstance(one, Line)]
    assert [one.y1 for one in bracket] == pytest.approx([level])
    (middle,) = strokes_of(drawing, "tide", dashed=True)
    crossing_x = next(
        x for x, y in zip(middle.points[::2], middle.points[1::2], strict=True) if y < level
    )
    assert bracket[0].x1 < crossing_x < bracket[0].x2


def test_the_words_tell_the_same() -> None:
    rows = {row.what: row.value for row in trend_rows(pack(decimal_mark=","))}
    assert rows["cycles 0"] == "health % 100"
    assert rows["cycles 128"] == "health % 91,0"
    assert rows["expected"] == "cycles 286 (228 to 350)"
    assert rows["retire"] == "health % 80"
    words = words_of(trend_chart(pack(), 600))
    assert "cycles 286 (228 to 350)" in words
    assert "retire 80" in words


def test_an_open_end_of_the_band_is_said_and_not_invented() -> None:
    open_ended = pack(crossing=TrendCrossing(286, 228, None))
    assert {row.what: row.value for row in trend_rows(open_ended)}["expected"].endswith("to …)")


def test_nothing_measured_is_said() -> None:
    empty = TrendFacts("Health of pack B1", "cycles", "health %", limit=80.0)
    assert "nothing measured yet" in words_of(trend_chart(empty, 600))
    assert [row.value for row in trend_rows(empty)] == ["nothing measured yet", "health % 80"]


@pytest.mark.parametrize("width", [240, 360, 510, 1000])
def test_labels_of_a_trend_never_touch(width: float) -> None:
    assert collisions(trend_chart(pack(), width)) == []


@given(
    points=st.lists(
        st.tuples(st.floats(-1e4, 1e5), st.floats(-1e4, 1e5), st.booleans()), max_size=30
    ),
    limit=st.none() | st.floats(-100, 1000),
    marks=st.lists(st.tuples(st.floats(0, 1000), st.text(max_size=20)), max_size=4),
)
@example(points=[(5e-324, 0.0, False)], limit=None, marks=[])
@example(points=[(1.0, 7.0, False), (1.0 + 1e-12, 7.0 + 1e-12, True)], limit=None, marks=[])
def test_any_measurements_make_a_drawing_with_readable_labels(points, limit, marks) -> None:
    facts = TrendFacts(
        "Any",
        "trips",
        "metres left",
        tuple(TrendPoint(*one) for one in points),
        limit=limit,
        marks=tuple(TrendMark(*one) for one in marks),
    )
    assert collisions(trend_chart(facts, 480)) == []
    svg_tree(trend_svg(facts))


def test_a_middle_outside_its_band_is_refused() -> None:
    with pytest.raises(ValueError, match="Row 2 of the forecast"):
        pack(forecast=(TrendBand(0, 1, 2, 3), TrendBand(1, 3, 2, 4)))
    with pytest.raises(ValueError, match="240 or more"):
        trend_chart(pack(), 100)


def test_trend_svg_is_named_and_stable() -> None:
    root = svg_tree(trend_svg(pack()))
    assert root[0].text == "Health of pack A2"
    assert "cycles 286 (228 to 350)" in (root[1].text or "")
    assert trend_svg(pack()) == trend_svg(pack())


COSTS = BarFacts(
    "Costs of the day",
    (
        Bar("Road", 126.0, "€126.00", 120.0, "€120.00"),
        Bar("Bait", 49.5, "€49.50", 60.0, "€60.00"),
        Bar("Moved on", -65.0, "−€65.00"),
        Bar(
            "A name of a cost line that no sheet of this width has any room for at all",
            12.0,
            "€12.00",
        ),
    ),
)


def bars_of(drawing: Drawing) -> list[Rect]:
    return [one for one in drawing.contents if isinstance(one, Rect) and one.fillColor]


def test_bars_are_to_scale_and_losses_go_the_other_way() -> None:
    drawing = bar_chart(COSTS, 600)
    road, bait, moved, other = bars_of(drawing)
    assert road.width / bait.width == pytest.approx(126 / 49.5)
    assert moved.width / road.width == pytest.approx(65 / 126)
    assert road.x == pytest.approx(bait.x) == pytest.approx(other.x)
    assert moved.x + moved.width == pytest.approx(road.x)
    frames = [one for one in drawing.contents if isinstance(one, Rect) and not one.fillColor]
    assert [one.width for one in frames] == pytest.approx(
        [road.width * 120 / 126, road.width * 60 / 126]
    )


def test_a_loss_is_hatched_without_colour() -> None:
    drawing = bar_chart(COSTS, 600, PRINT)
    hatches = [one for one in drawing.contents if isinstance(one, Path)]
    assert len(hatches) == 1


@pytest.mark.parametrize("width", [240, 360, 600])
def test_labels_of_bars_never_touch(width: float) -> None:
    drawing = bar_chart(COSTS, width)
    assert collisions(drawing) == []
    assert {"€126.00", "€49.50", "−€65.00", "€12.00"} <= set(words_of(drawing))
    assert [word for word in words_of(drawing) if word.endswith("…")]


def test_bars_in_words() -> None:
    rows = bar_rows(COSTS)
    assert (rows[0].label, rows[0].amount, rows[0].planned) == ("Road", "€126.00", "€120.00")
    root = svg_tree(bar_svg(COSTS))
    assert "Road: €126.00, planned €120.00" in (root[1].text or "")


def test_no_bars_say_so() -> None:
    assert words_of(bar_chart(BarFacts("Costs"), 600)) == ["nothing yet"]
    texts = [one.text for one in svg_tree(bar_svg(BarFacts("Costs"))).iter(SVG + "text")]
    assert texts == ["nothing yet"]


def test_bars_of_nought_do_not_fail() -> None:
    drawing = bar_chart(BarFacts("Costs", (Bar("Bait", 0.0, "€0.00", 0.0),)), 600)
    assert "€0.00" in words_of(drawing)
    assert not [one for one in drawing.contents if isinstance(one, Polygon)]
