"""Whole messages, English and German, tidy and not; people and numbers invented."""

import datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.pasted.party import written_party
from bookings.rules.pasted.people import split_name
from bookings.rules.pasted.reading import MOST_LETTERS, PastedEnquiry, read_enquiry

ON = datetime.date(2027, 3, 1)
ENGLISH = """From: Maeve Skerry <maeve@example.org>
To: guide@marramhead.example
Date: Mon, 1 Mar 2027 09:12:00 +0000
Subject: A day in June?

Hello Conor,

we are two adults and two children (9 and 12) and would love to come on Saturday 12 June 2027.
You can ring me on 020 910 0123 after six. My son does not swim.

Kind regards,
Maeve
"""
GERMAN = """Guten Tag,

wir sind zu viert (zwei Erwachsene, zwei Kinder im Alter von 8 und 14 Jahren) und möchten
gerne vom 12. bis 14. Juni 2027 kommen. Meine Nummer ist +49 151 12345678, sonst bitte an
jens.werf@example.org.

Viele Grüße
Jens van der Werf
"""


def _read(text: str, **how: Any) -> PastedEnquiry:
    return read_enquiry(text, on=ON, country="IE", own_mails=["guide@marramhead.example"], **how)


def test_an_english_mail_with_its_head() -> None:
    read = _read(ENGLISH)
    values = read.values()
    wish = str(values.pop("wishes"))
    assert values == {
        "given_name": "Maeve",
        "family_name": "Skerry",
        "email": "maeve@example.org",
        "phone": "+353209100123",
        "heads": 4,
        "minors": 2,
        "day_from": datetime.date(2027, 6, 12),
        "source": "mail",
        "language": "en",
    }
    assert wish.startswith("Hello Conor,")
    assert "does not swim" in wish
    assert read.ages == (9, 12)
    assert read.doubts == ()


def test_a_german_message_without_a_head() -> None:
    read = _read(GERMAN)
    values = read.values()
    del values["wishes"]
    assert values == {
        "given_name": "Jens",
        "family_name": "van der Werf",
        "email": "jens.werf@example.org",
        "phone": "+4915112345678",
        "heads": 4,
        "minors": 2,
        "day_from": datetime.date(2027, 6, 12),
        "day_until": datetime.date(2027, 6, 14),
        "language": "de",
    }
    assert read.ages == (8, 14)
    assert read.doubts == ()


def test_each_proposal_names_the_words_it_was_read_from() -> None:
    words = {each.field: each.words for each in _read(GERMAN).proposals}
    for field in ("given_name", "email", "phone", "heads", "minors", "day_from"):
        assert words[field] in " ".join(GERMAN.split()), field


def test_what_is_not_written_is_not_proposed() -> None:
    read = _read("Is there room some day in summer?")
    assert set(read.values()) == {"wishes"}
    assert read.doubts == (
        "No name was found: enter it yourself.",
        "The message does not say how many come.",
    )


def test_a_forwarded_mail_and_the_guides_own_address() -> None:
    read = _read(
        "Please look at this\n\n---------- Forwarded message ---------\n"
        "Von: Vogt, Jens <jens@example.org>\nDatum: Mo., 1. März 2027\nAn: guide@marramhead.example"
        "\nBetreff: Anfrage\n\nWir sind 5 Personen, am 3. Juli 2027, und würden gerne kommen."
    )
    values = read.values()
    assert (values["given_name"], values["family_name"]) == ("Jens", "Vogt")
    assert values["email"] == "jens@example.org"
    assert (values["heads"], values["day_from"]) == (5, datetime.date(2027, 7, 3))


def test_older_messages_below_are_left_out_and_that_is_said() -> None:
    read = _read(
        "4 people it is, on 2 July 2027.\n\nThanks\nMaeve\n\n"
        "On Mon, 1 Mar 2027 at 09:00, Guide <guide@marramhead.example> wrote:\n"
        "> How many are you? On 5 June 2027 we have room for 6 people\n"
    )
    assert read.values()["day_from"] == datetime.date(2027, 7, 2)
    assert "day_until" not in read.values()
    assert "Older messages quoted in it were left out." in read.doubts
    quoted = _read("> we are 3 people\n> on 2 July 2027\n")
    assert quoted.values()["heads"] == 3


def test_several_of_a_kind_are_said_and_the_first_is_proposed() -> None:
    read = _read(
        "We are 4 people, or 6 people if my brother comes. 2 July 2027, or else 9 July 2027. "
        "a@example.org or b@example.org, 020 910 0123 or 020 910 0124.\nBest\nTom Reilly"
    )
    values = read.values()
    assert (values["heads"], values["email"], values["phone"]) == (
        4,
        "a@example.org",
        "+353209100123",
    )
    assert (values["day_from"], values["day_until"]) == (
        datetime.date(2027, 7, 2),
        datetime.date(2027, 7, 9),
    )
    doubts = " ".join(read.doubts)
    for sentence in (
        "The number of heads is not clear",
        "Several mail addresses: a@example.org, b@example.org.",
        "Several telephone numbers: 020 910 0123, 020 910 0124.",
        "Several days are named: “2 July 2027”, “9 July 2027”.",
    ):
        assert sentence in doubts


def test_a_day_that_has_passed_is_not_proposed() -> None:
    read = _read("We came on 3 May 2019 and would like to come again. 2 people.\n\nCheers, Aoife")
    assert "day_from" not in read.values()
    assert "“3 May 2019” has passed." in read.doubts
    assert read.values()["given_name"] == "Aoife"


@pytest.mark.parametrize(
    ("text", "heads", "minors", "ages"),
    [
        ("party of 4", 4, None, ()),
        ("there are five of us", 5, None, ()),
        ("a group of seven anglers", 7, None, ()),
        ("zu dritt", 3, None, ()),
        ("drei Erwachsene und ein Kind", 4, 1, ()),
        ("2 adults, 1 child aged 7", 3, 1, (7,)),
        ("two adults and our 15-year-old daughter", 3, 1, (15,)),
        ("6 Personen, davon zwei Jugendliche (im Alter von 15 und 17)", 6, 2, (15, 17)),
        ("my two sons (9 and 12) and I", None, 2, (9, 12)),
        ("four friends, 20 years old", 4, None, (20,)),
        ("we are 4 adults", 4, None, ()),
        ("I fish since 30 years", None, None, ()),
        ("0 people", None, None, ()),
        ("500 people", None, None, ()),
    ],
)
def test_heads_minors_and_ages(
    text: str, heads: int | None, minors: int | None, ages: tuple[int, ...]
) -> None:
    read = written_party(text)
    assert (read.heads, read.minors, read.ages) == (heads, minors, ages)


def test_a_party_that_does_not_add_up_is_said() -> None:
    assert "3 minors do not fit in a party of 2." in written_party("2 people, 3 children").doubts
    found = written_party("4 people, two children (7, 9 and 11)").doubts
    assert "2 children are spoken of, and 3 ages below 18." in found
    assert (
        "More adults are spoken of than the 2 who come."
        in written_party("2 people, three adults").doubts
    )


@pytest.mark.parametrize(
    ("name", "parts"),
    [
        ("Maeve Skerry", ("Maeve", "Skerry")),
        ("Skerry, Maeve", ("Maeve", "Skerry")),
        ("Jan van der Werf", ("Jan", "van der Werf")),
        ("Anna Maria Vogt", ("Anna Maria", "Vogt")),
        ("Dr. Anna Vogt", ("Anna", "Vogt")),
        ("Maeve", ("Maeve", "")),
    ],
)
def test_names_in_two_parts(name: str, parts: tuple[str, str]) -> None:
    assert split_name(name) == parts


@pytest.mark.parametrize("text", ["", "  \n\t ", "\u200b\u200b\ufeff", "\x00\x01"])
def test_no_text_is_refused_with_a_sentence(text: str) -> None:
    with pytest.raises(ValueError, match="There is no text"):
        _read(text)


def test_a_file_pasted_by_mistake_is_refused_with_a_sentence() -> None:
    with pytest.raises(ValueError, match="20,001 letters; 20,000 is the most"):
        _read("x" * (MOST_LETTERS + 1))


def test_a_long_message_is_cut_to_what_the_form_keeps_and_that_is_said() -> None:
    read = _read("We are 4 people.\n" + "tide and wind " * 400)
    assert len(str(read.values()["wishes"])) <= 3000
    assert "its end is cut off below." in " ".join(read.doubts)


@pytest.mark.parametrize(
    "piece", ["a", "1", "1 ", "1.", "@", "a.", "12-", "a@", "> ", "From: \n", "June ", "A a ", "9,"]
)
def test_a_wall_of_one_thing_is_read_or_passed_over(piece: str) -> None:
    read = _read((piece * MOST_LETTERS)[:MOST_LETTERS])
    assert read.proposals is not None
    assert "day_until" not in read.values() or piece == "June "


@given(st.text(max_size=400))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        read = _read(text)
    except ValueError:
        assert not "".join(each for each in text if each.isprintable()).strip()
        return
    values = read.values()
    assert isinstance(values.get("heads", 1), int)
    assert len(str(values.get("given_name", ""))) <= 100
