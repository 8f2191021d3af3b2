"""The cancellation ladder in the words of a paper's language, counted in days before the trip."""

from __future__ import annotations

from collections.abc import Sequence

from bookings.rules.ladder import Charge, Rung
from guiding.papers.formats import Formats
from guiding.papers.words import put_in


def ladder_lines(rungs: Sequence[Rung], shape: Formats) -> tuple[str, ...]:
    """A line a rung, the earliest first; the days are those before the trip."""
    ordered = sorted(rungs, key=lambda rung: -rung.from_days)
    return tuple(_line(rung, ordered, shape) for rung in ordered)


def _line(rung: Rung, ordered: Sequence[Rung], shape: Formats) -> str:
    if len(ordered) == 1:
        key = "always"
    elif rung is ordered[0]:
        key = "first"
    else:
        key = "from" if rung.from_days else "last"
    text = shape.words.text(f"sheet.ladder_{key}")
    return put_in(text, days=rung.from_days, what=_what(rung, shape))


def _what(rung: Rung, shape: Formats) -> str:
    words = shape.words.text
    name = {
        Charge.NOTHING: "keep_nothing",
        Charge.DEPOSIT_MOVES: "keep_moves",
        Charge.DEPOSIT: "keep_deposit" if rung.share == 1 else "keep_of_deposit",
        Charge.SHARE: "keep_price" if rung.share == 1 else "keep_of_price",
    }[rung.charge]
    told = words(f"sheet.{name}").format(share=shape.share(rung.share))
    if rung.if_refilled is Charge.DEPOSIT:
        told = words("sheet.keep_refilled").format(what=told)
    return told
