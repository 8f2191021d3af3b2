"""A place on the Earth."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Position:
    """A place in degrees on WGS84, north and east positive.

    ValueError for a latitude outside -90 to 90 and a longitude outside -180 to 180.
    """

    latitude_deg: float
    longitude_deg: float

    def __post_init__(self) -> None:
        if not -90 <= self.latitude_deg <= 90:
            raise ValueError(
                f"The latitude {self.latitude_deg} is not between -90 and 90 degrees: "
                "give degrees north, south negative."
            )
        if not -180 <= self.longitude_deg <= 180:
            raise ValueError(
                f"The longitude {self.longitude_deg} is not between -180 and 180 degrees: "
                "give degrees east, west negative."
            )
