"""Finding a time zone, or saying in a sentence that there is none of that name."""

from zoneinfo import ZoneInfo, ZoneInfoNotFoundError


def zone_named(name: str) -> ZoneInfo:
    """The zone of a name; ValueError where none has it."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as wrong:
        raise ValueError(
            f"The zone {name!r} is not known; give a name like 'Europe/Dublin'."
        ) from wrong
