"""What the pages of gear cannot draw or reach by themselves: the gear house stands below the
drawings and the desk, so these tags bring both to its pages."""

from __future__ import annotations

from typing import Any

from django import template
from django.template.defaultfilters import floatformat
from django.urls import NoReverseMatch, reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from guiding.drawings.trend import (
    TrendBand,
    TrendCrossing,
    TrendFacts,
    TrendPoint,
    trend_svg,
)
from guiding.templatetags.desk import day, number

register = template.Library()

_WIDE, _NARROW = 720, 320  # of a drawing on a desk's screen, and on a phone
_TONES = {
    "grounded": "note-stop",
    "watch": "note-caution",
    "due": "note-caution",
    "fit": "note-good",
}
# Pages above the gear house that gear leads to: address name and words.
_DESK_PAGES = (
    ("rig_list", "Rigs"),
    ("drop_list", "Drops flown"),
    ("charger_list", "Chargers"),
    ("tackle_list", "Tackle box"),
    ("load_list", "What goes along"),
    ("labels", "Print labels"),
)


@register.simple_tag
def tone_class(state: object) -> str:
    """The look of a note that tells a state."""
    return _TONES.get(str(state), "")


@register.simple_tag(takes_context=True)
def due_words(context: dict[str, Any], gear: Any) -> str:
    """The service of a thing that comes next: before which trip, by which day, at which count;
    nothing where the thing's own reason has said it."""
    due = gear.next_due
    if due is None or due.reason == gear.reason:
        return ""
    if due.before_trip_on is not None:
        when = day(context, due.before_trip_on, year=False)
        return format_html("{} before the trip of {}", due.rule, when)
    if due.due_on is not None:
        return format_html("{} by {}", due.rule, day(context, due.due_on))
    used, limit = _count(context, due.used), _count(context, due.limit)
    return f"{due.rule}: {used} of {limit} {due.measure}"


def _count(context: dict[str, Any], value: float) -> str:
    """A count in words of the locale; below a thousand every locale of ours writes it alike, and a
    list asks for hundreds of them."""
    return f"{value:.0f}" if 0 <= value < 1000 else number(context, value, places=0)


@register.filter
def after(sentence: str, head: str) -> str:
    """A sentence without the name that stands before it in the same row."""
    return sentence.removeprefix(f"{head}: ")


@register.simple_tag
def gear_links() -> SafeString:
    """Links from the gear list to the pages of the desk that there are."""
    links = []
    for name, label in _DESK_PAGES:
        try:
            links.append(format_html('<li><a href="{}">{}</a></li>', reverse(name), label))
        except NoReverseMatch:
            continue
    return mark_safe("".join(links))  # noqa: S308 - each part is escaped


@register.simple_tag
def label_link(pk: int) -> SafeString | str:
    """An entry of a thing's menu that makes its label, where the desk has such a page."""
    try:
        address = reverse("labels_file")
    except NoReverseMatch:
        return ""
    return format_html('<li><a href="{}?thing={}">Make its label</a></li>', address, pk)


@register.simple_tag(takes_context=True)
def pack_trend(context: dict[str, Any], trend: Any) -> SafeString | str:
    """A pack's health over its cycles, drawn; its table stands beside it on the page."""
    if not trend.points:
        return ""
    forecast, last = trend.forecast, max(point.cycles for point in trend.points)
    crossing = None
    if trend.band:
        crossing = TrendCrossing(
            last + forecast.cycles_left, last + forecast.low, last + forecast.high
        )
    facts = TrendFacts(
        title=f"Health of {trend.label}",
        x_name="cycles",
        y_name="health %",
        points=tuple(TrendPoint(p.cycles, p.health_share * 100) for p in trend.points),
        forecast=tuple(
            TrendBand(b.cycles, b.low_share * 100, b.middle_share * 100, b.high_share * 100)
            for b in trend.band
        ),
        limit=trend.retire_at_share * 100,
        crossing=crossing,
        decimal_mark=floatformat(1.5, 1)[1],
    )
    wide, narrow = (
        mark_safe(trend_svg(facts, width))  # noqa: S308 - the drawing escapes its words
        for width in (_WIDE, _NARROW)
    )
    return format_html(
        '<figure class="strip"><div class="strip-wide">{}</div><div class="strip-narrow">{}</div>'
        "</figure>",
        wide,
        narrow,
    )
