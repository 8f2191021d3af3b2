"""How many come and how old the young ones are, read out of a message."""

from __future__ import annotations

import re
from dataclasses import dataclass

_NUMBERS = {
    name: number
    for number, names in enumerate(
        (
            "one a an ein eine einen einer",
            "two zwei zwo",
            "three drei",
            "four vier",
            "five fünf fuenf",
            "six sechs",
            "seven sieben",
            "eight acht",
            "nine neun",
            "ten zehn",
            "eleven elf",
            "twelve zwölf zwoelf",
        ),
        start=1,
    )
    for name in names.split()
}
_ARTICLES = {"a", "an", "ein", "eine", "einen", "einer"}
_TOGETHER = {  # zu zweit, zu dritt ...
    "zweit": 2, "dritt": 3, "viert": 4, "fünft": 5, "sechst": 6, "siebt": 7, "acht": 8, "neunt": 9,
    "zehnt": 10,
}  # fmt: skip
_WORDS = "|".join(sorted((set(_NUMBERS) - _ARTICLES), key=len, reverse=True))
_N = rf"(\d{{1,3}}|{_WORDS})"
_ONE_TOO = rf"(\d{{1,3}}|{_WORDS}|{'|'.join(sorted(_ARTICLES, key=len, reverse=True))})"
_KIND = r"(?:\s+(?:more|other|keen|young|small|little|junge|kleine|weitere))?\s+"
_ALL = re.compile(
    rf"\b(?:we\s+(?:are|would\s+be|will\s+be)|we'?re|there\s+(?:are|would\s+be|will\s+be)|party\s+of|"
    rf"group\s+of|wir\s+(?:sind|wären|waeren)|gruppe\s+von)\s+(?:about\s+|a\s+(?:party|group)\s+of\s+)?"
    rf"{_N}\b(?!\s*(?:%|adults?\b|children\b|kids\b|erwachsene|kinder|hours?|stunden|days?|tage|o'?clock|uhr|km|miles))"
    rf"|\b{_N}{_KIND}(?:people|persons?|pax|of\s+us|anglers?|guests?|friends|heads|personen|leute|angler|gäste)\b"
    rf"|\bzu\s+({'|'.join(_TOGETHER)})\b",
    re.IGNORECASE,
)
_ADULTS = re.compile(
    rf"\b{_ONE_TOO}{_KIND}(?:adults?|grown-?ups?|erwachsene[rn]?)\b", re.IGNORECASE
)
_CHILDREN = re.compile(
    rf"\b{_ONE_TOO}{_KIND}(?:children|child|kids?|sons?|daughters?|boys?|girls?|teenagers?|minors?|"
    r"kind(?:er|ern)?|söhnen?|sohn|töchtern?|tochter|jungs?|jungen|mädchen|jugendliche[rn]?)\b",
    re.IGNORECASE,
)
_LIST = r"(?<![\d,])(\d{1,2}(?:\s?(?:,|and|&|und|/)\s?\d{1,2}){0,11})"
_AGES = (
    re.compile(rf"\b(?:aged?|ages|im\s+alter\s+von)\s*:?\s*{_LIST}\b", re.IGNORECASE),
    re.compile(
        rf"\b{_LIST}[\s-]*(?:years?[\s-]*old|yrs?[\s-]*old|y/?o\b|years?\s+of\s+age|jahren?\s+alt|"
        r"-?jährige[rns]?|jahre\b(?!\s+(?:ist|her|lang|später)))",
        re.IGNORECASE,
    ),
    # The bracket behind a child: my two sons (9 and 12).
    re.compile(
        rf"(?:children|child|kids?|sons?|daughters?|boys?|girls?|kind(?:er)?|söhnen?|sohn|töchtern?|"
        rf"tochter|jungs|mädchen)\s*\(\s*{_LIST}\s*(?:years?|yrs?|jahren?|j\.?)?\s*\)",
        re.IGNORECASE,
    ),
)
_ADULT_AT = 18
_MOST = 60


@dataclass(frozen=True, slots=True)
class WrittenParty:
    """Heads and minors where the message says them, the ages named, and what is in doubt.

    `heads` and `minors` are None where nothing certain is written.
    """

    heads: int | None
    heads_words: str
    minors: int | None
    minors_words: str
    ages: tuple[int, ...]
    doubts: tuple[str, ...]


def written_party(text: str) -> WrittenParty:
    """How many come by the words of `text`; numbers as digits or as words to twelve.

    Heads are what is called the whole party, else adults and children together. Minors are the ages
    below 18 or, without ages, the children counted. Source: house rules.
    """
    ages, age_words = _ages(text)
    wholes = _counts(_ALL, text)
    adults, children = _counts(_ADULTS, text), _counts(_CHILDREN, text)
    young = sum(age < _ADULT_AT for age in ages)
    counted = max((count for count, _ in children), default=0)
    minors = young or counted or None
    minors_words = age_words if young else (children[0][1] if children else "")
    heads, heads_words = _heads(wholes, adults, counted or young, children)
    doubts = [*_unclear(wholes, adults, heads), *_few(heads, minors)]
    if young and counted and young != counted:
        spoken = "1 child is" if counted == 1 else f"{counted} children are"
        ages_below = "1 age" if young == 1 else f"{young} ages"
        doubts.append(f"{spoken} spoken of, and {ages_below} below {_ADULT_AT}.")
    if heads is None and minors:
        some = "1 minor is" if minors == 1 else f"{minors} minors are"
        doubts.append(f"{some} spoken of, but not how many come in all.")
    return WrittenParty(heads, heads_words, minors, minors_words, ages, tuple(doubts))


def _number(word: str) -> int:
    return int(word) if word.isdigit() else _NUMBERS.get(word.lower()) or _TOGETHER[word.lower()]


def _counts(pattern: re.Pattern[str], text: str) -> list[tuple[int, str]]:
    """Each number with its words, in their order; nobody and a crowd are no party."""
    found = []
    for match in pattern.finditer(text):
        count = _number(next(group for group in match.groups() if group))
        if 0 < count <= _MOST:
            found.append((count, " ".join(match.group().split())))
    return found


def _ages(text: str) -> tuple[tuple[int, ...], str]:
    found: list[int] = []
    words: list[str] = []
    taken: list[tuple[int, int]] = []
    for pattern in _AGES:
        for match in pattern.finditer(text):
            if any(match.start() < end and start < match.end() for start, end in taken):
                continue
            taken.append(match.span())
            found += [int(each) for each in re.findall(r"\d+", match[1])]
            words.append(" ".join(match.group().split()))
    return tuple(found), ", ".join(words)


def _heads(
    wholes: list[tuple[int, str]],
    adults: list[tuple[int, str]],
    young: int,
    children: list[tuple[int, str]],
) -> tuple[int | None, str]:
    if wholes:
        return wholes[0]
    if not adults:
        return None, ""
    said = adults[:1] + children[:1]
    return adults[0][0] + young, ", ".join(words for _, words in said)


def _unclear(
    wholes: list[tuple[int, str]], adults: list[tuple[int, str]], heads: int | None
) -> list[str]:
    numbers = {count for count, _ in wholes}
    found = []
    if len(numbers) > 1:
        said = ", ".join(f"“{words}”" for _, words in wholes)
        found.append(f"The number of heads is not clear: {said}. The first stands in the form.")
    if heads is not None and any(count > heads for count, _ in adults):
        found.append(f"More adults are spoken of than the {heads} who come.")
    return found


def _few(heads: int | None, minors: int | None) -> list[str]:
    if heads is not None and minors and minors > heads:
        return [f"{minors} minors do not fit in a party of {heads}."]
    return []
