"""Marks read and written, kinds to sign, versions outdated, addresses shortened."""

from __future__ import annotations

import ipaddress
import json
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.ages import age_on
from bookings.rules.retention import kept_until, signature_kept_until
from bookings.rules.signing import (
    Again,
    address_without_host,
    drawn_strokes,
    mark_of_strokes,
    must_sign_anew,
    text_kinds_to_sign,
    typed_mark,
)

points = st.tuples(st.integers(0, 10000), st.integers(0, 10000))
drawings = st.lists(st.lists(points, min_size=1, max_size=30), min_size=1, max_size=8)
days = st.dates(date(2000, 1, 1), date(2090, 12, 31))


@given(drawings)
def test_a_drawing_read_and_written_is_itself(drawing: list[list[tuple[int, int]]]) -> None:
    long = [*drawing, [(0, 0), (10000, 0)]]
    strokes = drawn_strokes(json.dumps(long))
    assert strokes == tuple(map(tuple, long))
    assert drawn_strokes(mark_of_strokes(strokes)) == strokes


@given(st.text(max_size=300))
def test_no_text_whatever_breaks_the_reader(drawn: str) -> None:
    said = "."
    try:
        assert drawn_strokes(drawn)
    except ValueError as refusal:
        said = str(refusal)
    assert said.endswith(".")


@given(st.text(max_size=60))
def test_a_typed_mark_is_stable_or_refused(typed: str) -> None:
    said = "."
    try:
        mark = typed_mark(typed)
        assert typed_mark(mark) == mark
    except ValueError as refusal:
        said = str(refusal)
    assert said.endswith(".")


def test_an_accent_typed_in_two_ways_is_one_mark() -> None:
    assert typed_mark("Se\u0301amus  O\u0301 Broin ") == typed_mark("S\u00e9amus \u00d3 Broin")


def test_kinds_to_sign() -> None:
    assert text_kinds_to_sign(minor=False) == ("risks", "terms", "health", "photos")
    assert text_kinds_to_sign(minor=True) == ("risks", "guardian", "health", "photos")


@given(st.integers(1, 9), st.lists(st.sampled_from(list(Again)), max_size=9), st.booleans())
def test_only_later_versions_that_ask_outdate(
    signed: int, again: list[Again], for_minor: bool
) -> None:
    numbers = list(range(1, len(again) + 1))
    anew = must_sign_anew(signed, numbers, again, for_minor)
    later = again[signed:]
    assert anew == (Again.EVERYBODY in later or (for_minor and Again.MINORS in later))
    if must_sign_anew(signed, numbers, again, for_minor=False):
        assert must_sign_anew(signed, numbers, again, for_minor=True)


def test_lists_of_different_length_are_refused() -> None:
    with pytest.raises(ValueError, match="Give for each version"):
        must_sign_anew(1, [1, 2], [Again.NOBODY], for_minor=False)


@pytest.mark.parametrize(
    ("address", "kept"),
    [
        ("192.0.2.77", "192.0.2.0"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1::"),
        ("", ""),
        ("unix:", ""),
        ("192.0.2.999", ""),
    ],
)
def test_addresses_lose_their_host(address: str, kept: str) -> None:
    assert address_without_host(address) == kept


@given(st.ip_addresses())
def test_a_shortened_address_is_shared_by_many(
    address: ipaddress.IPv4Address | ipaddress.IPv6Address,
) -> None:
    kept = address_without_host(str(address))
    assert address_without_host(kept) == kept
    assert address_without_host(str(type(address)(int(address) ^ 1))) == kept


@given(days, st.integers(1, 5000))
def test_kept_for_so_many_days(day: date, keep_days: int) -> None:
    assert (kept_until(day, keep_days) - day).days == keep_days


def test_kept_for_no_day_is_refused() -> None:
    with pytest.raises(ValueError, match="give 1 or more"):
        kept_until(date(2026, 6, 13), 0)
    with pytest.raises(ValueError, match="cannot be"):
        signature_kept_until(date(2026, 6, 13), 10, -1)


@given(days, st.integers(0, 17 * 365), st.integers(1, 3000))
def test_a_minors_record_is_there_on_the_21st_birthday(
    trip_day: date, lived_days: int, keep_days: int
) -> None:
    born = trip_day - timedelta(days=lived_days)
    until = signature_kept_until(trip_day, keep_days, age_on(born, trip_day))
    assert until >= kept_until(trip_day, keep_days)
    assert age_on(born, until) >= 21
