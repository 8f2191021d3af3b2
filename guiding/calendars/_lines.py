"""Content lines of RFC 5545: escaping, parameters, folding.

Written here and not left to the library because a fold may not part a backslash from what it
escapes (one large mail program shows both then), and because a feed of thousands of events is
written line by line. The library reads everything back in the tests.
"""

import re
from collections.abc import Iterable
from datetime import UTC, datetime

_LIMIT_OCTETS = 75
_UNSEEN = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


def text_value(text: str) -> str:
    """A TEXT value (3.3.11): backslash, semicolon, comma and line break escaped, no other."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    text = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    return _UNSEEN.sub("", text).replace("\n", "\\n")


def parameter_value(text: str) -> str:
    """A quoted parameter value (3.2): it can hold no quote, no control, no line break."""
    plain = " ".join(_UNSEEN.sub(" ", text).replace('"', "'").split())
    return f'"{plain}"'


def utc_value(instant: datetime) -> str:
    """A UTC date with time, form 2 of 3.3.5."""
    return instant.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")


def fold(line: str) -> bytes:
    """One content line as octets, at most 75 before each break, ended by CRLF (3.1)."""
    octets = line.encode("utf-8", "replace")
    if len(octets) <= _LIMIT_OCTETS:
        return octets + b"\r\n"
    pieces = []
    start, room = 0, _LIMIT_OCTETS
    while len(octets) - start > room:
        end = _cut(octets, start, start + room)
        pieces.append(octets[start:end])
        start, room = end, _LIMIT_OCTETS - 1  # the blank of the continuation counts
    pieces.append(octets[start:])
    return b"\r\n ".join(pieces) + b"\r\n"


def _cut(octets: bytes, start: int, end: int) -> int:
    """The last place at or before `end` that is inside neither a letter nor an escape."""
    while octets[end] & 0xC0 == 0x80:
        end -= 1
    slashes = 0
    while end - 1 - slashes >= start and octets[end - 1 - slashes] == 0x5C:
        slashes += 1
    return end - 1 if slashes % 2 else end


def write(lines: Iterable[str]) -> bytes:
    """Content lines folded and joined."""
    return b"".join(fold(line) for line in lines)
