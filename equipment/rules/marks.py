"""How well a default is founded."""

from __future__ import annotations

from enum import StrEnum


class Mark(StrEnum):
    """Where a figure that the guide may change comes from."""

    PUBLISHED = "published"
    COMMON = "common practice, no source"
    HOUSE = "default of the house"
