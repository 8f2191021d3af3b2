"""Tides read from files: whole or not at all, every bad row named, the official table first."""

from __future__ import annotations

import datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError

from guiding.almanac.tide import HeightUnit, RepeatedHour, TurnColumns
from guiding.days.actions.tides import import_constants, import_turns, save_tide, tide_source_of
from guiding.days.models import Spot, TideImport, TideSource, TideTurn
from guiding.days.queries.tides import tide_for, tide_reaches, tide_reminders
from tests.factories_days import SpotFactory, TideSourceFactory
from tests.reference import published

DUBLIN = ZoneInfo("Europe/Dublin")
COLUMNS = TurnColumns(time="time", height="height", kind="kind")
STEP = datetime.timedelta(hours=6, minutes=12)


def utc(text: str) -> datetime.datetime:
    return datetime.datetime.fromisoformat(text).replace(tzinfo=datetime.UTC)


def rows(first: str, count: int, *, zone: datetime.tzinfo = datetime.UTC) -> list[str]:
    """Highs of 4 m and lows of 1 m, six hours and twelve minutes apart."""
    start = utc(first)
    return [
        f"{(start + n * STEP).astimezone(zone):%Y-%m-%d %H:%M},{4.0 - 3.0 * (n % 2):.1f},"
        f"{'L' if n % 2 else 'H'}"
        for n in range(count)
    ]


def table(lines: list[str], header: str = "time,height,kind") -> str:
    return "\n".join([header, *lines]) + "\n"


@pytest.fixture
def place(db: None) -> TideSource:
    return TideSourceFactory(kind="table", name="Marram Head")


def load(place: TideSource, text: str, **more: Any) -> Any:
    given = {"columns": COLUMNS, "unit": HeightUnit.METRE, "zone": "UTC"} | more
    return import_turns(tide=place, text=text, **given)


def test_a_table_is_loaded_and_says_where_it_came_from(place: TideSource) -> None:
    done = load(
        place, table(rows("2026-01-01 03:00", 40)), table_source="Official tables 2026, page 12",
        file_name="marram-2026.csv",
    )  # fmt: skip
    assert (done.rows, done.replaced, done.done) == (40, 0, True)
    assert TideTurn.objects.filter(source=place).count() == 40
    kept = TideImport.objects.get()
    assert (kept.file_name, kept.rows, kept.read_as) == ("marram-2026.csv", 40, "m, UTC")
    tide, _ = tide_for(place, start=utc("2026-01-02 00:00"), end=utc("2026-01-03 00:00"))
    assert tide is not None
    assert tide.source == "Marram Head: Official tables 2026, page 12 (official table)"


def test_a_dry_run_says_the_same_and_writes_nothing(place: TideSource) -> None:
    text = table(rows("2026-01-01 03:00", 40))
    dry = load(place, text, dry_run=True)
    assert (dry.rows, dry.first_at, dry.done) == (40, utc("2026-01-01 03:00"), False)
    assert not TideTurn.objects.exists()
    assert not TideImport.objects.exists()
    with pytest.raises(ValidationError):
        load(place, text.replace("4.0,H", "four,H"), dry_run=True)


def test_a_source_that_is_not_there_yet_is_made_and_given_to_the_spot(db: None) -> None:
    spot = SpotFactory(tide_source=None, name="South Bar")
    load(tide_source_of(spot=spot), table(rows("2026-01-01 03:00", 40)), spot=spot)
    kept = Spot.objects.get(pk=spot.pk).tide_source
    assert kept is not None
    assert (kept.name, kept.kind, kept.mean_range_m) == ("South Bar", "table", 3.0)


def test_every_bad_row_is_named_and_nothing_is_loaded(place: TideSource) -> None:
    lines = rows("2026-01-01 03:00", 12)
    lines[2], lines[5], lines[8] = "noon,4.0,H", "2026-01-02 10:00,high,L", "2026-01-03,4.0,X"
    with pytest.raises(ValidationError) as refusal:
        load(place, table(lines))
    told = refusal.value.message_dict["text"]
    assert [line.split(",")[0] for line in told] == ["row 4", "row 7", "row 10"]
    assert not TideTurn.objects.exists()


def test_a_missing_week_is_named(place: TideSource) -> None:
    lines = rows("2026-01-01 03:00", 80)
    with pytest.raises(ValidationError, match=r"row 22, time: no turn for 7\.\d days") as refusal:
        load(place, table(lines[:20] + lines[48:]))
    assert "rows are missing" in str(refusal.value)
    assert not TideTurn.objects.exists()


def test_rows_out_of_order_are_named(place: TideSource) -> None:
    lines = rows("2026-01-01 03:00", 10)
    lines[4], lines[5] = lines[5], lines[4]
    with pytest.raises(ValidationError, match="row 7, time: the time is before that of row 6"):
        load(place, table(lines))


def test_feet_are_read_as_feet_and_refused_as_metres(place: TideSource) -> None:
    text = table(
        [line.replace("4.0", "13.1").replace("1.0", "3.3") for line in rows("2026-01-01 03:00", 9)],
        "time,height_ft,kind",
    )
    feet = TurnColumns(time="time", height="height_ft", kind="kind")
    with pytest.raises(ValidationError, match="the column's name says feet"):
        load(place, text, columns=feet)
    load(place, text, columns=feet, unit=HeightUnit.FOOT)
    assert place.turns.first().height_m == pytest.approx(13.1 * 0.3048, abs=1e-4)


def test_local_times_across_the_end_of_summer_time(place: TideSource) -> None:
    lines = rows("2026-10-23 00:30", 14, zone=DUBLIN)
    load(place, table(lines), zone="Europe/Dublin")
    times = list(place.turns.values_list("at", flat=True))
    assert times == [utc("2026-10-23 00:30") + n * STEP for n in range(14)]


def test_a_local_time_that_comes_twice_needs_a_word(place: TideSource) -> None:
    lines = ["2026-10-25 01:20,4.0,H", "2026-10-25 07:30,1.0,L"]
    with pytest.raises(ValidationError, match="comes twice"):
        load(place, table(lines), zone="Europe/Dublin")
    load(place, table(lines), zone="Europe/Dublin", repeated_hour=RepeatedHour.SECOND)
    assert place.turns.first().at == utc("2026-10-25 01:20")


def test_a_local_time_that_the_clocks_skip_is_named(place: TideSource) -> None:
    lines = ["2026-03-29 01:20,4.0,H", "2026-03-29 07:30,1.0,L"]
    with pytest.raises(ValidationError, match="row 2, time: 2026-03-29 01:20 does not exist"):
        load(place, table(lines), zone="Europe/Dublin")


def test_an_unknown_clock_and_a_missing_column_are_said(place: TideSource) -> None:
    text = table(rows("2026-01-01 03:00", 9))
    with pytest.raises(ValidationError) as refusal:
        load(place, text, zone="Mars/Base")
    assert "zone" in refusal.value.message_dict
    with pytest.raises(ValidationError, match="no column 'metres' in the tide table"):
        load(place, text, columns=TurnColumns(time="time", height="metres"))


# ------------------------------------------------------------------ year after year


def test_the_next_year_is_joined_to_this_one(place: TideSource) -> None:
    load(place, table(rows("2026-12-20 00:00", 40)))
    end = place.turns.last().at
    done = load(place, table(rows(f"{end + STEP:%Y-%m-%d %H:%M}", 40)))
    assert (done.replaced, done.notes) == (0, ())
    tide, why = tide_for(place, start=end - STEP, end=end + 2 * STEP)
    assert why == ""
    assert tide is not None


def test_the_same_year_again_replaces_its_rows(place: TideSource) -> None:
    lines = rows("2026-01-01 03:00", 40)
    load(place, table(lines))
    done = load(place, table([line.replace("4.0", "4.2") for line in lines[10:20]]))
    assert done.replaced == 10
    assert TideTurn.objects.filter(source=place).count() == 40
    assert TideTurn.objects.filter(source=place, height_m=4.2).count() == 5


def test_a_table_that_does_not_fit_the_one_on_record_is_refused(place: TideSource) -> None:
    load(place, table(rows("2026-01-01 03:00", 40)))
    end = place.turns.last().at
    with pytest.raises(ValidationError, match="does not follow the low of"):
        load(place, table(rows(f"{end + STEP:%Y-%m-%d %H:%M}", 41)[1:]))
    assert TideTurn.objects.filter(source=place).count() == 40


def test_a_hole_between_two_tables_is_told_and_never_filled(place: TideSource) -> None:
    load(place, table(rows("2026-01-01 03:00", 40)))
    done = load(place, table(rows("2026-03-01 03:00", 40)))
    assert "Nothing is known between 11 January 2026 and 1 March 2026" in done.notes[0]
    tide, why = tide_for(place, start=utc("2026-02-01 00:00"), end=utc("2026-02-02 00:00"))
    assert tide is None
    assert "known from 1 January 2026 to 11 March 2026 only, and not for the whole" in why
    across = tide_for(place, start=utc("2026-01-10 00:00"), end=utc("2026-01-12 12:00"))
    assert across[0] is None


# ------------------------------------------------------------------ which source is used


def test_the_official_table_wins_where_it_reaches_and_constants_serve_elsewhere(db: None) -> None:
    place = TideSourceFactory(name="Marram Head", source="invented constants")
    load(place, table(rows("2026-01-01 03:00", 40)), table_source="Official tables 2026")
    inside, _ = tide_for(place, start=utc("2026-01-03 00:00"), end=utc("2026-01-04 00:00"))
    outside, _ = tide_for(place, start=utc("2026-06-03 00:00"), end=utc("2026-06-04 00:00"))
    assert inside is not None
    assert outside is not None
    assert inside.source == "Marram Head: Official tables 2026 (official table)"
    assert outside.source == "Marram Head: invented constants (predicted from constants)"
    assert {turn.height_m for turn in inside.turns(*_day("2026-01-03"))} <= {1.0, 4.0}


def _day(day: str) -> tuple[datetime.datetime, datetime.datetime]:
    start = utc(f"{day} 00:00")
    return start, start + datetime.timedelta(days=1)


def test_a_secondary_place_follows_the_table_of_its_reference(db: None) -> None:
    reference = TideSourceFactory(name="Marram Head")
    load(reference, table(rows("2026-01-01 03:00", 40)), table_source="Official tables 2026")
    ledge = TideSourceFactory(
        kind="secondary", name="Sker Ledge", reference=reference, high_minutes=10, low_minutes=20,
        high_height=-0.2, low_height=0.1, constants={},
    )  # fmt: skip
    tide, _ = tide_for(ledge, start=utc("2026-01-03 00:00"), end=utc("2026-01-04 00:00"))
    assert tide is not None
    assert "Sker Ledge, by differences from Marram Head: Official tables 2026" in tide.source
    expected = {(utc("2026-01-03 04:36") + n * STEP): n for n in range(4)}
    for turn in tide.turns(*_day("2026-01-03")):
        shift = datetime.timedelta(minutes=10 if turn.kind == "high" else 20)
        assert turn.at - shift in expected
        assert turn.height_m == pytest.approx(3.8 if turn.kind == "high" else 1.1)
    with pytest.raises(ValidationError, match="import the table of Marram Head"):
        load(ledge, table(rows("2026-01-01 03:00", 40)))


def test_the_mean_range_of_the_place_is_kept_for_springs_and_neaps(db: None) -> None:
    place = TideSourceFactory(kind="table", mean_range_m=2.0, constants={})
    load(place, table(rows("2026-01-01 03:00", 40)))
    tide, _ = tide_for(place, start=utc("2026-01-03 00:00"), end=utc("2026-01-04 00:00"))
    assert tide is not None
    assert tide.mean_range_m == 2.0


# ------------------------------------------------------------------ constants


def test_constants_of_a_station_are_loaded(db: None) -> None:
    constants = published.path("tide_harmonics").read_text(encoding="utf-8")
    stations = published.path("tide_stations").read_text(encoding="utf-8")
    done = import_constants(constants=constants, stations=stations, station_id="8724580")
    assert done.rows == 37
    place = TideSource.objects.get()
    assert place.constants.count() == 37
    assert (place.kind, place.station) == ("constants", "8724580")
    with pytest.raises(ValidationError) as refusal:
        import_constants(constants=constants, stations=stations, station_id="1")
    assert "station_id" in refusal.value.message_dict


def test_a_broken_file_of_constants_is_refused_whole(db: None) -> None:
    constants = published.path("tide_harmonics").read_text(encoding="utf-8")
    stations = published.path("tide_stations").read_text(encoding="utf-8")
    with pytest.raises(ValidationError, match="constituent"):
        import_constants(
            constants=constants.replace("M2,", "Q7,", 1), stations=stations, station_id="8724580"
        )
    assert not TideSource.objects.exists()


# ------------------------------------------------------------------ how far it reaches


def reach(on: str) -> Any:
    return tide_reaches(on=datetime.date.fromisoformat(on), zone=DUBLIN)[0]


def test_a_table_says_when_it_ends_and_asks_for_the_next_in_time(place: TideSource) -> None:
    SpotFactory(tide_source=place)
    load(place, table(rows("2026-12-22 00:00", 40)))
    assert reach("2026-11-02").words == "the table ends 1 January 2027, in 60 days"
    assert reach("2026-11-02").remind
    assert not reach("2026-11-01").remind
    assert reach("2027-01-05").words == "the table ended 1 January 2027"
    remind = tide_reminders(on=datetime.date(2026, 12, 1), zone=DUBLIN)
    assert [each.source for each in remind] == [place]


def test_a_table_with_constants_behind_it_goes_on(db: None) -> None:
    place = TideSourceFactory()
    load(place, table(rows("2026-12-22 00:00", 40)))
    assert reach("2026-12-01").words.endswith("; predicted from constants after that")


def test_a_source_that_no_spot_uses_is_no_reminder(place: TideSource) -> None:
    load(place, table(rows("2026-12-22 00:00", 40)))
    assert tide_reminders(on=datetime.date(2026, 12, 1), zone=DUBLIN) == []


def test_all_reaches_take_a_fixed_number_of_queries(
    db: None, django_assert_max_num_queries: Any
) -> None:
    for _ in range(6):
        SpotFactory()
    with django_assert_max_num_queries(6):
        tide_reaches(on=datetime.date(2026, 12, 1), zone=DUBLIN)


# ------------------------------------------------------------------ typed in


def test_typing_anew_leaves_an_imported_table_alone(db: None) -> None:
    place = save_tide(name="Marram Head", source="typed", constants="M2 1.3 146")
    load(place, table(rows("2026-01-01 03:00", 40)))
    save_tide(tide=place, name="Marram Head", source="typed", constants="M2 1.4 146", table=None)
    assert place.turns.count() == 40
    assert place.constants.get().amplitude_m == 1.4


@pytest.mark.parametrize("given", [{}, {"constants": "M2 1.3 146", "reference": True}])
def test_a_source_has_figures_or_a_reference(db: None, given: dict[str, Any]) -> None:
    if "reference" in given:
        given = given | {"reference": TideSourceFactory()}
    with pytest.raises(ValidationError, match="Give either"):
        save_tide(name="South Bar", source="typed", **given)
