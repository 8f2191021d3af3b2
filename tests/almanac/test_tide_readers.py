"""Reading constants and official tables: everything broken is named by row, nothing half read."""

from datetime import UTC, datetime, timedelta

import pytest

from guiding.almanac.tide import (
    HeightUnit,
    Problem,
    RepeatedHour,
    TurnColumns,
    TurnKind,
    TurnsReading,
    read_tide_constants,
    read_turns_lines,
    read_turns_table,
    turns_lines,
)

CONSTANTS = """\
station_id,constituent,amplitude_m,phase_gmt_deg,speed_deg_per_hour
7,M2,1.34,318.0,28.984104
7,S2,0.40,357.0,30.0
8,M2,0.90,12.5,28.984104
"""
STATIONS = """\
station_id,name,latitude_deg,longitude_deg,iana_timezone,MN_m,z0_MSL_above_MLLW_m
7,Marram Head,53.3,-6.1,Europe/Dublin,2.9,2.4
8,Whin Strand,53.4,-6.2,Europe/Dublin,,1.9
"""


def constants_with(row: str, number: int = 3) -> str:
    lines = CONSTANTS.splitlines()
    lines[number - 1] = row
    return "\n".join(lines)


def test_stations_come_with_their_constants_and_datum() -> None:
    reading = read_tide_constants(CONSTANTS, STATIONS)
    assert reading.problems == ()
    marram = reading.station("7")
    assert [each.name for each in marram.constituents] == ["M2", "S2"]
    assert (marram.z0_m, marram.mean_range_m, marram.zone) == (2.4, 2.9, "Europe/Dublin")
    assert reading.station("8").mean_range_m is None
    assert "Marram Head" in marram.source


def test_semicolons_a_byte_order_mark_and_comments_are_read_as_well() -> None:
    text = "\ufeff# invented\n" + CONSTANTS.replace(",", ";")
    assert read_tide_constants(text, STATIONS).stations == (
        read_tide_constants(CONSTANTS, STATIONS).stations
    )


@pytest.mark.parametrize(
    ("row", "column", "said"),
    [
        ("7,S2,big,357.0,30.0", "amplitude_m", "'big' is not a number"),
        ("7,S2,,357.0,30.0", "amplitude_m", "empty"),
        ("7,S2,-0.4,357.0,30.0", "amplitude_m", "not between 0 and 20"),
        ("7,S2,nan,357.0,30.0", "amplitude_m", "not between"),
        ("7,S2,0.4,3570,30.0", "phase_gmt_deg", "not between -360 and 360"),
        ("7,S2,0.4,357,28.984104", "speed_deg_per_hour", "belongs to another"),
        ("7,QQ9,0.4,357,30.0", "constituent", "no constituent named 'QQ9'"),
        ("7,M2,0.4,357,28.984104", "constituent", "stands twice"),
        (",S2,0.4,357,30.0", "station_id", "empty"),
        ("7,S2,0.4,357", "", "4 cells where the header has 5"),
        ('7,S2,0.4,"357,30.0', "", "cannot be read"),
    ],
)
def test_a_broken_row_of_constants_is_named_and_nothing_is_read(
    row: str, column: str, said: str
) -> None:
    reading = read_tide_constants(constants_with(row), STATIONS)
    assert reading.stations == ()
    (problem,) = reading.problems
    assert (problem.row, problem.column) == (3, column)
    assert said in problem.message
    with pytest.raises(ValueError, match="row 3"):
        reading.station("7")


@pytest.mark.parametrize(
    ("constants", "stations", "said"),
    [
        ("", STATIONS, "hold no rows"),
        (CONSTANTS.replace("amplitude_m", "amp"), STATIONS, "no column 'amplitude_m'"),
        (CONSTANTS.splitlines()[0], STATIONS, "a header and no rows"),
        (CONSTANTS, STATIONS.replace("Dublin", "Atlantis"), "no time zone named"),
        (CONSTANTS, STATIONS.replace("53.3,", "153.3,"), "not between -90 and 90"),
        (CONSTANTS, STATIONS.replace("2.9,2.4", "2.9,"), "empty"),
        (CONSTANTS, STATIONS + "9,Nowhere,1,1,UTC,,0\n", "has no constants"),
        (CONSTANTS + "9,M2,1,1,28.984104\n", STATIONS, "name station '9'"),
        ("PK\x03\x04\x00\x00", STATIONS, "not text"),
    ],
)
def test_a_broken_file_is_refused_whole(constants: str, stations: str, said: str) -> None:
    reading = read_tide_constants(constants, stations)
    assert reading.stations == ()
    assert any(said in problem.message for problem in reading.problems), reading.problems


def test_an_unknown_station_is_told_which_there_are() -> None:
    with pytest.raises(ValueError, match=r"no station '99'.* 7, 8"):
        read_tide_constants(CONSTANTS, STATIONS).station("99")


# --- official tables ---------------------------------------------------------------------------

FIRST = datetime(2026, 3, 20, 1, 0)  # noqa: DTZ001  as a table writes it
TURNS = [
    (FIRST + timedelta(hours=6.2 * i), 4.0 if i % 2 else 0.6, "H" if i % 2 else "L")
    for i in range(80)
]


def table(rows: list[tuple[datetime, float, str]]) -> str:
    lines = [f"{at:%Y-%m-%d %H:%M},{height:.2f},{kind}" for at, height, kind in rows]
    return "\n".join(["time,height,type", *lines])


def read(text: str, zone: str = "UTC", **changes: object) -> TurnsReading:
    arguments: dict[str, object] = {
        "columns": TurnColumns(kind="type"),
        "unit": HeightUnit.METRE,
        "source": "Harbour table",
    }
    return read_turns_table(text, zone=zone, **{**arguments, **changes})  # type: ignore[arg-type]


def problem(reading: TurnsReading) -> Problem:
    assert reading.tide is None
    (found,) = reading.problems
    return found


def test_a_good_table_is_read_whole() -> None:
    reading = read(table(TURNS))
    assert reading.problems == ()
    assert reading.rows == 80
    assert reading.tide is not None
    assert reading.tide.table[1].kind is TurnKind.HIGH
    assert reading.tide.table[0].at == FIRST.replace(tzinfo=UTC)


def test_kinds_are_found_from_the_heights_where_no_column_says_them() -> None:
    named, unnamed = read(table(TURNS)), read(table(TURNS), columns=TurnColumns())
    assert named.tide == unnamed.tide


def test_a_missing_week_is_named_by_the_row_after_it() -> None:
    found = problem(read(table(TURNS[:30] + TURNS[58:])))
    assert found.row == 32
    assert "no turn for 7.5 days since 2026-03-27 12:48 UTC" in found.message
    assert "rows are missing" in found.message


def test_a_missing_turn_is_named() -> None:
    assert "two highs follow each other" in problem(read(table(TURNS[:20] + TURNS[21:]))).message


def test_rows_out_of_order_are_named() -> None:
    rows = list(TURNS)
    rows[10], rows[11] = rows[11], rows[10]
    found = problem(read(table(rows)))
    assert found.row == 13
    assert "before that of row 12: put the rows in order" in found.message


def test_a_row_twice_is_named() -> None:
    found = problem(read(table([*TURNS[:10], TURNS[9], *TURNS[10:]])))
    assert (found.row, found.column) == (12, "time")
    assert "repeats that of row 11" in found.message


def test_a_table_in_feet_comes_out_in_metres() -> None:
    feet = [(at, height / 0.3048, kind) for at, height, kind in TURNS]
    reading = read(table(feet), unit=HeightUnit.FOOT)
    assert reading.tide is not None
    assert reading.tide.table[1].height_m == pytest.approx(4.0, abs=0.002)


def test_a_column_named_in_feet_is_not_taken_for_metres() -> None:
    text = table(TURNS).replace("height", "height_ft", 1)
    found = problem(read(text, columns=TurnColumns(height="height_ft", kind="type")))
    assert found.row == 1
    assert "choose the unit ft" in found.message


def test_heights_that_no_sea_has_are_refused() -> None:
    rows = [(at, height * 10, kind) for at, height, kind in TURNS[:2]]
    reading = read(table(rows))
    assert "not between -10 and 20" in problem(reading).message


def test_a_high_under_the_low_beside_it_is_named() -> None:
    rows = list(TURNS)
    rows[5] = (rows[5][0], 0.4, "H")
    reading = read(table(rows))
    assert [found.row for found in reading.problems] == [7, 8]
    assert "the high is under the low" in reading.problems[0].message


def test_local_times_are_taken_across_the_spring_change() -> None:
    """Dublin goes from UTC to UTC+1 on 29 March 2026 at 01:00."""
    reading = read(table(TURNS[:8]), zone="Europe/Dublin")
    assert reading.tide is not None
    assert reading.tide.table[0].at == datetime(2026, 3, 20, 1, tzinfo=UTC)
    summer = read(
        table([(at + timedelta(days=15), h, k) for at, h, k in TURNS[:8]]), "Europe/Dublin"
    )
    assert summer.tide is not None
    assert summer.tide.table[0].at == datetime(2026, 4, 4, 0, tzinfo=UTC)


def around(local: str) -> list[tuple[datetime, float, str]]:
    at = datetime.fromisoformat(local)
    return [
        (at - timedelta(hours=6), 0.6, "L"),
        (at, 4.0, "H"),
        (at + timedelta(hours=7), 0.5, "L"),
    ]


def test_the_hour_daylight_saving_skips_does_not_exist() -> None:
    found = problem(read(table(around("2026-03-29 01:30")), zone="Europe/Dublin"))
    assert found.row == 3
    assert "does not exist in Europe/Dublin: the clocks skip it" in found.message


def test_the_hour_daylight_saving_repeats_is_refused_unless_told_which() -> None:
    text = table(around("2026-10-25 01:30"))
    found = problem(read(text, zone="Europe/Dublin"))
    assert found.row == 3
    assert "comes twice" in found.message
    for which, hour in ((RepeatedHour.FIRST, 0), (RepeatedHour.SECOND, 1)):
        reading = read(text, zone="Europe/Dublin", repeated_hour=which)
        assert reading.tide is not None
        assert reading.tide.table[1].at == datetime(2026, 10, 25, hour, 30, tzinfo=UTC)


def test_the_repeated_hour_is_settled_by_an_offset_or_by_the_order() -> None:
    offset = table(around("2026-10-25 01:30")).replace("25 01:30", "25 01:30+00:00")
    reading = read(offset, zone="Europe/Dublin")
    assert reading.tide is not None
    assert reading.tide.table[1].at == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    ordered = "time,height,type\n2026-10-25 00:45,0.6,L\n2026-10-25 01:30+01:00,0.9,H\n"
    ordered += "2026-10-25 01:20,0.5,L\n"
    by_order = read(ordered, zone="Europe/Dublin")
    assert by_order.tide is not None
    assert by_order.tide.table[2].at == datetime(2026, 10, 25, 1, 20, tzinfo=UTC)


def test_a_table_in_standard_time_all_year_takes_a_fixed_offset() -> None:
    reading = read(table(around("2026-03-29 02:30")), zone="+01:00")
    assert reading.tide is not None
    assert reading.tide.table[1].at == datetime(2026, 3, 29, 1, 30, tzinfo=UTC)


def test_date_and_time_may_stand_in_two_columns_in_any_stated_form() -> None:
    text = "Day;Clock;m;HL\n20/03/2026;01.00;0,60;LW\n20/03/2026;07.12;4,00;HW\n"
    columns = TurnColumns("Clock", "m", "HL", "Day", "%d/%m/%Y %H.%M")
    reading = read(text, columns=columns)
    assert reading.tide is not None
    assert [turn.height_m for turn in reading.tide.table] == [0.6, 4.0]


@pytest.mark.parametrize(
    ("row", "column", "said"),
    [
        ("tomorrow,4.00,H", "time", "'tomorrow' is not a time"),
        ("2026-02-30 07:12,4.00,H", "time", "is not a time"),
        ("2026-03-20 07:12,four,H", "height", "'four' is not a number"),
        ("2026-03-20 07:12,4.00,flood", "type", "neither high nor low"),
        ("2026-03-20 07:12,4.00", "", "2 cells where the header has 3"),
    ],
)
def test_a_broken_row_is_named_and_nothing_is_read(row: str, column: str, said: str) -> None:
    lines = table(TURNS).splitlines()
    lines[2] = row
    found = problem(read("\n".join(lines)))
    assert (found.row, found.column) == (3, column)
    assert said in found.message


def test_an_empty_table_and_a_wrong_mapping_are_refused() -> None:
    assert "hold no rows" in problem(read("")).message
    assert "no column 'type'" in problem(read("time,height\n2026-03-20 01:00,1\n")).message
    assert "at least two" in problem(read(table(TURNS[:1]))).message
    with pytest.raises(ValueError, match="no time zone named"):
        read(table(TURNS), zone="Mars/Olympus")


# ---------------------------------------------------------------- one row a day, and typed lines

DAY_ROWS = """\
day,time 1,height 1,time 2,height 2,time 3,height 3,time 4,height 4
2026-06-12,02:10,0.6,08:20,3.9,14:31,0.7,20:42,3.8
2026-06-13,02:55,0.5,09:05,4.0,15:15,0.6,21:26,3.9
2026-06-14,03:40,0.5,09:50,4.0,16:00,0.6,--:--,-
"""


def by_day(text: str, **more: str) -> TurnsReading:
    columns = TurnColumns(date="day", **more)
    return read_turns_table(text, columns, HeightUnit.METRE, "Europe/Dublin", "Marram Head")


@pytest.mark.parametrize(
    "text",
    [
        DAY_ROWS,
        DAY_ROWS.replace("time ", "time").replace("height ", "height"),
        DAY_ROWS.replace(",", ";").replace("time ", "time_").replace("height ", "height_0"),
        "day" + ",time,height" * 4 + "\n" + DAY_ROWS.partition("\n")[2],
    ],
)
def test_one_row_a_day_holds_as_many_turns_as_the_day_has(text: str) -> None:
    reading = by_day(text)
    assert reading.problems == ()
    assert reading.tide is not None
    turns = reading.tide.table
    assert len(turns) == 11
    assert turns[0].at == datetime(2026, 6, 12, 1, 10, tzinfo=UTC)
    assert [turn.kind for turn in turns[:3]] == [TurnKind.LOW, TurnKind.HIGH, TurnKind.LOW]
    assert (turns[-1].at, turns[-1].height_m) == (datetime(2026, 6, 14, 15, 0, tzinfo=UTC), 0.6)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("15:15,0.6", "15:15,", "row 3, height 3: the cell is empty"),
        ("15:15,0.6", "15:75,0.6", "row 3, time 3: '2026-06-13 15:75' is not a time"),
        ("15:15,0.6", ",", "row 3, height 4: two highs follow each other"),
        ("day,", "date,", "there is no column 'day'"),
    ],
)
def test_a_wrong_turn_of_a_day_is_named_by_row_and_column(old: str, new: str, said: str) -> None:
    reading = by_day(DAY_ROWS.replace(old, new))
    assert reading.tide is None
    assert said in str(reading.problems[0])


SPRING = "2027-03-28 01:30 0.6 low 07:40 3.9 high"
AUTUMN = "2027-10-30 18:40 0.6 low\n2027-10-31 01:30 3.9 high 06:40 0.5 low"


def test_a_time_that_the_clocks_skip_is_told_with_its_line() -> None:
    [problem] = read_turns_lines(SPRING, "Europe/Dublin", "Marram Head").problems
    assert (problem.row, "does not exist in Europe/Dublin: the clocks skip it" in str(problem)) == (
        1, True,
    )  # fmt: skip
    assert read_turns_lines(SPRING, "UTC", "Marram Head").problems == ()


def test_a_time_that_comes_twice_is_asked_for_and_the_offset_settles_it() -> None:
    [problem] = read_turns_lines(AUTUMN, "Europe/Dublin", "Marram Head").problems
    assert "2027-10-31 01:30 comes twice in Europe/Dublin when the clocks go back" in str(problem)
    for offset, hour in (("+01:00", 0), ("+00:00", 1)):
        text = AUTUMN.replace("01:30", f"01:30{offset}")
        reading = read_turns_lines(text, "Europe/Dublin", "Marram Head")
        assert reading.problems == ()
        assert reading.tide is not None
        assert reading.tide.table[1].at == datetime(2027, 10, 31, hour, 30, tzinfo=UTC)
        assert turns_lines(reading.tide.table, "Europe/Dublin") == text


def test_lines_without_high_or_low_are_told_from_their_neighbours() -> None:
    reading = read_turns_lines(
        "2026-06-12 0210 0,6 0820 3,9\n2026-06-12T14:31 0.7", "UTC", "Marram"
    )
    assert reading.tide is not None, reading.problems
    assert [turn.kind for turn in reading.tide.table] == [
        TurnKind.LOW, TurnKind.HIGH, TurnKind.LOW
    ]  # fmt: skip
    assert reading.tide.table[0].height_m == 0.6


def test_typed_turns_far_apart_are_missing_rows() -> None:
    text = SPRING.replace("01:30", "00:30") + "\n2027-04-03 01:00 0.6 low 07:10 3.9 high"
    [problem] = read_turns_lines(text, "UTC", "Marram Head").problems
    assert "rows are missing" in str(problem)
