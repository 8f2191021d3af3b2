"""The words with which somebody is asked to sign: for a mail, a text message, or to be read out."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from urllib.parse import quote

from babel.dates import format_date

from bookings.models import Booking, Business, Trip
from bookings.sheets.sign_words import WORDS, words_of


@dataclass(frozen=True, slots=True)
class AskingText:
    """One message: to whom, in which language, with which words."""

    name: str
    mail: str
    phone: str
    language: str
    subject: str
    body: str
    link: str

    @property
    def mailto(self) -> str:
        """A link that opens the message in the mail program of this device."""
        return f"mailto:{quote(self.mail)}?subject={quote(self.subject)}&body={quote(self.body)}"


def asking_text(
    *,
    name: str,
    mail: str,
    phone: str,
    names: tuple[str, ...],
    link: str,
    until: datetime.datetime,
    trip: Trip,
    business: Business,
    language: str,
) -> AskingText:
    """The message that asks one signer, in their language."""
    words = words_of(language)
    spoken = language if language in WORDS else "en"
    own = business.locale if business.locale.startswith(spoken) else spoken
    fields = {
        "name": name,
        "names": ", ".join(names),
        "day": format_date(trip.starts_at.astimezone(business.tz), "full", locale=own),
        "until": format_date(until.astimezone(business.tz), "long", locale=own),
        "link": link,
        "guide": business.guide_name,
    }
    return AskingText(
        name=name,
        mail=mail,
        phone=phone,
        language=spoken,
        subject=words["ask_subject"].format(**fields),
        body=words["ask_body"].format(**fields),
        link=link,
    )


def languages_of(trip: Trip) -> dict[int, str]:
    """The booker's language of each party on a trip, by the party's number."""
    rows = Booking.objects.filter(trip=trip).values_list("party", "party__client__language")
    return {party: (told or "en").replace("_", "-").split("-")[0] for party, told in rows}
