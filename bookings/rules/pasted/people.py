"""Who writes: name, mail and telephone, read out of a message with or without its head."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass

import phonenumbers

_MAIL = re.compile(r"(?<![\w.+-])[\w.+-]{1,64}@[\w-]+(?:\.[\w-]+)+", re.UNICODE)
_MAIL_IN_MARKS = re.compile(r"[<(\[]?\s*(?:mailto:)?[\w.+-]+@[\w.-]+\s*[>)\]]?")
_HEAD = re.compile(
    r"^[ \t>*]*(from|von|reply-to|antwort an|to|an|cc|date|datum|sent|gesendet|subject|betreff)"
    r"[ \t*]*:[ \t*]*(.*)$",
    re.IGNORECASE,
)
_SENDER = {"from", "von", "reply-to", "antwort an"}
_CLOSING = re.compile(
    r"^(?:(?:kind|best|warm|many)?\s*(?:regards|wishes)|many thanks|thanks(?: a lot| in advance)?|"
    r"thank you|cheers|yours(?: \w+)?|sincerely|all the best|best|slán|"
    r"(?:mit\s+)?(?:freundlich|best|lieb|viel|herzlich|schön)\w*\s+gr(?:ü|ue)(?:ß|ss)e?n?|"
    r"gr(?:ü|ue)(?:ß|ss)e?|lg|mfg|vg|vielen dank|danke|petri heil)\b(?P<rest>[^\n]*)$",
    re.IGNORECASE,
)
_PART = r"[^\W\d_][^\W\d_]*(?:['’-][^\W\d_]+)*\.?"
_PARTICLE = r"(?:van|von|der|den|de|da|di|du|la|le|del|zu|ten|ter|mac|mc|ní|ó|o)"
_CAPITAL = rf"(?:(?![a-zäöüßáéíóúàèç]){_PART})"
_FULL_NAME = re.compile(rf"{_CAPITAL}(?:\s+(?:(?i:{_PARTICLE})|{_CAPITAL})){{0,4}}")
_SAYS_NAME = re.compile(
    r"\b(?i:my name is|my name's|name\s*:|this is|i am|i'm|mein name ist|ich hei(?:ß|ss)e|ich bin)"
    rf"\s+(?:(?:Mr|Mrs|Ms|Dr|Herr|Frau)\.?\s+)?({_CAPITAL}(?:\s+(?:(?i:{_PARTICLE})\s+)*{_CAPITAL}){{0,3}})"
)
_TITLE = re.compile(r"^(?:mr|mrs|ms|dr|prof|herr|frau)\.?\s+", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Writer:
    """Who a message is from, as far as it says so; empty text where it does not."""

    given_name: str
    family_name: str
    name_words: str
    email: str
    email_words: str
    phone: str
    phone_words: str
    doubts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Letter:
    """A message in its parts: the lines of its head by name, and what is written below."""

    head: tuple[tuple[str, str], ...]
    body: str

    def senders(self) -> list[str]:
        return [value for name, value in self.head if name in _SENDER and value]


def opened(text: str) -> Letter:
    """A pasted message with its head lines taken off, wherever a forwarding has put them.

    Only two head lines or more together are a head: 'To: be honest' in a letter is none.
    """
    head: list[tuple[str, str]] = []
    body: list[str] = []
    block: list[tuple[str, tuple[str, str]]] = []

    def shut() -> None:
        if len(block) > 1 or any(name in _SENDER and "@" in value for _, (name, value) in block):
            head.extend(pair for _, pair in block)
        else:
            body.extend(line for line, _ in block)
        block.clear()

    for line in text.split("\n"):
        match = _HEAD.match(line)
        if match:
            block.append((line, (match[1].lower(), match[2].strip())))
            continue
        shut()
        body.append(line)
    shut()
    return Letter(tuple(head), "\n".join(body).strip("\n"))


def writer_of(letter: Letter, *, country: str, own_mails: Collection[str] = ()) -> Writer:
    """The one who writes. `country` is where a number without its country code is at home.

    The guide's own addresses in `own_mails` are passed over. The sender's line counts more than
    what the letter says; between several the first is proposed, and the doubt says so.
    """
    doubts: list[str] = []
    mail, mail_words = _mail(letter, own_mails, doubts)
    phone, phone_words = _phone(letter.body, country, doubts)
    given, family, name_words = _name(letter, own_mails)
    if not given:
        doubts.append("No name was found: enter it yourself.")
    return Writer(given, family, name_words, mail, mail_words, phone, phone_words, tuple(doubts))


def _mail(letter: Letter, own: Collection[str], doubts: list[str]) -> tuple[str, str]:
    known = {mail.lower() for mail in own}
    for sender in letter.senders():
        for found in _MAIL.findall(sender):
            if found.lower() not in known:
                return found, sender
    mails = dict.fromkeys(
        found.rstrip(".") for found in _MAIL.findall(letter.body) if found.lower() not in known
    )
    if not mails:
        return "", ""
    first, *others = mails
    if others:
        doubts.append(f"Several mail addresses: {', '.join(mails)}. The first stands in the form.")
    return first, first


def _phone(body: str, country: str, doubts: list[str]) -> tuple[str, str]:
    """Numbers of a known range; with a code in front they need only be of a possible length."""
    leniency = phonenumbers.Leniency
    found: dict[str, str] = {}
    for level in (leniency.VALID, leniency.POSSIBLE):
        for match in phonenumbers.PhoneNumberMatcher(body, country, leniency=level):
            written = match.raw_string.strip()
            if level == leniency.POSSIBLE and not written.startswith(("+", "0", "(0", "(+")):
                continue
            form = phonenumbers.PhoneNumberFormat.E164
            found.setdefault(phonenumbers.format_number(match.number, form), written)
    if not found:
        return "", ""
    (number, words), *others = found.items()
    if others:
        doubts.append(
            f"Several telephone numbers: {', '.join(found.values())}. The first stands in the form."
        )
    return number, words


def _name(letter: Letter, own: Collection[str]) -> tuple[str, str, str]:
    known = {mail.lower() for mail in own}
    for sender in letter.senders():
        if any(found.lower() in known for found in _MAIL.findall(sender)):
            continue
        said = re.sub(r"[<(\[]?\s*(?:mailto:)?[\w.+-]+@[\w.-]+\s*[>)\]]?", "", sender).strip(
            " \"'*,;"
        )
        if _FULL_NAME.fullmatch(said.replace(",", "")):
            return *split_name(said), sender
    says = _SAYS_NAME.search(letter.body)
    if says:
        return *split_name(says[1]), " ".join(says.group().split())
    signed = _signature(letter.body)
    return (*split_name(signed), signed) if signed else ("", "", "")


def _signature(body: str) -> str:
    """The name under the closing of a letter, on its own line or behind the closing words."""
    lines = [line.strip() for line in body.split("\n")]
    for number, line in enumerate(lines):
        closing = _CLOSING.match(line)
        if not closing:
            continue
        rest = closing["rest"].strip(" ,.!-–—")
        for said in [rest, *[each for each in lines[number + 1 :] if each][:1]]:
            name = _TITLE.sub("", said.strip(" ,.!-–—*"))
            if name and len(name.split()) <= 4 and _FULL_NAME.fullmatch(name):
                return name
    return ""


def split_name(name: str) -> tuple[str, str]:
    """Given and family name: 'Skerry, Maeve', 'Maeve Skerry' and 'Jan van der Werf' alike.

    A small particle belongs to the family name. A single word is the given name.
    """
    whole = _TITLE.sub("", " ".join(name.split())).rstrip(".")
    if "," in whole:
        family, _, given = whole.partition(",")
        return given.strip(), family.strip()
    words = whole.split()
    for at in range(1, len(words) - 1):
        if words[at].islower():
            return " ".join(words[:at]), " ".join(words[at:])
    return " ".join(words[:-1]) or whole, words[-1] if len(words) > 1 else ""
