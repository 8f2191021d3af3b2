"""The rig to scale and the plan of the drop."""

from dataclasses import replace
from math import cos, hypot, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.graphics.shapes import Circle, Drawing, Line, Path, Polygon

from guiding.drawings.drop_plan import (
    DropPlanFacts,
    HeightPoint,
    MarkKind,
    ShoreMark,
    ShorePoint,
    drop_plan,
    drop_plan_rows,
    drop_plan_svg,
)
from guiding.drawings.palette import PRINT
from guiding.drawings.rig import (
    RigBranch,
    RigFacts,
    RigPiece,
    StrengthUnit,
    rig_diagram,
    rig_rows,
    rig_svg,
)
from guiding.drawings.units import HeightUnit, SpeedUnit
from tests.drawings.reading import boxes_of, collisions, strokes_of, svg_tree, words_of

DROPPER = RigPiece("dropper", 0.45, 150)
# Two droppers, three-way swivels, about five metres: common practice, no source.
RIG = RigFacts(
    "Two droppers",
    main=RigPiece("main line", 300, 222),
    trace=RigPiece("trace", 4.5, 180),
    weak_link=RigPiece("weak link", 0.15, 14),
    branches=(RigBranch(1.5, DROPPER, "6/0", "80 g"), RigBranch(3.0, DROPPER, "6/0", "80 g")),
    sinker_link=RigPiece("sinker link", 0.3, 75),
    sinker="sinker 150 g",
)


def lines_of(drawing: Drawing) -> list[Line]:
    return [one for one in drawing.contents if isinstance(one, Line)]


def test_lengths_are_to_one_scale() -> None:
    lines = lines_of(rig_diagram(RIG, 600))
    level = [one for one in lines if one.y1 == one.y2]
    upright = [one for one in lines if one.x1 == one.x2]
    main, trace, foot = level[:3]
    per_m = (trace.x2 - trace.x1) / 4.5
    link = next(one for one in upright if one.strokeColor.role == "stop")
    droppers = [one for one in upright if one is not link]
    assert (link.y2 - link.y1) / per_m == pytest.approx(0.15)
    assert (foot.x2 - foot.x1) / per_m == pytest.approx(0.3)
    assert [(one.y1 - one.y2) / per_m for one in droppers] == pytest.approx([0.45, 0.45])
    assert [(one.x1 - trace.x1) / per_m for one in droppers] == pytest.approx([1.5, 3.0])
    assert main.strokeWidth > trace.strokeWidth > foot.strokeWidth > link.strokeWidth


def test_the_weak_link_goes_to_the_clip_and_holds_no_fish() -> None:
    lines = lines_of(rig_diagram(RIG, 600))
    link = next(one for one in lines if one.strokeColor.role == "stop")
    main, trace = [one for one in lines if one.y1 == one.y2][:2]
    assert main.x2 == trace.x1 == link.x1 == link.x2  # all three meet at the top of the trace
    assert link.y1 == trace.y1 < link.y2
    assert rig_rows(RIG)[1].length == "15\u00a0cm, to the clip"


def test_every_part_has_its_number_in_drawing_and_key() -> None:
    rows = rig_rows(RIG)
    assert [row.number for row in rows] == [1, 2, 3, 4, 5, 6, 7]
    assert [row.name for row in rows][-1] == "sinker 150 g"
    assert rows[4].length == "45\u00a0cm, 3\u00a0m down the trace"
    words = words_of(rig_diagram(RIG, 600))
    for row in rows:
        assert words.count(str(row.number)) == 2


def test_strengths_in_the_unit_of_the_reader() -> None:
    shown = {unit: rig_rows(replace(RIG, strength_unit=unit))[0].strength for unit in StrengthUnit}
    assert shown[StrengthUnit.NEWTON] == "222\u00a0N"
    assert shown[StrengthUnit.KILOGRAM_FORCE] == "23\u00a0kgf"  # 222 / 9.80665 = 22.6
    assert shown[StrengthUnit.POUND] == "50\u00a0lb"  # 22.64 / 0.45359237 = 49.9


def test_warnings_stand_in_the_key_and_in_the_description() -> None:
    wrong = replace(RIG, warnings=("The weak link is stronger than the main line.",))
    assert "The weak link is stronger than the main line." in words_of(rig_diagram(wrong, 600))
    assert "stronger than the main line" in (svg_tree(rig_svg(wrong))[1].text or "")


@pytest.mark.parametrize("width", [240, 360, 510, 1000])
def test_labels_of_a_rig_never_touch(width: float) -> None:
    assert collisions(rig_diagram(RIG, width)) == []


@given(
    trace_m=st.floats(0.5, 40),
    shares=st.lists(st.floats(0, 1), max_size=8),
    dropper_m=st.floats(0.05, 3),
    name=st.text(max_size=60),
)
def test_any_rig_is_drawn_with_readable_labels(trace_m, shares, dropper_m, name) -> None:
    facts = replace(
        RIG,
        trace=RigPiece(name, trace_m, 100),
        branches=tuple(
            RigBranch(share * trace_m, RigPiece(name, dropper_m, 80), name) for share in shares
        ),
    )
    assert collisions(rig_diagram(facts, 360)) == []
    svg_tree(rig_svg(facts))


def test_a_rig_without_link_or_sinker_is_drawn() -> None:
    bare = RigFacts("Running", RigPiece("main", 300, 222), RigPiece("trace", 1.5, 180))
    assert [row.name for row in rig_rows(bare)] == ["main", "trace"]
    assert collisions(rig_diagram(bare, 360)) == []


def test_what_cannot_be_drawn_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a length and a strength"):
        RigPiece("line", 0, 100)
    with pytest.raises(ValueError, match="must leave on the trace"):
        replace(RIG, branches=(RigBranch(5.0, DROPPER),))
    with pytest.raises(ValueError, match="240 or more"):
        rig_diagram(RIG, 100)


PAD, RELEASE = ShorePoint(0, -12), ShorePoint(18, 290)
PLAN = DropPlanFacts(
    "Rod 2, Marram Head",
    seaward_deg=265.0,
    path_out=(PAD, RELEASE),
    path_home=(RELEASE, ShorePoint(-30, 180), PAD),
    fall_centre=ShorePoint(28, 292),
    fall_radius_m=26.0,
    wind_ms=8.0,
    wind_from_deg=320.0,
    gust_ms=12.0,
    marks=(
        ShoreMark(MarkKind.ROD, ShorePoint(-14, -8), "rods 1 and 2"),
        ShoreMark(MarkKind.PAD, PAD, "pad, keep 10 m off"),
        ShoreMark(MarkKind.PEOPLE, ShorePoint(-25, -30), "clients (4)"),
        ShoreMark(MarkKind.SPOTTER, ShorePoint(10, -22), "spotter"),
        ShoreMark(MarkKind.VEHICLE, ShorePoint(30, -45), "vehicle"),
    ),
    keep_behind_m=-10.0,
    heights=(HeightPoint(-12, 2), HeightPoint(0, 15), HeightPoint(290, 15)),
    ground=(HeightPoint(-50, 4), HeightPoint(0, 0), HeightPoint(40, -2)),
    hang_m=6.0,
    wave_height_m=1.5,
    least_height_m=12.5,
    ceiling_m=120.0,
    clear_m=262.0,
    clear_needed_m=30.0,
)


def zone_of(drawing: Drawing) -> tuple[float, float, float]:
    """Middle and radius of the fall zone as drawn."""
    outline = next(
        one
        for one in drawing.contents
        if isinstance(one, Polygon) and one.strokeColor and one.strokeColor.role == "stop"
    )
    xs, ys = outline.points[::2], outline.points[1::2]
    return (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2, (max(xs) - min(xs)) / 2


def path_out_of(drawing: Drawing) -> Path:
    return next(
        one
        for one in drawing.contents
        if isinstance(one, Path)
        and one.strokeColor
        and one.strokeColor.role == "ink"
        and not one.strokeDashArray
        and len(one.points) == 4
        and abs(one.points[2] - one.points[0]) > 100
    )


def test_zone_and_path_are_to_one_scale_and_in_place() -> None:
    drawing = drop_plan(PLAN, 700)
    ax, ay, bx, by = path_out_of(drawing).points
    per_m = hypot(bx - ax, by - ay) / hypot(302, 18)
    x, y, radius = zone_of(drawing)
    assert radius / per_m == pytest.approx(26, rel=0.01)
    # Ten metres along the beach to the right is down the sheet, as the sea lies to the right.
    assert (x - bx) / per_m == pytest.approx(2, abs=0.1)
    assert (y - by) / per_m == pytest.approx(-10, abs=0.1)


@pytest.mark.parametrize(
    ("seaward_deg", "wind_from_deg", "step"),
    [
        (90, 90, (-1, 0)),  # from the sea: onto the land, to the left
        (90, 270, (1, 0)),  # from the land: out to sea
        (90, 0, (0, -1)),  # looking east, north is on the left, which is up: it blows down
        (265, 320, (cos(radians(-125)), -sin(radians(-125)))),
    ],
)
def test_the_wind_arrow_flies_where_the_wind_goes(seaward_deg, wind_from_deg, step) -> None:
    def heads(wind_deg: float) -> list[Polygon]:
        facts = replace(PLAN, seaward_deg=seaward_deg, wind_from_deg=wind_deg, marks=())
        return [
            one
            for one in drop_plan(facts, 700).contents
            if isinstance(one, Polygon) and len(one.points) == 6
        ]

    def shape(one: Polygon) -> tuple[float, ...]:
        return tuple(round(value, 3) for value in one.points)

    other = {shape(one) for one in heads(wind_from_deg + 45)}
    (arrow,) = [one for one in heads(wind_from_deg) if shape(one) not in other]
    tip = arrow.points[:2]
    base = ((arrow.points[2] + arrow.points[4]) / 2, (arrow.points[3] + arrow.points[5]) / 2)
    length = hypot(tip[0] - base[0], tip[1] - base[1])
    assert ((tip[0] - base[0]) / length, (tip[1] - base[1]) / length) == pytest.approx(
        step, abs=0.01
    )


def test_the_plan_in_words() -> None:
    rows = {row.what: row.value for row in drop_plan_rows(PLAN)}
    assert rows["release"] == "303\u00a0m, bearing 268°, height 15\u00a0m"
    assert rows["nobody in here: fall zone, radius"] == "26\u00a0m"
    assert rows["wind"] == "8.0\u00a0m/s from 320°, gusts 12.0\u00a0m/s"
    assert rows["nearest person"] == "262\u00a0m, needed 30\u00a0m"
    assert rows["clients (4)"] == ""
    assert drop_plan_rows(PLAN)[-1].what == "Check with your own authority."
    feet = replace(PLAN, length_unit=HeightUnit.FOOT, speed_unit=SpeedUnit.KNOT)
    shown = {row.what: row.value for row in drop_plan_rows(feet)}
    assert shown["nobody in here: fall zone, radius"] == "85\u00a0ft"  # 26 / 0.3048
    assert shown["wind"].startswith("16\u00a0kn")  # 8 x 3600 / 1852


def test_wind_is_never_rounded_over_a_limit() -> None:
    shown = {row.what: row.value for row in drop_plan_rows(replace(PLAN, wind_ms=7.46))}
    assert shown["wind"].startswith("7.5\u00a0m/s")
    assert "wind 7.5\u00a0m/s" in words_of(drop_plan(replace(PLAN, wind_ms=7.46), 700))


def test_no_dashed_level_runs_through_a_label() -> None:
    # The craft flies as high as the least height, so that its own figure lies on that line.
    low = replace(
        PLAN,
        heights=tuple(replace(one, height_m=min(one.height_m, 11.0)) for one in PLAN.heights),
        least_height_m=10.7,
    )
    drawing = drop_plan(low, 700)
    ((_text, left, bottom, right, top),) = [
        box for box in boxes_of(drawing) if box[0] == "11\u00a0m"
    ]
    levels = [one for one in strokes_of(drawing, "stop", dashed=True) if isinstance(one, Path)]
    runs = [level.points[n : n + 4] for level in levels for n in range(0, len(level.points), 4)]
    beside = [run for run in runs if run[1] == run[3] and bottom < run[1] < top]
    assert beside, "the level lies beside the label"
    assert not [run for run in beside if run[0] < right and left < run[2]]


def test_too_little_clearance_is_a_warning() -> None:
    near = replace(PLAN, clear_m=20.0)
    warned = [row for row in drop_plan_rows(near) if row.warns]
    assert [row.what for row in warned] == ["nearest person"]
    assert not [row for row in drop_plan_rows(PLAN) if row.warns]


def test_cast_only_shows_the_beach_and_no_flight() -> None:
    reason = "No permission to drop is proven for 18 July."
    drawing = drop_plan(replace(PLAN, cast_only=reason), 700)
    words = words_of(drawing)
    assert "cast only" in words
    assert f"cast only {reason}" in words
    assert "release" not in words
    assert not [one for one in words if "fall zone" in one]
    assert not [
        one
        for one in drawing.contents
        if isinstance(one, Path) and len(one.points) > 150 and one.strokeColor.role == "stop"
    ]
    assert not [
        row for row in drop_plan_rows(replace(PLAN, cast_only=reason)) if row.what == "release"
    ]


@pytest.mark.parametrize("width", [280, 360, 510, 1000])
def test_labels_of_a_plan_never_touch(width: float) -> None:
    assert collisions(drop_plan(PLAN, width)) == []


@given(
    along_m=st.floats(-150, 150),
    out_m=st.floats(20, 800),
    radius_m=st.floats(0, 120),
    marks=st.lists(
        st.tuples(
            st.sampled_from(list(MarkKind)),
            st.floats(-120, 120),
            st.floats(-80, 60),
            st.text(max_size=40),
        ),
        max_size=9,
    ),
    seaward_deg=st.floats(0, 360),
    width=st.sampled_from([300.0, 510.0, 1000.0]),
)
def test_any_plan_is_drawn_on_its_sheet(
    along_m, out_m, radius_m, marks, seaward_deg, width
) -> None:
    facts = replace(
        PLAN,
        seaward_deg=seaward_deg,
        path_out=(PAD, ShorePoint(along_m, out_m)),
        path_home=(),
        fall_centre=None,
        fall_radius_m=radius_m,
        marks=tuple(ShoreMark(kind, ShorePoint(a, o), label) for kind, a, o, label in marks),
    )
    drawing = drop_plan(facts, width)
    assert collisions(drawing) == []
    for one in drawing.contents:
        if isinstance(one, Circle):
            assert one.r <= one.cx <= drawing.width - one.r
            assert one.r <= one.cy <= drawing.height - one.r
    svg_tree(drop_plan_svg(facts))


def test_same_plan_same_bytes_and_a_strict_page() -> None:
    svg = drop_plan_svg(PLAN)
    assert svg == drop_plan_svg(PLAN)
    for element in svg_tree(svg).iter():
        assert element.get("style") is None
    assert svg != drop_plan_svg(replace(PLAN, wind_from_deg=10.0))


def test_it_reads_without_colour() -> None:
    drawing = drop_plan(PLAN, 510, PRINT)
    dashed = {
        one.strokeColor.role
        for one in drawing.contents
        if isinstance(one, (Path, Line)) and one.strokeDashArray
    }
    assert {"ink", "caution", "stop"} <= dashed
    assert zone_of(drawing)[2] > 5


def test_what_makes_no_plan_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a start and an end"):
        replace(PLAN, path_out=(PAD,))
    with pytest.raises(ValueError, match="below nought"):
        replace(PLAN, fall_radius_m=-1.0)
    with pytest.raises(ValueError, match="280 or more"):
        drop_plan(PLAN, 100)
