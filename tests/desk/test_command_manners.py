"""Manners that every command of ours has: an example, one sentence for what cannot be."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.core.management import get_commands

from tests.commands import manage
from tests.season import row_counts

pytestmark = pytest.mark.once

OURS = sorted(
    name
    for name, app in get_commands().items()
    if str(app).split(".")[0] in {"guiding", "bookings", "equipment"}
)


def test_the_commands_of_the_first_day_are_there() -> None:
    wanted = {
        *("demo", "papers", "day", "tide", "almanac", "compute", "cost", "packs", "lines"),
        *("check_books", "serve"),
    }
    assert wanted <= set(OURS)


@pytest.mark.parametrize("name", OURS)
def test_help_ends_with_an_example(name: str) -> None:
    done = manage(name, "--help")
    assert done.code == 0
    words = " ".join(done.out.split())
    assert "Example" in words
    assert f"manage.py {name}" in words[words.index("Example") :]


@pytest.mark.parametrize("name", OURS)
def test_an_option_that_does_not_exist_is_one_sentence(db: None, name: str) -> None:
    done = manage(name, "--no-such-option")
    assert done.refused, done.err
    assert "Traceback" not in done.err


UNKNOWN = [
    (("papers", "424242", "--out", "OUT"), "There is no trip 424242"),
    (("cost", "424242"), "There is no trip 424242."),
    (("day", "Nowhere Strand", "2026-06-13"), "There is no spot 'Nowhere Strand'."),
    (("day", "North Strand", "13 June"), "'13 June' is no date"),
    (("day", "North Strand", "2026-02-30"), "'2026-02-30' is no date"),
    (("papers", "first", "--out", "OUT"), "first"),
    (("papers", "99999999999999999999999", "--out", "OUT"), "There is no trip"),
    (("cost", "99999999999999999999999"), "There is no trip"),
    (("cost", "-1"), ""),
    (("cost", "first"), "first"),
    (("papers", "--out", "OUT"), ""),
    (("papers", "--next", "--out", "/dev/null/out"), "cannot be written to"),
    (("compute", "hover_power"), "There is no computation 'hover_power'."),
    (("demo", "--today", "1890-01-01"), "The demo season lies between"),
    (("demo", "--today", "yesterday"), "'yesterday' is no date"),
    (("packs", "--on", "1890-01-01"), "1890-01-01"),
    (("packs", "--on", "today"), "--on is 'today'"),
    (("lines", "--on", "2026-13-01"), "--on is '2026-13-01'"),
    (("serve", "--address", "8000"), "is not host:port"),
    (("serve", "--address", "127.0.0.1:http"), "is not host:port"),
]


@pytest.mark.parametrize(("words", "says"), UNKNOWN, ids=[" ".join(words) for words, _ in UNKNOWN])
def test_what_cannot_be_is_refused_and_nothing_is_written(
    season: object, tmp_path: Path, words: tuple[str, ...], says: str
) -> None:
    before = row_counts()
    out = tmp_path / "out"
    done = manage(*(str(out) if word == "OUT" else word for word in words))
    assert done.refused, done.err
    assert says in done.err
    assert done.out == ""
    assert row_counts() == before
    assert not out.exists()


NEEDS_A_BUSINESS = [
    ("papers", "--next", "--out", "OUT"),
    ("papers", "1", "--out", "OUT"),
    ("cost", "1"),
    ("day", "North Strand", "2026-06-13"),
]


@pytest.mark.parametrize("words", NEEDS_A_BUSINESS, ids=" ".join)
def test_an_empty_database_is_told_in_a_sentence(
    db: None, tmp_path: Path, words: tuple[str, ...]
) -> None:
    out = tmp_path / "out"
    done = manage(*(str(out) if word == "OUT" else word for word in words))
    assert done.refused, done.err
    assert not out.exists()
