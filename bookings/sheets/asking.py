"""The words with which somebody is asked to sign: for a mail, a text message, or to be read out."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from urllib.parse import quote

from babel.dates import format_date

from bookings.models import Booking, Business, Trip
from bookings.queries.signers import Signer, send_to
from bookings.sheets.sign_words import WORDS, words_of


@dataclass(frozen=True, slots=True)
class AskingText:
    """One message: to whom, in which language, with which words; `reason` says why the booker is
    written to in place of who signs."""

    name: str
    mail: str
    phone: str
    language: str
    subject: str
    body: str
    link: str
    reason: str = ""

    @property
    def mailto(self) -> str:
        """A link that opens the message in the mail program of this device."""
        return f"mailto:{quote(self.mail)}?subject={quote(self.subject)}&body={quote(self.body)}"


def asking_text(
    *,
    signer: Signer,
    names: tuple[str, ...],
    link: str,
    until: datetime.datetime,
    trip: Trip,
    business: Business,
    language: str,
) -> AskingText:
    """The message that asks one signer, in their language; through the booker, to be handed on,
    where the signer has no address of their own."""
    words, to = words_of(language), send_to(signer)
    spoken = language if language in WORDS else "en"
    own = business.locale if business.locale.startswith(spoken) else spoken
    fields = {
        "name": to.name,
        "signer": signer.name,
        "names": ", ".join(names),
        "day": format_date(trip.starts_at.astimezone(business.tz), "full", locale=own),
        "until": format_date(until.astimezone(business.tz), "long", locale=own),
        "link": link,
        "guide": business.guide_name,
    }
    key = "ask_booker" if to.booker else "ask"
    return AskingText(
        name=to.name,
        mail=to.email,
        phone=to.phone,
        language=spoken,
        subject=words[f"{key}_subject"].format(**fields),
        body=words[f"{key}_body"].format(**fields),
        link=link,
        reason=through_booker(signer) if to.booker else "",
    )


def through_booker(signer: Signer) -> str:
    """Why the guide writes to the booker."""
    return f"for {signer.name}, of whom neither mail nor telephone is known"


def languages_of(trip: Trip) -> dict[int, str]:
    """The booker's language of each party on a trip, by the party's number."""
    rows = Booking.objects.filter(trip=trip).values_list("party", "party__client__language")
    return {party: (told or "en").replace("_", "-").split("-")[0] for party, told in rows}
