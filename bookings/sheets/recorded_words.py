"""What was recorded of a signature in our own fixed words, said in the language of the text.

The record keeps the words it was sealed with; only what is shown of it is put into the language of
whoever reads the form. What is not one of our fixed sentences is shown as it was recorded.
"""

from __future__ import annotations

import re

_MONTHS_DE = {
    "January": "Januar",
    "February": "Februar",
    "March": "März",
    "April": "April",
    "May": "Mai",
    "June": "Juni",
    "July": "Juli",
    "August": "August",
    "September": "September",
    "October": "Oktober",
    "November": "November",
    "December": "Dezember",
}
_DE: tuple[tuple[str, str], ...] = (
    (
        r"private link sent to (.+), who booked, to be handed on",
        r"privater Link, gesendet an \1, wo gebucht wurde, zum Weitergeben",
    ),
    (r"private link sent to (.+)", r"privater Link, gesendet an \1"),
    (r"private link handed over by the guide", "privater Link, vom Guide übergeben"),
    (r"in person by the guide, at the meeting point", "persönlich vom Guide, am Treffpunkt"),
    (r"in person by (.+), who keeps the sheet", r"persönlich von \1, mit Verwahrung des Bogens"),
    (r"the guide's phone, handed over with link (\d+)", r"Telefon des Guides, mit Link \1"),
    (r"pen on paper", "Stift auf Papier"),
    (r"link (\d+) of (\d+) (\w+) (\d{4})", r"Link \1 vom \2. \3 \4"),
    (r"yes", "ja"),
    (r"no", "nein"),
)


def recorded_in(language: str, words: str) -> str:
    """Our own recorded words in a language, or as they are."""
    if language != "de":
        return words
    for pattern, german in _DE:
        if re.fullmatch(pattern, words):
            told = re.sub(pattern, german, words)
            for month, name in _MONTHS_DE.items():
                told = told.replace(f". {month} ", f". {name} ")
            return told
    return words
