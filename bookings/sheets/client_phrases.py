"""What the rules and the actions say, as a client reads it: in German, or in kinder English.

A price note and a settlement keep the English sentence they were made with; the client reads it in
their own language. A sentence that is not in the book is shown as it is.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

_CHARGE_DE = {
    "the whole price is charged": "der ganze Preis wird berechnet",
    "nothing is charged": "es wird nichts berechnet",
    "the deposit moves to another date, once": "die Anzahlung gilt einmal für einen anderen Tag",
    "the deposit is kept": "die Anzahlung wird einbehalten",
}
_BEGUN = "This trip has begun: nothing can be booked on it any more."
_WORDS_DE = {
    "Deposit": "Anzahlung",
    "Balance": "Restbetrag",
    "Full payment": "Gesamtbetrag",
    "Private day": "Tag für Sie allein",
    "Adult": "Erwachsene",
    "Child": "Kinder",
    "Up to the minimum charge": "Bis zum Mindestpreis",
    "Cancelled by the guide: all that was paid is refunded.": (
        "Vom Guide abgesagt: Alles Gezahlte wird erstattet."
    ),
    "Cancelled by the guide: all that was paid is moved to another date.": (
        "Vom Guide abgesagt: Alles Gezahlte geht auf einen anderen Tag."
    ),
    "This price note has run out. Ask for a new one.": (
        "Dieser Preis ist abgelaufen. Fragen Sie nach einem neuen."
    ),
    _BEGUN: "Dieser Tag hat begonnen: Er kann nicht mehr gebucht werden.",
    "This day has passed. Check the year.": "Dieser Tag ist vorbei. Prüfen Sie das Jahr.",
    "The last day wished for lies before the first one.": ("Der letzte Tag liegt vor dem ersten."),
    "The date of birth lies in the future.": "Das Geburtsdatum liegt in der Zukunft.",
    "Give a mail address or a telephone number: the guardian must be reached.": (
        "Geben Sie eine Mailadresse oder Telefonnummer an, damit wir die Person erreichen."
    ),
    "Write what you would like to change.": "Schreiben Sie, was Sie ändern möchten.",
    "We have many questions of yours already. Please ring us instead.": (
        "Wir haben schon viele Fragen von Ihnen. Bitte rufen Sie uns an."
    ),
    "It was chosen already what happens to this money.": (
        "Es wurde schon gewählt, was mit diesem Geld geschieht."
    ),
}
_CLOSED_EN = "This enquiry is closed. Write to us or ring us, and we open it again."
_GONE_EN = "This day is no longer to be had. Ask us for another one below."
_WORDS_EN = {
    _BEGUN: "This day has begun: it can no longer be booked.",
    "This case is closed. Open it again before you book.": _CLOSED_EN,
    "This case is closed. Open it again before you write a price.": _CLOSED_EN,
}
_CLOSED_DE = (
    "Diese Anfrage ist geschlossen. Schreiben Sie uns oder rufen Sie an, dann öffnen wir sie neu."
)
_GONE_DE = "Dieser Tag ist nicht mehr zu haben. Fragen Sie uns unten nach einem anderen."


def _charge_de(text: str) -> str:
    """'50 % of the deposit is kept; if the place is filled again, …', either part."""
    first, again, rest = text.partition("; if the place is filled again, ")
    if again:
        return f"{_charge_de(first)}; wird der Platz neu vergeben: {_charge_de(rest)}"
    found = re.fullmatch(r"(\S+ %) of the (price|deposit) is (?:charged|kept)", text)
    if found and found[2] == "price":
        return f"{found[1]} des Preises werden berechnet"
    if found:
        return f"{found[1]} der Anzahlung werden einbehalten"
    return _CHARGE_DE.get(text, text)


def _when_de(text: str) -> str:
    if text == "after the day of the trip":
        return "nach dem Tag"
    if text == "on the day of the trip":
        return "am Tag selbst"
    number = text.split(" ")[0]
    return f"{number} {'Tag' if number == '1' else 'Tage'} vorher"


def _step_de(text: str) -> str:
    said = _charge_de(text[0].lower() + text[1:])
    return f"{said[0].upper()}{said[1:]}."


def _cancelled_de(when: str, charge: str, why: str) -> str:
    reason = {
        ", because the place was filled again": ", weil der Platz neu vergeben wurde",
        ", because it was moved once before": ", weil sie schon einmal verlegt wurde",
        "": "",
    }[why]
    return f"Von Ihnen abgesagt, {_when_de(when)}: {_charge_de(charge)}{reason}."


_PATTERNS_DE: tuple[tuple[str, Callable[..., str]], ...] = (
    (
        r"Cancelled by the client (.+?): (.+?)"
        r"(, because the place was filled again|, because it was moved once before|)\.",
        _cancelled_de,
    ),
    (
        r"((?:Nothing|The whole price|The deposit|\S+ % of the (?:price|deposit)) .+)\.",
        _step_de,
    ),
    (r"Day for a party of (\d+)", lambda n: f"Tag für {n} {'Person' if n == '1' else 'Personen'}"),
    (
        r"Only (\d+) of (\d+) places (?:is|are) left, and (\d+) (?:is|are) asked for\..*",
        lambda left, places, asked: (
            f"Von {places} Plätzen {'ist' if left == '1' else 'sind'} noch {left} frei, und Sie "
            f"brauchen {asked}. Fragen Sie uns "
            "nach einem anderen Tag."
        ),
    ),
    (
        r"All (\d+) places of this trip are taken\..*",
        lambda n: f"Alle {n} Plätze dieses Tages sind vergeben. Fragen Sie nach einem anderen Tag.",
    ),
    (
        r"The only place of this trip is taken\..*",
        lambda: "Der einzige Platz dieses Tages ist vergeben. Fragen Sie nach einem anderen Tag.",
    ),
    (r"This trip is \w+: nothing can be booked\.", lambda: _GONE_DE),
    (r".+ is for one party a day, and this day has one\..*", lambda: _GONE_DE),
    (r"This case is closed\..*", lambda: _CLOSED_DE),
    (
        r"(\d+) minors do not fit in a party of (\d+)\.",
        lambda minors, heads: f"{minors} unter 18 sind mehr als die {heads} Personen insgesamt.",
    ),
    (r"The year (\d+) is long past\..*", lambda year: f"{year} ist lange vorbei. Prüfen Sie das."),
    (
        r"(.+) is named as a guardian already\.",
        lambda name: f"{name} ist schon eingetragen.",
    ),
    (r"Born in (\d+)\? Check the year of birth\.", lambda y: f"{y} geboren? Prüfen Sie das Jahr."),
    (
        r"(.+) takes (\d+) at most, not (\d+)\..*",
        lambda offer, most, asked: f"{offer} ist für höchstens {most} Personen, nicht {asked}.",
    ),
    (
        r"'(.+)' is no telephone number of \w+\..*",
        lambda typed: (
            f"„{typed}“ ist keine Telefonnummer. Schreiben Sie sie mit Landesvorwahl, etwa "
            "+353 1 555 0100."
        ),
    ),
    (
        r"Everybody of this party is named: it has room for (\d+)\..*",
        lambda n: f"Alle sind genannt: Sie sind {n}. Kommt jemand dazu? Fragen Sie uns.",
    ),
)
_PATTERNS_EN: tuple[tuple[str, Callable[..., str]], ...] = (
    (r"This trip is \w+: nothing can be booked\.", lambda: _GONE_EN),
    (r".+ is for one party a day, and this day has one\..*", lambda: _GONE_EN),
    (
        r"Everybody of this party is named: it has room for (\d+)\..*",
        lambda n: f"Everybody of this party is named: you are {n}. Is there one more? Ask us.",
    ),
)
_BOOK: Mapping[str, tuple[Mapping[str, str], tuple[tuple[str, Callable[..., str]], ...]]] = {
    "en": (_WORDS_EN, _PATTERNS_EN),
    "de": (_WORDS_DE, _PATTERNS_DE),
}


def said_in(language: str, sentence: str) -> str:
    """A sentence of the house as a client reads it; as it is where the book does not know it."""
    words, patterns = _BOOK.get(language, _BOOK["en"])
    if sentence in words:
        return words[sentence]
    for pattern, saying in patterns:
        found = re.fullmatch(pattern, sentence, re.DOTALL)
        if found:
            return saying(*found.groups())
    return sentence
