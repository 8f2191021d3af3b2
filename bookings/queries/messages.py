"""Questions about the words of our messages and the rules by which they go out."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Q, QuerySet

from bookings.models import Business, Message, MessageKind, MessageRule, MessageText, QuietHours
from bookings.rules.message_words import house_text
from bookings.rules.messages import Quiet


@dataclass(frozen=True, slots=True)
class Words:
    """Subject and text of one kind in one language, and whether they are the guide's own."""

    subject: str
    body: str
    own: bool

    def same(self, subject: str, body: str) -> bool:
        """Whether these are the same words, however a browser sent their line breaks."""
        return subject.split() == self.subject.split() and body.split() == self.body.split()


@dataclass(frozen=True, slots=True)
class When:
    """Whether a kind goes out by itself, and how many hours before or after its event."""

    kind: str
    automatic: bool
    hours: int
    event: str
    again_hours: int = 0
    most: int = 1

    @property
    def repeats(self) -> bool:
        """Whether it is a kind that is said again, counted in days."""
        return self.kind in _AGAIN

    @property
    def words(self) -> str:
        """When it goes, in words."""
        if not self.repeats:
            return f"{self.hours} {self.event}" if self.hours else self.event
        first = f"{_days(self.hours)} {self.event}"
        if self.most == 1:
            return f"{first}, once"
        return f"{first}, again every {_days(self.again_hours)}, {self.most} times at most"


# The house's rules: hours, and what they are counted from. Kinds that are not here go by hand.
EVENTS = {
    "confirmation": "when a booking is confirmed, and whenever its calendar entry changes",
    "price_note": "when the price note is sent",
    "forms": "hours before pick-up",
    "balance": "hours before the balance is due",
    "reminder": "after a sum was due and its bill was written",
    "go": "when the decision on the day is 'go'",
    "hold": "when the decision on the day is 'hold'",
    "trip_sheet": "hours before pick-up",
    "thanks": "hours after drop-off",
}
# These carry an invitation and follow the rule of the confirmation.
WITH_INVITES = ("change", "taken_off", "call_off")
_HOURS = {"forms": 7 * 24, "balance": 48, "reminder": 5 * 24, "trip_sheet": 48, "thanks": 20}
# Said again after so many hours, so many times at most [house].
_AGAIN = {"reminder": (7 * 24, 3)}


def _days(hours: int) -> str:
    return f"{hours // 24} day{'' if hours // 24 == 1 else 's'}"


def words_of(kind: str, language: str) -> Words:
    """The guide's own words in this language, else the house's."""
    own = MessageText.objects.filter(kind=kind, language=language.split("_")[0]).first()
    if own is not None:
        return Words(own.subject, own.body, own=True)
    return Words(*house_text(kind, language), own=False)


def rules() -> dict[str, When]:
    """Every kind that may go out by itself, with its rule."""
    rows = {row.kind: row for row in MessageRule.objects.all()}
    found = {}
    for kind, event in EVENTS.items():
        row = rows.get(kind)
        again, most = (row.again_hours, row.most) if row else _AGAIN.get(kind, (0, 1))
        found[kind] = When(
            kind,
            automatic=row.automatic if row else True,
            hours=row.hours if row else _HOURS.get(kind, 0),
            event=event,
            again_hours=again,
            most=most,
        )
    return found


def mails_of_quote(pk: int) -> QuerySet[Message]:
    """The mails that carried a price note, by rule or by hand, newest first."""
    own = Q(cause=f"price_note {pk}") | Q(cause__startswith=f"price_note {pk} ")
    return Message.objects.filter(own, kind=MessageKind.PRICE_NOTE).defer("mail", "body")


def by_hand_of_quote(pk: int) -> QuerySet[Message]:
    """Those of them that somebody sent by hand."""
    return mails_of_quote(pk).filter(cause__contains=" by hand ")


def quiet_hours() -> Quiet:
    row = QuietHours.objects.first() or QuietHours()
    return Quiet(row.quiet_from, row.quiet_until, Business.objects.get().zone)


def kinds() -> list[tuple[str, str]]:
    return list(MessageKind.choices)
