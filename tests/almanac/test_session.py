"""When to fish, when to fly, when to be gone: on the real light and tide of an invented spot."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.almanac.light import LightRule, light_days, sun_place
from guiding.almanac.session import (
    Reading,
    SandDrive,
    TideWanted,
    WayOut,
    glare_windows,
    leave_by_at,
    may_fly_windows,
    session_windows,
    way_out_level_m,
    windows_within,
)
from guiding.almanac.tide import TableTide, Turn, TurnKind
from guiding.almanac.windows import Span, Windows

LATITUDE, LONGITUDE, ZONE = 53.3, -6.1, "Europe/Dublin"
DAY = datetime(2026, 5, 16, tzinfo=UTC)


def clock(hour: int, minute: int = 0) -> datetime:
    return DAY + timedelta(hours=hour, minutes=minute)


# lows at 03:00, 15:00 and 27:00, highs at 09:00 and 21:00: the level is known at every hour
TIDE = TableTide(
    "Invented table",
    tuple(
        Turn(clock(-9 + 6 * i), 4.0 if i % 2 else 1.0, TurnKind.HIGH if i % 2 else TurnKind.LOW)
        for i in range(10)
    ),
)
WAY_OUT = WayOut(sill_m=3.3, walk_out_min=20, pack_up_min=25, surge_m=0.1, run_up_m=0.4)


def test_a_session_is_light_and_tide_and_nothing_shut() -> None:
    (light,) = light_days(LATITUDE, LONGITUDE, ZONE, date(2026, 5, 16), date(2026, 5, 16))
    wanted = TideWanted(TurnKind.HIGH, before_min=180, after_min=60)
    tide = wanted.windows(TIDE, clock(0), clock(24))
    assert tide == Windows.of((clock(6), clock(10)), (clock(18), clock(22)))
    shut = Windows.of((clock(8), clock(9)))
    found = session_windows(light.fishing_light(), tide, shut)
    # dusk comes at about 20:57 UTC
    assert found.spans[:2] == (Span(clock(6), clock(8)), Span(clock(9), clock(10)))
    assert found.spans[2].start == clock(18)
    assert found.spans[2].end == light.civil_dusk
    assert session_windows(light.fishing_light(), tide, shut, shortest_min=90).spans == (
        found.spans[0],
        found.spans[2],
    )


def test_a_session_across_midnight_stays_whole() -> None:
    two = light_days(LATITUDE, LONGITUDE, ZONE, date(2026, 5, 16), date(2026, 5, 17))
    dark = two[0].fishing_light(LightRule.NIGHT) | two[1].fishing_light(LightRule.NIGHT)
    tide = TideWanted(TurnKind.HIGH, 30, 240).windows(TIDE, clock(12), clock(36))
    found = session_windows(dark, tide, Windows())
    night = found.clip(clock(20), clock(30))
    assert night.spans == (Span(clock(20, 30), clock(25)),)
    assert night.spans[0].start.date() != night.spans[0].end.date()


def test_tide_wanted_between_two_levels() -> None:
    found = TideWanted(over_m=1.75, under_m=3.25).windows(TIDE, clock(3), clock(15))
    # a quarter and three quarters of the range lie at a third and two thirds of six hours
    assert [(span.start, span.end) for span in found] == [
        (clock(5), clock(7)),
        (clock(11), clock(13)),
    ]
    assert TideWanted().windows(TIDE, clock(3), clock(15)).total_min == 720
    with pytest.raises(ValueError, match="No tide is over"):
        TideWanted(over_m=3, under_m=2)
    with pytest.raises(ValueError, match="not below zero"):
        TideWanted(TurnKind.LOW, -5, 5)


def test_tide_wanted_beyond_the_table_is_refused() -> None:
    with pytest.raises(ValueError, match="load a source"):
        TideWanted(TurnKind.HIGH, 60, 60).windows(TIDE, clock(100), clock(110))
    near_end = TideWanted(TurnKind.HIGH, 60, 60).windows(TIDE, clock(40), clock(45))
    assert near_end.total_min == 60


def test_may_fly_needs_all_three_and_no_bar() -> None:
    light = Windows.of((clock(5), clock(20)))
    wind = Windows.of((clock(4), clock(11)), (clock(13), clock(22)))
    craft = Windows.of((clock(6), clock(18)))
    birds = Windows.of((clock(9), clock(10)))
    assert may_fly_windows(light, wind, craft, birds) == Windows.of(
        (clock(6), clock(9)), (clock(10), clock(11)), (clock(13), clock(18))
    )


def test_wind_within_its_limit_hour_by_hour() -> None:
    readings = tuple(
        Reading(clock(5 + i), value) for i, value in enumerate((6.0, 8.0, 8.1, None, 7.5))
    )
    assert windows_within(readings, 8.0, clock(11)) == Windows.of(
        (clock(5), clock(7)), (clock(9), clock(11))
    )
    assert windows_within((), 8.0, clock(11)) == Windows()
    with pytest.raises(ValueError, match="order of time"):
        windows_within((readings[1], readings[0]), 8.0, clock(11))
    with pytest.raises(ValueError, match="order of time"):
        windows_within(readings, 8.0, clock(6))


def test_leave_by_is_the_sill_less_its_allowances_less_the_way() -> None:
    """3.3 m less 0.1 surge, 0.4 run-up and 0.3 margin: 2.5 m, the middle of the range, at 06:00."""
    assert WAY_OUT.level_m == pytest.approx(2.5)
    found = WAY_OUT.leave_by(TIDE, clock(3), clock(14))
    assert found.shut_at == clock(6)
    assert found.at == clock(4, 45)  # 20 min walk, 25 min packing, 30 min slack before
    assert "2.50 m" in found.why
    assert WAY_OUT.shut(TIDE, clock(3), clock(15)) == Windows.of((clock(6), clock(12)))


def test_leave_by_when_the_tide_does_not_reach_the_sill() -> None:
    found = WAY_OUT.leave_by(TIDE, clock(12, 5), clock(17))
    assert found.at is None
    assert found.shut_at is None
    assert "does not reach 2.50 m" in found.why


def test_leave_by_when_the_way_out_is_shut_or_shuts_at_once() -> None:
    shut = WAY_OUT.leave_by(TIDE, clock(8), clock(14))
    assert shut.why == "the way out is shut when the stay starts"
    assert shut.at is not None
    assert shut.at < clock(8)
    short = WAY_OUT.leave_by(TIDE, clock(5), clock(14))
    assert short.why.startswith("there is no time")
    assert short.at == clock(4, 45)


@given(
    st.floats(1.6, 4.5),
    st.floats(0, 0.5),
    st.floats(0, 1.0),
    st.integers(0, 90),
    st.integers(0, 60),
)
def test_more_water_or_a_longer_way_never_lets_one_leave_later(
    sill_m: float, surge_m: float, run_up_m: float, walk_min: int, more_min: int
) -> None:
    calm = WayOut(sill_m, walk_min, 20).leave_by(TIDE, clock(3), clock(15))
    rough = WayOut(sill_m, walk_min, 20, surge_m, run_up_m).leave_by(TIDE, clock(3), clock(15))
    longer = WayOut(sill_m, walk_min + more_min, 20).leave_by(TIDE, clock(3), clock(15))
    if calm.at is not None:
        assert rough.at is not None
        assert rough.at <= calm.at
        assert longer.at is not None
        assert longer.at == calm.at - timedelta(minutes=more_min)


def test_leave_by_arithmetic_and_its_refusals() -> None:
    assert leave_by_at(clock(6), 20, 25) == clock(4, 45)
    assert way_out_level_m(3.3, 0.1, 0.4) == pytest.approx(2.5)
    with pytest.raises(ValueError, match="0 minutes or more"):
        leave_by_at(clock(6), -1, 25)
    with pytest.raises(ValueError, match="0 or more"):
        way_out_level_m(3.3, surge_m=-0.2)


def test_the_last_drive_out_is_two_hours_after_low_less_the_slack() -> None:
    found = SandDrive().last_drive_out(TIDE, clock(13))
    assert (found.low, found.opens_at, found.shuts_at) == (clock(15), clock(13), clock(17))
    assert found.last_at == clock(16, 30)


def test_a_narrow_place_shuts_the_sand_sooner() -> None:
    """1.75 m is passed two hours after low; at 1.2 m the narrow place shuts before that."""
    assert SandDrive(narrow_m=1.751).last_drive_out(TIDE, clock(13)).shuts_at == clock(17)
    found = SandDrive(narrow_m=1.2).last_drive_out(TIDE, clock(14))
    assert found.shuts_at is not None
    assert found.shuts_at < clock(17)
    assert TIDE.height_m(found.shuts_at) == pytest.approx(1.2, abs=0.002)
    assert found.last_at == found.shuts_at - timedelta(minutes=30)
    assert "narrow place" in found.why


def test_sand_that_cannot_be_driven() -> None:
    late = SandDrive().last_drive_out(TIDE, clock(16, 45))
    assert late.last_at is None
    assert "too soon after the arrival" in late.why
    under = SandDrive(narrow_m=0.8).last_drive_out(TIDE, clock(14))
    assert under.last_at is None
    assert "stays under water" in under.why


def test_arriving_on_the_sand_after_one_low_waits_for_the_next() -> None:
    found = SandDrive().last_drive_out(TIDE, clock(17, 1))
    assert found.low == clock(27)


def test_glare_out_to_sea_at_sunrise_on_an_east_coast() -> None:
    """The sun of May rises in the north-east: glare on a path there, none on one to the south."""
    start, end = clock(0), clock(24)
    found = glare_windows(LATITUDE, LONGITUDE, 60, start, end)
    assert len(found) == 1
    for minute in range(0, 24 * 60, 5):
        at = start + timedelta(minutes=minute)
        sun = sun_place(LATITUDE, LONGITUDE, at)
        off = abs((sun.azimuth_deg - 60 + 180) % 360 - 180)
        clear = min(20 - sun.altitude_deg, sun.altitude_deg + 0.83, 25 - off)
        if abs(clear) > 0.1:
            assert found.contains(at) is (clear > 0)
    assert glare_windows(LATITUDE, LONGITUDE, 180, start, end) == Windows()
    wide = glare_windows(LATITUDE, LONGITUDE, 60, start, end, under_deg=30, within_deg=40)
    assert found - wide == Windows()
    assert wide.total_min > found.total_min


def test_glare_refuses_angles_and_spans_that_cannot_be() -> None:
    with pytest.raises(ValueError, match="cannot mark glare"):
        glare_windows(LATITUDE, LONGITUDE, 60, clock(0), clock(24), under_deg=0)
    with pytest.raises(ValueError, match="must end after"):
        glare_windows(LATITUDE, LONGITUDE, 60, clock(24), clock(0))
