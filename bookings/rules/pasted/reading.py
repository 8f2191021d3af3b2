"""The whole of a pasted message as proposals for the enquiry form. Nothing here is decided."""

from __future__ import annotations

import datetime
import re
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass

from bookings.rules.pasted.dates import WrittenDay, WrittenDays, written_days
from bookings.rules.pasted.party import WrittenParty, written_party
from bookings.rules.pasted.people import Letter, Writer, opened, writer_of

MOST_LETTERS = 20_000  # a long thread of mails; more is a file pasted by mistake
_MOST_WISH = 3_000  # as long as the form keeps
_QUOTED_FROM = re.compile(
    r"^(?:On\s.{5,120}\swrote:|Am\s.{5,120}\sschrieb\b.{0,120}:|-{2,}\s*(?:original message|"
    r"ursprüngliche nachricht|forwarded message|weitergeleitete nachricht)\s*-{2,})\s*$",
    re.IGNORECASE,
)
_FORWARDED = re.compile(r"forwarded|weitergeleitet", re.IGNORECASE)
_GERMAN = re.compile(
    r"\b(?:und|wir|ich|der|die|das|ist|nicht|mit|für|sind|möchten|gerne|ein|eine|zu|von|vom|bitte|"
    r"am|im|grüße|haben|würden)\b"
)
_ENGLISH = re.compile(
    r"\b(?:and|we|i|the|is|not|with|for|are|would|like|please|of|to|on|in|have|my|our|you)\b"
)


@dataclass(frozen=True, slots=True)
class Proposal:
    """One field of the form with its proposed value and the words it was read from."""

    field: str
    value: str | int | datetime.date
    words: str


@dataclass(frozen=True, slots=True)
class PastedEnquiry:
    """What a message proposes, field by field, and a sentence for each thing in doubt."""

    proposals: tuple[Proposal, ...]
    ages: tuple[int, ...]
    doubts: tuple[str, ...]

    def values(self) -> dict[str, str | int | datetime.date]:
        return {each.field: each.value for each in self.proposals}


def read_enquiry(
    text: str,
    *,
    on: datetime.date,
    country: str,
    own_mails: Collection[str] = (),
    day_first: bool = True,
) -> PastedEnquiry:
    """Proposals for the enquiry form from a pasted mail or message, as read on the day `on`.

    What is not written is not proposed. Errors: an empty text, one of more than 20,000 letters.
    """
    letter = opened(_plain(text))
    body, doubts = _without_quoted(letter.body)
    days = written_days(body, on=on, day_first=day_first)
    dateless = _blanked(body, days)
    party = written_party(dateless)
    writer = writer_of(Letter(letter.head, dateless), country=country, own_mails=own_mails)
    first, last, day_doubts = _span(days, on)
    wish = body.strip()
    if len(wish) > _MOST_WISH:
        doubts.append("The message is longer than the wishes may be; its end is cut off below.")
    proposals = [
        *_of_writer(writer),
        *_of_party(party),
        *_of_days(first, last),
        Proposal("wishes", wish[:_MOST_WISH], "the message"),
        *([Proposal("source", "mail", "its head")] if letter.head else []),
        *_of_language(body),
    ]
    doubts += [*writer.doubts, *party.doubts, *day_doubts]
    if party.heads is None and not party.minors:
        doubts.append("The message does not say how many come.")
    return PastedEnquiry(
        tuple(each for each in proposals if each.value != ""),
        party.ages,
        tuple(dict.fromkeys(doubts)),
    )


def _plain(text: str) -> str:
    """Line ends and blanks of one kind, without marks that do not show."""
    if len(text) > MOST_LETTERS:
        raise ValueError(
            f"The text has {len(text):,} letters; {MOST_LETTERS:,} is the most. Paste one message."
        )
    text = unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\r", "\n"))
    kept = "".join(
        " " if unicodedata.category(letter) == "Zs" or letter == "\t" else letter
        for letter in text
        if letter == "\n"
        or letter == "\t"
        or unicodedata.category(letter) not in {"Cc", "Cf", "Cs"}
    )
    if not kept.strip():
        raise ValueError("There is no text. Paste the mail or the message into the field.")
    return kept


def _without_quoted(body: str) -> tuple[str, list[str]]:
    """The newest message of a thread; the quoted ones below it are left out, and that is said."""
    lines, left_out = body.split("\n"), False
    for number, line in enumerate(lines):
        if _QUOTED_FROM.match(line.strip()):
            answered = not _FORWARDED.search(line) and "".join(lines[:number]).strip()
            left_out = bool(answered)
            lines = lines[:number] if answered else lines[:number] + lines[number + 1 :]
            break
    own = [line for line in lines if not line.lstrip().startswith(">")]
    if not "".join(own).strip():  # everything is quoted: then the quotation is the message
        own = [line.lstrip("> ") for line in lines]
    left_out = left_out or len(own) < len(lines)
    return "\n".join(own).strip(), ["Older messages quoted in it were left out."] * left_out


def _blanked(body: str, days: WrittenDays) -> str:
    """The text without its dates: the 4 of '4 June' is nobody, and no telephone."""
    letters = list(body)
    for each in days.days:
        letters[each.start : each.end] = " " * (each.end - each.start)
    return "".join(letters)


def _span(
    days: WrittenDays, on: datetime.date
) -> tuple[WrittenDay | None, WrittenDay | None, list[str]]:
    """First and last day wished for; days that have passed are none."""
    doubts = list(days.doubts)
    gone = [each for each in days.days if each.day < on]
    doubts += [f"“{each.words}” has passed." for each in gone]
    ahead = sorted((each for each in days.days if each.day >= on), key=lambda each: each.day)
    if not ahead:
        return None, None, doubts
    if len({each.words for each in ahead}) > 1:
        said = ", ".join(dict.fromkeys(f"“{each.words}”" for each in ahead))
        doubts.append(f"Several days are named: {said}. The form takes the first to the last.")
    return ahead[0], ahead[-1], doubts


def _of_writer(writer: Writer) -> list[Proposal]:
    return [
        Proposal("given_name", writer.given_name[:100], writer.name_words),
        Proposal("family_name", writer.family_name[:100], writer.name_words),
        Proposal("email", writer.email, writer.email_words),
        Proposal("phone", writer.phone, writer.phone_words),
    ]


def _of_party(party: WrittenParty) -> list[Proposal]:
    found = []
    if party.heads is not None:
        found.append(Proposal("heads", party.heads, party.heads_words))
    if party.minors is not None:
        found.append(Proposal("minors", party.minors, party.minors_words))
    return found


def _of_days(first: WrittenDay | None, last: WrittenDay | None) -> list[Proposal]:
    if first is None or last is None:
        return []
    found = [Proposal("day_from", first.day, first.words)]
    if last.day != first.day:
        found.append(Proposal("day_until", last.day, last.words))
    return found


def _of_language(body: str) -> list[Proposal]:
    """The language of the letter, where its small words are clearly of one."""
    german, english = (len(small.findall(body.lower())) for small in (_GERMAN, _ENGLISH))
    if german >= 3 and german > 2 * english:
        return [Proposal("language", "de", "its words")]
    if english >= 3 and english > 2 * german:
        return [Proposal("language", "en", "its words")]
    return []
