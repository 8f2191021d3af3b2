"""What the template tags write: money, days, times, numbers, states, in the business's manner."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.db.models import TextChoices
from django.template import Context, Template
from django.test import RequestFactory

from tests.look.markup import elements, one

NBSP = "\N{NO-BREAK SPACE}"
IRISH = SimpleNamespace(locale="en_IE", currency="EUR", zone="Europe/Dublin", units="metric")
GERMAN = SimpleNamespace(locale="de_DE", currency="EUR", zone="Europe/Berlin", units="metric")
AMERICAN = SimpleNamespace(
    locale="en_US", currency="USD", zone="America/New_York", units="imperial"
)
DAWN = datetime(2026, 6, 13, 4, 5, tzinfo=UTC)  # 05:05 in Dublin, a Saturday


def shown(tag: str, business: object = IRISH, **context: object) -> str:
    return Template("{% load desk %}{% " + tag + " %}").render(
        Context({"business": business, **context})
    )


def words(tag: str, business: object = IRISH, **context: object) -> str:
    html = shown(tag, business, **context)
    found = elements(f"<p>{html}</p>")
    return found[0].text


@pytest.mark.parametrize(
    ("amount", "business", "expected"),
    [
        (Decimal("1160"), IRISH, "€1,160.00"),
        (Decimal("1160.5"), GERMAN, f"1.160,50{NBSP}€"),
        (Decimal("-87.005"), AMERICAN, "\u2212$87.00"),
        (0, IRISH, "€0.00"),
    ],
)
def test_money_has_its_currency_and_two_decimals(
    amount: Decimal, business: object, expected: str
) -> None:
    assert shown("money x", business, x=amount) == expected


def test_money_of_another_currency_and_of_no_decimals() -> None:
    assert shown('money x currency="GBP"', x=Decimal("12.5")) == "£12.50"
    assert shown('money x currency="JPY"', x=Decimal("1200")) == "JP¥1,200"


def test_a_business_can_be_named_where_the_context_has_another() -> None:
    assert shown("money x business=other", x=1, other=AMERICAN) == "$1.00"


@pytest.mark.parametrize(
    ("value", "business", "expected"),
    [
        (date(2026, 6, 13), IRISH, "Sat 13 Jun 2026"),
        (date(2026, 6, 13), AMERICAN, "Sat Jun 13, 2026"),
        (date(2026, 6, 13), GERMAN, "Sa. 13. Juni 2026"),
        # The day is that of the business's zone, not of UTC.
        (datetime(2026, 6, 13, 23, 30, tzinfo=UTC), IRISH, "Sun 14 Jun 2026"),
        (datetime(2026, 6, 13, 2, 0, tzinfo=UTC), AMERICAN, "Fri Jun 12, 2026"),
    ],
)
def test_a_day_has_its_weekday(value: date, business: object, expected: str) -> None:
    assert words("day x", business, x=value) == expected


def test_a_day_without_its_year_keeps_its_date_for_machines() -> None:
    html = shown("day x year=False", x=date(2026, 6, 13))
    assert one(html, "time").attrs["datetime"] == "2026-06-13"
    assert one(html, "time").text == "Sat 13 Jun"


@pytest.mark.parametrize(
    ("tag", "business", "expected"),
    [
        ("clock x", IRISH, "05:05"),
        ("clock x", AMERICAN, "12:05 AM"),
        ('clock x zone="Europe/Dublin"', IRISH, "05:05"),
        ('clock x zone="Europe/Lisbon"', IRISH, "05:05 Lisbon time"),
        ('clock x zone="Pacific/Auckland"', IRISH, "16:05 Auckland time"),
    ],
)
def test_a_time_is_local_and_names_a_foreign_zone(
    tag: str, business: object, expected: str
) -> None:
    assert words(tag, business, x=DAWN) == expected


def test_a_span_names_the_later_day() -> None:
    assert words("span a b", a=DAWN, b=DAWN + timedelta(hours=6)) == "05:05–11:05"
    assert words("span a b", a=DAWN, b=DAWN + timedelta(hours=20)) == "05:05 – 01:05 Sun 14 Jun"


@pytest.mark.parametrize(
    ("length", "expected"),
    [
        (370, "6 h 10 min"),
        (timedelta(hours=2), "2 h"),
        (59.6, "1 h"),
        (0, "0 min"),
        (-15, "\N{MINUS SIGN}15 min"),
        (-0.2, "0 min"),
    ],
)
def test_a_length_of_time_in_hours_and_minutes(length: object, expected: str) -> None:
    assert words("lasting x", x=length) == expected


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (DAWN - timedelta(days=3), "3 days ago"),
        (DAWN + timedelta(hours=2), "in 2 hours"),
        (DAWN - timedelta(seconds=20), "just now"),
        (date(2026, 6, 13), "today"),
        (date(2026, 6, 15), "in 2 days"),
    ],
)
def test_how_long_ago(value: date, expected: str) -> None:
    assert words("since x now=now", x=value, now=DAWN) == expected


def test_how_long_ago_keeps_the_moment_itself() -> None:
    html = shown("since x now=now", x=DAWN, now=DAWN + timedelta(days=1))
    assert one(html, "time").attrs["title"] == "Sat 13 Jun 2026 05:05"


@pytest.mark.parametrize(
    ("tag", "business", "expected"),
    [
        ('number 5.5 "kg"', IRISH, "5.5 kg"),
        ('number 5.5 "kg"', GERMAN, "5,5 kg"),
        ('number 12345.678 "Wh" places=0', IRISH, "12,346 Wh"),
        ("number 7 places=2", IRISH, "7.00"),
        ("number -0.001 places=1", IRISH, "0.0"),
        ("metres 300", IRISH, "300 m"),
        ("metres 4.25 places=1", GERMAN, "4,2 m"),
        # A foot is 0.3048 m exactly (international yard and pound agreement, 1959).
        ("metres 300", AMERICAN, "984 ft"),
        ("metres 4.25 places=1", AMERICAN, "13.9 ft"),
        ("share 0.83", IRISH, "83%"),
        ("share 0.176 places=1", GERMAN, "17,6%"),
        ("wind 8.2 225", IRISH, "8.2 m/s from SW"),
        ("wind 8.2 225 gust_ms=11.63", IRISH, "8.2, gusts 11.6 m/s from SW"),
        ("wind 8.2 359", IRISH, "8.2 m/s from N"),
        # A mile is 1609.344 m exactly: 10 m/s are 22.37 mph.
        ("wind 10", AMERICAN, "22 mph"),
        ('plural 1 "trip" "trips"', IRISH, "1 trip"),
        ('plural 0 "trip" "trips"', IRISH, "0 trips"),
        ('plural 1214 "trip" "trips"', IRISH, "1,214 trips"),
    ],
)
def test_a_number_has_its_unit(tag: str, business: object, expected: str) -> None:
    assert words(tag, business) == expected


def test_a_unit_does_not_part_from_its_number() -> None:
    assert shown("metres 300") == f"300{NBSP}m"
    assert shown('plural 3 "trip" "trips"') == f"3{NBSP}trips"


TAGS = [
    "money x", "day x", "clock x", "span x x", "lasting x", "since x", 'number x "m"', "metres x",
    "share x", "wind x", "state x", 'plural x "a" "b"', "known x",
]  # fmt: skip


@pytest.mark.parametrize("tag", TAGS)
@pytest.mark.parametrize("nothing", [None, ""])
def test_what_is_not_known_says_so(tag: str, nothing: object) -> None:
    html = shown(tag, x=nothing)
    assert one(html, "span", title="not known").text == "–not known"
    assert "None" not in html


@pytest.mark.parametrize("tag", ['number x "m"', "metres x", "share x", "wind x", "lasting x"])
def test_a_number_that_is_none_is_not_known(tag: str) -> None:
    assert "not known" in shown(tag, x=float("nan"))


def test_known_passes_values_and_turns_truth_into_words() -> None:
    assert shown("known x", x=0) == "0"
    assert (shown("known x", x=True), shown("known x", x=False)) == ("yes", "no")
    assert shown("known x", x="<b>Halloran</b>") == "&lt;b&gt;Halloran&lt;/b&gt;"


def test_without_a_business_the_desk_still_writes_plainly() -> None:
    assert words("day x", None, x=date(2026, 6, 13)) == "Sat Jun 13, 2026"
    assert words("number 5.5", SimpleNamespace(locale="xx_YY", currency="", zone="", units="")) == (
        "5.5"
    )


class _State(TextChoices):
    CALL_OFF = "call_off", "call off"
    FIT = "fit", "fit"


VOCABULARY = {
    "tentative": "wait", "confirmed": "good", "cancelled": "stop", "fished": "over",
    "open": "open", "closed": "over", "fit": "good", "watch": "wait", "due": "wait",
    "grounded": "stop", "retired": "over", "go": "good", "hold": "wait", "call off": "stop",
    "draft": "open", "sent": "open", "accepted": "good", "lapsed": "over",
}  # fmt: skip


@pytest.mark.parametrize(("word", "tone"), VOCABULARY.items())
def test_a_state_is_a_word_and_a_shape(word: str, tone: str) -> None:
    html = shown("state x", x=word)
    mark = one(html, "span")
    assert mark.text == word
    assert mark.attrs["class"] == f"state tone-{tone}"
    assert one(html, "svg").attrs["aria-hidden"] == "true"


def test_states_of_one_family_differ_in_shape_not_only_in_colour() -> None:
    families = [
        ["tentative", "confirmed", "cancelled", "fished"],
        ["open", "closed"],
        ["fit", "watch", "grounded", "retired"],
        ["fit", "due", "grounded", "retired"],
        ["go", "hold", "call off"],
        ["draft", "sent", "accepted", "lapsed"],
    ]
    for family in families:
        shapes = {shown("state x", x=word).split("<svg")[1].split("</svg>")[0] for word in family}
        assert len(shapes) == len(family), family


def test_a_state_reads_choices_and_names_of_columns() -> None:
    assert words("state x", x=_State.CALL_OFF) == "call off"
    assert one(shown("state x", x="call_off"), "span").attrs["class"] == "state tone-stop"


def test_a_word_of_ones_own_takes_a_tone_and_stays_text() -> None:
    html = shown('state x tone="stop" shape="cross"', x="<i>lost</i>")
    assert "&lt;i&gt;lost&lt;/i&gt;" in html
    assert one(html, "span").attrs["class"] == "state tone-stop"
    assert one(shown('state x tone="no such"', x="odd"), "span").attrs["class"] == "state tone-open"


def test_the_next_page_keeps_the_filters() -> None:
    request = RequestFactory().get("/parties/", {"q": "ó & co", "page": "2"})
    assert shown("page_link 3", request=request) == "?q=%C3%B3+%26+co&amp;page=3"
