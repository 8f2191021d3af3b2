"""Light and moon on local dates at the edges: poles, clock changes, leap days, hemispheres."""

import itertools
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guiding.almanac.light import (
    LightDay,
    LightRule,
    Quarter,
    Tone,
    light_day,
    light_days,
    moon_quarters,
    sun_place,
    sun_track,
)
from guiding.almanac.windows import Span, Windows

ZONES = ("Europe/Dublin", "Pacific/Auckland", "America/St_Johns", "Asia/Kathmandu", "UTC")

places = st.tuples(st.floats(-89, 89), st.floats(-180, 180))
days = st.dates(date(1950, 1, 1), date(2090, 12, 31))


def whole(found: LightDay) -> Windows:
    return Windows.of((found.start, found.end))


@given(places, st.sampled_from(ZONES), days)
def test_tones_cover_the_local_date_exactly(
    place: tuple[float, float], zone: str, day: date
) -> None:
    """Also on days of 23 and 25 hours, and where the sun never rises or never sets."""
    found = light_day(*place, zone, day)
    tones = found.tones
    assert tones[0].start == found.start
    assert tones[-1].end == found.end
    for before, after in itertools.pairwise(tones):
        assert before.end == after.start
    minutes = sum((tone.end - tone.start).total_seconds() for tone in tones) / 60
    assert minutes == whole(found).total_min


@given(places, st.sampled_from(ZONES), days)
def test_every_event_lies_on_its_date_or_has_a_reason(
    place: tuple[float, float], zone: str, day: date
) -> None:
    found = light_day(*place, zone, day)
    for name in ("civil_dawn", "sunrise", "sunset", "civil_dusk", "moonrise", "moonset"):
        at = getattr(found, name)
        if at is None:
            assert found.why[name]
        else:
            assert name not in found.why
            assert found.start <= at < found.end
            assert at.astimezone(ZoneInfo(zone)).date() == day


@given(places, days)
def test_light_windows_of_the_rules_fit_together(place: tuple[float, float], day: date) -> None:
    found = light_day(*place, "UTC", day)
    daylight = found.flying_light(LightRule.DAYLIGHT)
    assert daylight - found.fishing_light(LightRule.TWILIGHT) == Windows()
    assert found.flying_light() == daylight
    assert daylight | found.fishing_light(LightRule.NIGHT) == whole(found)
    assert daylight & found.fishing_light(LightRule.NIGHT) == Windows()
    assert found.fishing_light(LightRule.ANY) == whole(found)


@given(places, st.dates(date(2000, 1, 1), date(2040, 12, 1)))
def test_a_run_of_days_says_the_same_as_each_day_alone(
    place: tuple[float, float], first: date
) -> None:
    together = light_days(*place, "Europe/Dublin", first, first + timedelta(days=3))
    alone = [light_day(*place, "Europe/Dublin", found.day) for found in together]
    for ours, other in zip(together, alone, strict=True):
        assert ours.why == other.why
        for name in ("civil_dawn", "sunrise", "sunset", "civil_dusk", "moonrise", "moonset"):
            a, b = getattr(ours, name), getattr(other, name)
            assert (a is None) is (b is None)
            assert a is None or abs((a - b).total_seconds()) <= 1


def test_a_polar_day_without_sunset() -> None:
    found = light_day(69.65, 18.96, "Europe/Oslo", date(2026, 6, 21))
    assert found.sunset is None
    assert found.why["sunset"] == "the sun stays up all day"
    assert found.why["civil_dusk"] == "it gets no darker than civil twilight all day"
    assert found.daylight.total_min == 24 * 60
    assert [tone.tone for tone in found.tones] == [Tone.DAY]


def test_a_southern_polar_night() -> None:
    """77.85 S in June: not even civil twilight."""
    found = light_day(-77.85, 166.67, "Antarctica/McMurdo", date(2026, 6, 21))
    assert found.why["sunrise"] == "the sun stays down all day"
    assert found.why["civil_dawn"].startswith("it gets no lighter")
    assert found.daylight == found.civil_light == Windows()
    assert [tone.tone for tone in found.tones] == [Tone.NIGHT]


def test_a_polar_night_with_twilight_at_noon() -> None:
    found = light_day(69.65, 18.96, "Europe/Oslo", date(2026, 12, 21))
    assert found.sunrise is None
    assert found.civil_dawn is not None
    assert found.civil_dusk is not None
    assert [tone.tone for tone in found.tones] == [Tone.NIGHT, Tone.TWILIGHT, Tone.NIGHT]


def test_white_nights_have_twilight_from_dusk_to_dawn() -> None:
    found = light_day(64.15, -21.94, "Atlantic/Reykjavik", date(2026, 6, 10))
    assert found.sunset is not None
    assert found.civil_dusk is None
    assert [tone.tone for tone in found.tones] == [Tone.TWILIGHT, Tone.DAY, Tone.TWILIGHT]


def test_a_date_with_two_sunsets_gives_the_one_that_ends_its_day() -> None:
    """Reykjavik, 29 June 2026: the sun sets at 00:00:06 and at 23:58:53 (computed with ephem)."""
    found = light_day(64.1466, -21.9426, "Atlantic/Reykjavik", date(2026, 6, 29))
    assert found.sunset is not None
    assert abs(found.sunset - datetime(2026, 6, 29, 23, 58, 53, tzinfo=UTC)) <= timedelta(seconds=2)
    assert len(found.daylight) == 2


def test_a_date_with_two_dusks_gives_the_one_that_ends_its_day() -> None:
    """Reykjavik, 1 August 2026: dusk falls at 00:05 and again at 23:59 (computed with ephem)."""
    found = light_day(64.1466, -21.9426, "Atlantic/Reykjavik", date(2026, 8, 1))
    assert found.civil_dusk is not None
    assert found.civil_dusk >= datetime(2026, 8, 1, 23, 58, tzinfo=UTC)
    assert len(found.civil_light) == 2


def test_the_day_the_clocks_skip_an_hour_has_23_hours() -> None:
    found = light_day(53.3, -6.2, "Europe/Dublin", date(2026, 3, 29))
    assert found.end - found.start == timedelta(hours=23)
    before = light_day(53.3, -6.2, "Europe/Dublin", date(2026, 3, 28))
    assert before.end == found.start
    assert found.sunrise is not None
    assert before.sunrise is not None
    # two minutes earlier by the sun, an hour later by the clock
    by_sun = found.sunrise - before.sunrise
    assert timedelta(hours=23, minutes=55) < by_sun < timedelta(hours=24)
    zone = ZoneInfo("Europe/Dublin")
    assert found.sunrise.astimezone(zone).hour == before.sunrise.astimezone(zone).hour + 1


def test_the_day_the_clocks_repeat_an_hour_has_25_hours() -> None:
    found = light_day(53.3, -6.2, "Europe/Dublin", date(2026, 10, 25))
    assert found.end - found.start == timedelta(hours=25)
    assert sum((tone.end - tone.start).total_seconds() for tone in found.tones) == 25 * 3600


def test_a_midnight_that_the_clocks_skip() -> None:
    """Cairo went from 23:59 to 01:00 on 28 April 2023: that date starts at the skip."""
    found = light_day(30.0, 31.2, "Africa/Cairo", date(2023, 4, 28))
    assert found.start == datetime(2023, 4, 27, 22, tzinfo=UTC)
    assert found.end - found.start == timedelta(hours=23)


def test_a_leap_day_lies_between_its_neighbours() -> None:
    three = light_days(53.3, -6.2, "Europe/Dublin", date(2028, 2, 28), date(2028, 3, 1))
    assert [found.day for found in three] == [
        date(2028, 2, 28),
        date(2028, 2, 29),
        date(2028, 3, 1),
    ]
    lengths = [found.daylight.total_min for found in three]
    assert lengths[0] < lengths[1] < lengths[2]
    # spring days at this latitude grow by about four minutes
    assert lengths[2] - lengths[0] == pytest.approx(8, abs=1.5)


def test_the_southern_hemisphere_has_its_long_days_in_december() -> None:
    summer = light_day(-36.85, 174.76, "Pacific/Auckland", date(2026, 12, 21))
    winter = light_day(-36.85, 174.76, "Pacific/Auckland", date(2026, 6, 21))
    assert summer.daylight.total_min > 14 * 60
    assert winter.daylight.total_min < 10 * 60
    noon = sun_place(-36.85, 174.76, datetime(2026, 12, 21, 0, 30, tzinfo=UTC))
    assert noon.azimuth_deg < 45 or noon.azimuth_deg > 315  # the midday sun stands north


def test_half_an_hour_of_night_just_before_midnight_is_not_lost() -> None:
    """63.926 N, 22 July 2020: the sun dips under 6 degrees for 42 minutes (computed with ephem)."""
    found = light_day(63.92644, -67.75524, "Etc/GMT+5", date(2020, 7, 22))
    dusk, dawn = (
        datetime(2020, 7, 23, 4, 17, tzinfo=UTC),
        datetime(2020, 7, 23, 4, 58, 41, tzinfo=UTC),
    )
    assert found.civil_dusk is not None
    assert found.civil_dawn is not None
    assert abs((found.civil_dusk - dusk).total_seconds()) < 30
    assert abs((found.civil_dawn - dawn).total_seconds()) < 30


def test_a_date_without_a_moonrise_says_so() -> None:
    month = light_days(53.3, -6.2, "Europe/Dublin", date(2026, 5, 1), date(2026, 5, 31))
    without = [found for found in month if found.moonrise is None]
    assert len(without) == 1
    assert without[0].why == {"moonrise": "the moon does not rise on this date"}


def test_names_of_the_phase_follow_each_other_through_a_month() -> None:
    month = light_days(53.3, -6.2, "Europe/Dublin", date(2026, 5, 1), date(2026, 5, 31))
    names = [found.moon_phase for found in month]
    quarters = moon_quarters(month[0].start, month[-1].end)
    for quarter in quarters:
        (day,) = (found for found in month if Span(found.start, found.end).contains(quarter.at))
        assert day.moon_phase == quarter.quarter.value
    order = [
        "full moon", "waning gibbous", "last quarter", "waning crescent", "new moon",
        "waxing crescent", "first quarter", "waxing gibbous", "full moon",
    ]  # fmt: skip
    changes = [name for before, name in zip([None, *names], names, strict=False) if name != before]
    assert changes == order
    assert all(found.moon_waxing for found in month if found.moon_phase.startswith("waxing"))
    assert not any(found.moon_waxing for found in month if found.moon_phase.startswith("waning"))


def test_two_full_moons_in_may_2026() -> None:
    """1 May 17:23 and 31 May 08:45 UTC (computed with ephem, see the reference file of 2026)."""
    start, end = datetime(2026, 5, 1, tzinfo=UTC), datetime(2026, 6, 1, tzinfo=UTC)
    full = [each.at for each in moon_quarters(start, end) if each.quarter is Quarter.FULL]
    assert [at.day for at in full] == [1, 31]


def test_the_sun_goes_from_east_by_south_to_west_in_the_north() -> None:
    track = sun_track(53.3, -6.2, "Europe/Dublin", date(2026, 3, 20), step_min=30)
    assert len(track) == 49
    highest = max(track, key=lambda place: place.altitude_deg)
    assert highest.azimuth_deg == pytest.approx(180, abs=8)
    assert highest.altitude_deg == pytest.approx(90 - 53.3, abs=0.5)
    found = light_day(53.3, -6.2, "Europe/Dublin", date(2026, 3, 20))
    assert found.sunrise is not None
    assert found.sunset is not None
    assert sun_place(53.3, -6.2, found.sunrise).azimuth_deg == pytest.approx(90, abs=2)
    assert sun_place(53.3, -6.2, found.sunset).azimuth_deg == pytest.approx(270, abs=2)
    assert sun_place(53.3, -6.2, found.sunset).altitude_deg == pytest.approx(-0.83, abs=0.03)


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone", "day", "said"),
    [
        (91, 0, "UTC", date(2026, 1, 1), "latitude 91 is not between"),
        (0, 181, "UTC", date(2026, 1, 1), "longitude 181 is not between"),
        (0, 0, "Europe/Atlantis", date(2026, 1, 1), "no time zone named 'Europe/Atlantis'"),
        (0, 0, "", date(2026, 1, 1), "no time zone named ''"),
        (0, 0, "UTC", date(1890, 1, 1), "computed from 1900"),
        (0, 0, "UTC", date(2150, 1, 1), "computed from 1900"),
        (float("nan"), 0, "UTC", date(2026, 1, 1), "latitude nan is not between"),
        (-13.8, -171.8, "Pacific/Apia", date(2011, 12, 30), "does not exist in Pacific/Apia"),
    ],
)
def test_refuses_what_cannot_be(
    latitude: float, longitude: float, zone: str, day: date, said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        light_day(latitude, longitude, zone, day)
