"""The day strip as a page shows it: two drawings of one set of facts, and its text twin."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.utils.safestring import SafeString, mark_safe

from bookings.models import Business
from guiding.drawings.strip import StripDetail, StripFacts, StripRow, strip_rows, strip_svg
from guiding.papers.formats import clock_halves


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


def page_strip(
    facts: StripFacts, business: Business, *, caption: str = "", open: bool = False
) -> PageStrip:
    """The strip for a page; the script draws the hairline of now over it."""
    facts = replace(facts, halves=clock_halves(business.locale))
    return PageStrip(
        svg=_svg(facts, StripDetail.FULL),
        narrow=_svg(facts, StripDetail.NARROW),
        rows=strip_rows(facts),
        caption=caption,
        start=facts.day_start.timestamp(),
        end=facts.day_end.timestamp(),
        open=open,
    )


def mini_strip(facts: StripFacts, business: Business) -> SafeString:
    """The strip for a cell of the Diary."""
    return _svg(replace(facts, halves=clock_halves(business.locale)), StripDetail.MINI)


def _svg(facts: StripFacts, detail: StripDetail) -> SafeString:
    # The drawing escapes every text that it is given; nothing else enters the markup.
    return mark_safe(strip_svg(facts, detail))  # noqa: S308
