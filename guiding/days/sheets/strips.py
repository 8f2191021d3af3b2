"""The day strip as a page shows it: two drawings of one set of facts, and its text twin."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from guiding.drawings.strip import StripDetail, StripFacts, StripRow, strip_rows, strip_svg


@dataclass(frozen=True, slots=True)
class PageStrip:
    """What `_strip.html` takes."""

    svg: SafeString
    narrow: SafeString
    rows: tuple[StripRow, ...]
    caption: str
    start: float
    end: float
    open: bool = False


def page_strip(facts: StripFacts, *, caption: str = "", open: bool = False) -> PageStrip:
    """The strip for a page; the script draws the hairline of now over it."""
    return PageStrip(
        svg=_svg(facts, StripDetail.FULL),
        narrow=_svg(facts, StripDetail.NARROW),
        rows=strip_rows(facts),
        caption=caption,
        start=facts.day_start.timestamp(),
        end=facts.day_end.timestamp(),
        open=open,
    )


def mini_strip(facts: StripFacts) -> SafeString:
    """The strip for a cell of the Diary."""
    return _svg(facts, StripDetail.MINI)


def _svg(facts: StripFacts, detail: StripDetail) -> SafeString:
    # The drawing escapes every text that it is given; nothing else enters the markup.
    return mark_safe(strip_svg(facts, detail))  # noqa: S308
