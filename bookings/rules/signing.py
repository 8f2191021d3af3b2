"""What a signature needs: the mark itself, who signs which text, and when an old one still counts.

Sizes are the house's; which texts a person must sign is the house's too. Check with your own
authority and your insurer.
"""

import ipaddress
import json
import unicodedata
from collections.abc import Sequence
from enum import StrEnum
from itertools import pairwise
from math import hypot

FIELD_WIDTH, FIELD_HEIGHT = 35, 12
"""Sides of the field that is drawn in; a point counts 0 to 10000 along each of them."""

_SCALE = 10_000
_MOST_LETTERS = 32_000
_MOST_POINTS = 2_000
_LEAST_INK = 0.05

Stroke = tuple[tuple[int, int], ...]


class Again(StrEnum):
    """Who must sign once more when a new version of a text comes out."""

    NOBODY = "nobody"
    MINORS = "minors"
    EVERYBODY = "everybody"


def drawn_strokes(drawn: str) -> tuple[Stroke, ...]:
    """The strokes of a drawn signature, read from JSON and checked.

    `drawn` is a list of strokes, each a list of points [x, y], whole numbers of 0 to 10000 across a
    field of 35 to 12, the origin top left. Errors: not that shape, no stroke, a dot without a line,
    more than 2000 points or 32,000 letters. Source: house limits; a hand draws 100 to 1000 points.
    """
    if len(drawn) > _MOST_LETTERS:
        raise ValueError("The drawing is too large to be a signature; clear it and draw it again.")
    try:
        read = json.loads(drawn)
    except (ValueError, RecursionError):
        raise ValueError("The drawing did not arrive whole; draw it again.") from None
    if not isinstance(read, list) or not all(isinstance(stroke, list) for stroke in read):
        raise ValueError("The drawing did not arrive whole; draw it again.")
    strokes = tuple(tuple(_point(point) for point in stroke) for stroke in read if stroke)
    if not strokes:
        raise ValueError("Nothing is drawn yet; draw your signature or type your name.")
    if sum(map(len, strokes)) > _MOST_POINTS:
        raise ValueError("The drawing has too many points; clear it and draw it again.")
    if _ink_share(strokes) < _LEAST_INK:
        raise ValueError("A dot is no signature; draw it larger or type your name.")
    return strokes


def mark_of_strokes(strokes: Sequence[Stroke]) -> str:
    """Drawn strokes written down in the one way that is sealed and printed.

    Points as `drawn_strokes` gives them; no space between them. Source: house rule.
    """
    return json.dumps(
        [[list(point) for point in stroke] for stroke in strokes], separators=(",", ":")
    )


def typed_mark(typed: str) -> str:
    """A name typed as a signature, in its composed form and with single spaces.

    Any script will do. Errors: fewer than two letters, more than 200, a control character.
    Source: house rule; Unicode normalisation form C.
    """
    name = " ".join(unicodedata.normalize("NFC", typed).split())
    if any(unicodedata.category(letter) in {"Cc", "Cs", "Co", "Cn"} for letter in name):
        raise ValueError("The name holds a character that no name has; type it again.")
    letters = sum(unicodedata.category(letter).startswith("L") for letter in name)
    if letters < 2 and not _is_one_sign(name):
        raise ValueError("Type your whole name; a letter alone is no signature.")
    if len(name) > 200:
        raise ValueError("The name is longer than 200 characters; type it as you sign.")
    return name


def text_kinds_to_sign(minor: bool) -> tuple[str, ...]:
    """The kinds of text that are signed for one person, in the order of reading.

    For a minor a guardian signs them all. Source: house rule.
    """
    first = ("risks", "guardian") if minor else ("risks", "terms")
    return (*first, "health", "photos")


def must_sign_anew(
    signed_number: int,
    published_numbers: Sequence[int],
    published_again: Sequence[Again],
    for_minor: bool,
) -> bool:
    """Whether a signature on one version of a text no longer counts.

    `published_numbers` are the versions of that text in that language that are out, beside each who
    must sign it again. A later one that asks everybody, or the guardians of minors and it is for a
    minor, outdates the signature. Errors: lists of different length. Source: house rule.
    """
    if len(published_numbers) != len(published_again):
        raise ValueError("Give for each version who must sign it again.")
    asks = {Again.EVERYBODY, Again.MINORS} if for_minor else {Again.EVERYBODY}
    return any(
        number > signed_number and again in asks
        for number, again in zip(published_numbers, published_again, strict=True)
    )


def address_without_host(address: str) -> str:
    """A network address as it may be kept: the last part of it set to nought.

    192.0.2.77 becomes 192.0.2.0, an IPv6 address keeps its first 48 bits; anything else becomes
    empty. Source: house rule, common practice.
    """
    try:
        read = ipaddress.ip_address(address.strip())
    except ValueError:
        return ""
    bits = 24 if read.version == 4 else 48
    return str(ipaddress.ip_network(f"{read}/{bits}", strict=False).network_address)


def _point(point: object) -> tuple[int, int]:
    if isinstance(point, list) and len(point) == 2:
        x, y = point
        if type(x) is int and type(y) is int and 0 <= x <= _SCALE and 0 <= y <= _SCALE:
            return x, y
    raise ValueError("A point of the drawing lies outside the field; clear it and draw it again.")


def _ink_share(strokes: Sequence[Stroke]) -> float:
    """The length of all lines as a share of the width of the field."""
    flat = FIELD_HEIGHT / FIELD_WIDTH
    return sum(
        hypot(x2 - x1, (y2 - y1) * flat) / _SCALE
        for stroke in strokes
        for (x1, y1), (x2, y2) in pairwise(stroke)
    )


def _is_one_sign(name: str) -> bool:
    """Whether it is one sign of a script in which a sign is a name."""
    return len(name) == 1 and unicodedata.category(name) == "Lo"
