"""The tables of what is agreed with people, one noun a file."""

from bookings.models.bank import BankLine
from bookings.models.business import Business
from bookings.models.client import Client
from bookings.models.health import (
    EncryptedJSONField,
    HealthLog,
    HealthNote,
    ToldNote,
    Unreadable,
)
from bookings.models.invite import FeedLink, TripAttendee, TripInvite
from bookings.models.keys import HealthKeyError
from bookings.models.merge import ClientMerge
from bookings.models.message import MessageRule, MessageText, QuietHours
from bookings.models.money import MoneyEntry, MoneyLine, MoneySeries, MoneyShare, Settlement
from bookings.models.offer import (
    MOST_HEADS,
    CancellationLadder,
    LadderStep,
    Offer,
    OfferExtra,
    OfferStep,
)
from bookings.models.outbox import Message, MessageKind, SchedulerRun, WorkerRound
from bookings.models.party import Participant, Party
from bookings.models.party_link import PartyLink
from bookings.models.quote import Quote, QuoteLine
from bookings.models.retention import Hold, RetentionRule, RetentionRun
from bookings.models.signature import (
    BrowserTrace,
    ChainHead,
    ChainRecord,
    OwedCopy,
    PaperSheet,
    Signature,
)
from bookings.models.signing import Guardian, SigningLink, SigningRules, TripGuide
from bookings.models.text import Again, TextDraft, TextKind, TextVersion
from bookings.models.trip import Booking, Trip
from bookings.models.waiting import Ask, Waiting

__all__ = [
    "MOST_HEADS",
    "Again",
    "Ask",
    "BankLine",
    "Booking",
    "BrowserTrace",
    "Business",
    "CancellationLadder",
    "ChainHead",
    "ChainRecord",
    "Client",
    "ClientMerge",
    "EncryptedJSONField",
    "FeedLink",
    "Guardian",
    "HealthKeyError",
    "HealthLog",
    "HealthNote",
    "Hold",
    "LadderStep",
    "Message",
    "MessageKind",
    "MessageRule",
    "MessageText",
    "MoneyEntry",
    "MoneyLine",
    "MoneySeries",
    "MoneyShare",
    "Offer",
    "OfferExtra",
    "OfferStep",
    "OwedCopy",
    "PaperSheet",
    "Participant",
    "Party",
    "PartyLink",
    "QuietHours",
    "Quote",
    "QuoteLine",
    "RetentionRule",
    "RetentionRun",
    "SchedulerRun",
    "Settlement",
    "Signature",
    "SigningLink",
    "SigningRules",
    "TextDraft",
    "TextKind",
    "TextVersion",
    "ToldNote",
    "Trip",
    "TripAttendee",
    "TripGuide",
    "TripInvite",
    "Unreadable",
    "Waiting",
    "WorkerRound",
]
