"""Questions about health: the facts for the triggers, the notes for the guides of the trip."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from django.contrib.auth.models import AbstractBaseUser, AnonymousUser
from django.db.models import Exists, OuterRef, Q, QuerySet

from bookings.models import (
    Booking,
    HealthLog,
    HealthNote,
    Hold,
    Participant,
    ToldNote,
    Trip,
    TripGuide,
)


@dataclass(frozen=True, slots=True)
class HealthFacts:
    """How many of a trip's people declared what; never who or in which words."""

    people: int = 0
    declared: int = 0
    allergies: int = 0
    injectors: int = 0
    medicines: int = 0
    non_swimmers: int = 0
    unreadable: int = 0


@dataclass(frozen=True, slots=True)
class NoteState:
    """One person and whether there is a note; `words` only once the look is written down."""

    person: Participant
    note: HealthNote | None
    problem: str = ""
    facts: dict[str, bool] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)
    has_told: bool = False
    told: str = ""


def guides_trip(user: AbstractBaseUser | AnonymousUser, trip: Trip) -> bool:
    """Whether this login guides the trip: the owner, or somebody named for it."""
    if not user.is_authenticated or not getattr(user, "is_active", False):
        return False
    if getattr(user, "is_superuser", False):
        return True
    return TripGuide.objects.filter(trip=trip, user_id=user.pk).exists()


def collects_signatures(user: AbstractBaseUser | AnonymousUser, trip: Trip) -> bool:
    """Whether this login may ask for signatures and take them: who may for all, and the guides."""
    return user.has_perm("bookings.collect_signatures") or guides_trip(user, trip)  # type: ignore[union-attr]


def health_facts(trip: Trip, *, party: int | None = None) -> HealthFacts:
    """What the triggers may know of a trip, or of one party on it: yes and no, counted."""
    if party is None:
        return health_facts_of([trip])[trip.pk]
    people = _people(trip).filter(party=party).count()
    return _counted(people, [one for one in notes_of(trip) if one.participant.party_id == party])


def health_facts_of(trips: Sequence[Trip]) -> dict[int, HealthFacts]:
    """The facts of several trips in a constant number of queries."""
    live = Booking.objects.filter(trip__in=trips, status=Booking.Status.CONFIRMED)
    people: dict[int, set[int]] = defaultdict(set)
    for trip, person in live.order_by().values_list("trip", "party__participants"):
        if person:
            people[trip].add(person)
    notes = _notes_by_trip(trips)
    return {trip.pk: _counted(len(people[trip.pk]), notes[trip.pk]) for trip in trips}


def _counted(people: int, notes: list[HealthNote]) -> HealthFacts:
    facts = [note.facts for note in notes if isinstance(note.facts, dict)]
    return HealthFacts(
        people=people,
        declared=len(notes),
        allergies=sum(bool(each.get("allergy")) for each in facts),
        injectors=sum(bool(each.get("injector")) for each in facts),
        medicines=sum(bool(each.get("medicine")) for each in facts),
        non_swimmers=sum(bool(each.get("non_swimmer")) for each in facts),
        unreadable=len(notes) - len(facts),
    )


def people_and_notes(trip: Trip) -> list[NoteState]:
    """Everybody of the confirmed bookings, with or without a note, not yet opened."""
    notes = {note.participant_id: note for note in notes_of(trip)}
    told = {note.participant_id for note in told_of(trip)}
    people = _people(trip).order_by("party", "pk")
    return [
        NoteState(person, notes.get(person.pk), has_told=person.pk in told) for person in people
    ]


def _people(trip: Trip) -> QuerySet[Participant]:
    return Participant.objects.filter(
        party__bookings__trip=trip, party__bookings__status=Booking.Status.CONFIRMED
    ).distinct()


def told_of(trip: Trip) -> list[ToldNote]:
    """What was told of the people of a trip outside the form, one a person at most."""
    return list(
        ToldNote.objects.filter(participant__in=_people(trip)).select_related("participant")
    )


def opened_people(trip: Trip, kept: Sequence[HealthNote | ToldNote]) -> list[NoteState]:
    """Everybody of a trip with all that is kept of them; the look must be written down before."""
    found = {state.person.pk: state for state in people_and_notes(trip)}
    for note in kept:
        state = found.get(note.participant_id)
        if state is None:
            continue
        if isinstance(note, HealthNote):
            known = opened(note)
            found[state.person.pk] = replace(known, has_told=state.has_told, told=state.told)
        elif isinstance(note.words, dict):
            found[state.person.pk] = replace(state, told=str(note.words.get("told", "")))
        else:
            found[state.person.pk] = replace(state, problem=note.words.reason)
    return list(found.values())


def people_with_notes(trip: Trip) -> frozenset[int]:
    """Who of a trip has anything sealed, so that a paper can point to it."""
    declared = {note.participant_id for note in notes_of(trip) if _says_something(note)}
    return frozenset(declared | {note.participant_id for note in told_of(trip)})


def _says_something(note: HealthNote) -> bool:
    """Whether a note holds more than that all is well; one that cannot be opened may."""
    facts, answers = note.facts, note.answers
    if not isinstance(facts, dict) or not isinstance(answers, dict):
        return True
    asked = ("allergy", "injector", "medicine")
    return any(facts.get(name) for name in asked) or bool(answers.get("more"))


def kept_of(trip: Trip) -> list[HealthNote | ToldNote]:
    """Everything sealed that counts on a trip: what was declared and what was told."""
    return [*notes_of(trip), *told_of(trip)]


def notes_of(trip: Trip) -> list[HealthNote]:
    """The notes that count on a trip, one a person."""
    return _notes_by_trip([trip])[trip.pk]


def _notes_by_trip(trips: Sequence[Trip]) -> dict[int, list[HealthNote]]:
    """Notes declared for a trip, or for one that the party was moved away from."""
    bookings = Booking.objects.filter(trip__in=trips, status=Booking.Status.CONFIRMED)
    live = list(bookings.order_by().values_list("party", "trip"))
    parties = {party for party, _ in live}
    gone = set(
        Booking.objects.filter(party__in=parties, status=Booking.Status.CANCELLED)
        .order_by()
        .values_list("party", "trip")
    )
    newest: dict[int, dict[int, HealthNote]] = defaultdict(dict)
    notes = HealthNote.objects.filter(participant__party__in=parties).select_related("participant")
    for note in notes.order_by("declared_at", "pk"):
        party = note.participant.party_id
        for booked, trip in live:
            if booked == party and (note.trip_id == trip or (party, note.trip_id) in gone):
                newest[trip][note.participant_id] = note
    return defaultdict(list, {trip: list(found.values()) for trip, found in newest.items()})


def opened(note: HealthNote) -> NoteState:
    """A note with its words; the look must be written down before this is asked."""
    facts, answers = note.facts, note.answers
    if not isinstance(facts, dict) or not isinstance(answers, dict):
        reason = next(x.reason for x in (facts, answers) if not isinstance(x, dict))
        return NoteState(note.participant, note, problem=reason)
    words = {name: told for name, told in answers.items() if name != "salt" and told}
    return NoteState(note.participant, note, facts=facts, words=words)


def looks(trip: Trip, *, most: int = 50) -> list[HealthLog]:
    """Who looked at the notes of a trip, newest first."""
    return list(HealthLog.objects.filter(trip=trip).select_related("participant")[:most])


def notes_due(*, ended_before: datetime.datetime) -> QuerySet[HealthNote]:
    """Notes of trips that ended before a moment and that nothing holds.

    Who was moved to a later day declared it for that day too: the later day counts.
    """
    party = Booking.objects.filter(party=OuterRef("participant__party"))
    moved = party.filter(trip=OuterRef("trip"), status=Booking.Status.CANCELLED)
    later = party.filter(trip__ends_at__gte=ended_before, status=Booking.Status.CONFIRMED)
    held = Hold.objects.filter(released_at=None).values("trip")
    return (
        HealthNote.objects.filter(trip__ends_at__lt=ended_before)
        .exclude(trip__in=held)
        .exclude(Exists(moved), Exists(later))
    )


def told_due(*, ended_before: datetime.datetime) -> QuerySet[ToldNote]:
    """What was told of people whose party had its last trip, or closed its case, by a moment."""
    trips = Booking.objects.filter(party=OuterRef("participant__party")).exclude(
        status=Booking.Status.CANCELLED
    )
    held = Hold.objects.filter(released_at=None).values("trip")
    over = Exists(trips) | Q(participant__party__closed_at__lt=ended_before)
    return ToldNote.objects.filter(over).exclude(
        Exists(trips.filter(trip__ends_at__gte=ended_before)) | Exists(trips.filter(trip__in=held))
    )
