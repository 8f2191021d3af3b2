"""Reads harmonic constants and their stations from two CSV files."""

from __future__ import annotations

from dataclasses import dataclass

from guiding.almanac.instants import named_zone
from guiding.almanac.tide.harmonic import Constituent, HarmonicTide
from guiding.almanac.tide.reading import CellError, Problem, Row, Table
from guiding.almanac.tide.schureman import constituent_speed_deg_per_h

_CONSTANT_COLUMNS = (
    "station_id",
    "constituent",
    "amplitude_m",
    "phase_gmt_deg",
    "speed_deg_per_hour",
)
_STATION_COLUMNS = (
    "station_id",
    "name",
    "latitude_deg",
    "longitude_deg",
    "iana_timezone",
    "z0_MSL_above_MLLW_m",
)
_SPEED_TOLERANCE = 1e-3  # degrees an hour: neighbours among the 37 lie further apart


@dataclass(frozen=True, slots=True)
class ConstantsReading:
    """The stations of the files, or the problems; with a problem there is no station at all."""

    stations: tuple[HarmonicTide, ...]
    problems: tuple[Problem, ...]

    def station(self, station_id: str) -> HarmonicTide:
        """The station of that number; ValueError with the problems, or naming what there is."""
        if self.problems:
            more = f" (and {len(self.problems) - 1} more)" if len(self.problems) > 1 else ""
            raise ValueError(f"The tide constants were not read: {self.problems[0]}{more}")
        for each in self.stations:
            if each.station_id == station_id:
                return each
        raise ValueError(
            f"There is no station '{station_id}' in the files; there are "
            f"{', '.join(each.station_id for each in self.stations)}."
        )


def read_tide_constants(constants_csv: str, stations_csv: str) -> ConstantsReading:
    """Tide stations from the text of two CSV files: harmonic constants, and the stations.

    Constants: station_id, constituent, amplitude_m, phase_gmt_deg (lag on Greenwich),
    speed_deg_per_hour, one row a constituent. Stations: station_id, name, latitude_deg,
    longitude_deg, iana_timezone, z0_MSL_above_MLLW_m (mean sea level over the datum of the
    tables, metres), and where known MN_m (mean range) and constants_vintage. Other columns are
    passed over. A broken row comes back as a problem with its number and column, and then no
    station does: nothing is half read.
    """
    constants = Table.of(constants_csv, _CONSTANT_COLUMNS, "constants")
    places = Table.of(stations_csv, _STATION_COLUMNS, "stations")
    problems = [*constants.problems, *places.problems]
    sums: dict[str, dict[str, Constituent]] = {}
    for row in constants.rows:
        try:
            _add_constituent(sums, row)
        except CellError as error:
            problems.append(row.problem(error))
    stations: dict[str, HarmonicTide] = {}
    for row in places.rows:
        try:
            _add_station(stations, sums, row)
        except CellError as error:
            problems.append(row.problem(error))
    if not problems:
        problems += [
            Problem(0, "station_id", f"the constants name station '{each}', the stations do not.")
            for each in sums.keys() - stations.keys()
        ]
    return ConstantsReading(() if problems else tuple(stations.values()), tuple(problems))


def _add_constituent(sums: dict[str, dict[str, Constituent]], row: Row) -> None:
    name = row.text("constituent").upper()
    try:
        speed = constituent_speed_deg_per_h(name)
    except ValueError as error:
        raise CellError("constituent", str(error)) from None
    given = row.number_in("speed_deg_per_hour", 0, 180)
    if abs(given - speed) > _SPEED_TOLERANCE:
        raise CellError(
            "speed_deg_per_hour",
            f"{given} is not the speed of {name}, {speed:.6f}: the row belongs to another one.",
        )
    constituent = Constituent(
        name, row.number_in("amplitude_m", 0, 20), row.number_in("phase_gmt_deg", -360, 360)
    )
    station = sums.setdefault(row.text("station_id"), {})
    if name in station:
        raise CellError("constituent", f"{name} stands twice for this station: keep one.")
    station[name] = constituent


def _add_station(
    stations: dict[str, HarmonicTide], sums: dict[str, dict[str, Constituent]], row: Row
) -> None:
    station_id, name, zone = row.text("station_id"), row.text("name"), row.text("iana_timezone")
    if station_id in stations:
        raise CellError("station_id", f"station {station_id} stands twice: keep one row.")
    if station_id not in sums:
        raise CellError("station_id", f"station {station_id} has no constants in the other file.")
    try:
        named_zone(zone)
    except ValueError as error:
        raise CellError("iana_timezone", str(error)) from None
    vintage = row.cells.get("constants_vintage", "").strip()
    stations[station_id] = HarmonicTide(
        source=f"Harmonic constants of {name}" + (f", set of {vintage}" if vintage else ""),
        constituents=tuple(sums[station_id].values()),
        z0_m=row.number_in("z0_MSL_above_MLLW_m", -20, 20),
        mean_range_m=row.number_in("MN_m", 0, 20) if row.cells.get("MN_m", "").strip() else None,
        station_id=station_id,
        name=name,
        zone=zone,
        latitude_deg=row.number_in("latitude_deg", -90, 90),
        longitude_deg=row.number_in("longitude_deg", -180, 180),
    )
