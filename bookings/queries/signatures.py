"""What a trip still lacks before it is ready: who has not signed, which guardian, which version."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django.db.models import Prefetch

from bookings.models import (
    Booking,
    Guardian,
    Participant,
    Signature,
    SigningLink,
    SigningRules,
    TextKind,
    TextVersion,
    Trip,
    TripGuide,
)
from bookings.queries.signers import (
    Signer,
    age_of,
    guardians_of,
    of_person,
    signing_rules,
    trip_day,
    zone_of_business,
)
from bookings.queries.texts import published
from bookings.rules.ages import CareFinding, CareRules, LeapBirthday, Weight, care_findings
from bookings.rules.ages import Participant as OnTheSand
from bookings.rules.signing import Again, must_sign_anew, text_kinds_to_sign

BORN, NO_GUARDIAN, YOUNG_GUARDIAN = "born", "no_guardian", "young_guardian"


@dataclass(frozen=True, slots=True)
class Need:
    """One thing that is missing of a person: a text kind, or a fact; `why` says it in words."""

    kind: str
    why: str


@dataclass(frozen=True, slots=True)
class PersonState:
    """One person of a trip: age on the day, what is missing, and who can mend it.

    `unpublished` are texts that nobody can have signed yet, because they are not out.
    """

    person: Participant
    booking: Booking
    age: int | None
    minor: bool | None
    needs: tuple[Need, ...]
    signers: tuple[Signer, ...]
    asked_at: datetime.datetime | None = None
    unpublished: tuple[TextKind, ...] = ()

    @property
    def signed(self) -> bool | None:
        """Whether all is signed; None where a text that must be signed is not out: not known."""
        if self.needs:
            return False
        return None if self.unpublished else True

    @property
    def kinds(self) -> tuple[str, ...]:
        """The texts that are still to be signed for this person."""
        return tuple(need.kind for need in self.needs if need.kind in TextKind.values)

    @property
    def sentence(self) -> str:
        return f"{self.person}: {', '.join(need.why for need in self.needs)}"


@dataclass(frozen=True, slots=True)
class Outstanding:
    """What a trip lacks; `ready` when nothing does."""

    trip: Trip
    day: datetime.date
    people: tuple[PersonState, ...] = ()
    unnamed: tuple[tuple[Booking, int], ...] = ()
    findings: tuple[CareFinding, ...] = ()
    setup_lacks: tuple[str, ...] = ()

    @property
    def missing(self) -> tuple[PersonState, ...]:
        return tuple(state for state in self.people if state.needs)

    @property
    def stops(self) -> tuple[str, ...]:
        return tuple(each.sentence for each in self.findings if each.weight is Weight.STOP)

    @property
    def cautions(self) -> tuple[str, ...]:
        return tuple(each.sentence for each in self.findings if each.weight is not Weight.STOP)

    @property
    def ready(self) -> bool:
        """Everybody is known to have signed; a trip without people is not known to be ready."""
        signed = bool(self.people) and all(state.signed for state in self.people)
        return signed and not (self.unnamed or self.stops or self.setup_lacks)

    @property
    def sentences(self) -> tuple[str, ...]:
        """Everything that keeps the trip from being ready, one sentence each."""
        people = [state.sentence for state in self.missing]
        return (*self.setup_lacks, *self.stops, *self._unnamed_lines, *people)

    @property
    def tally(self) -> str:
        """'3 of 5 have signed; missing: ...'; empty while nobody is named or no text is out."""
        if not self.people or self.setup_lacks:
            return ""
        signed = len(self.people) - len(self.missing)
        told = f"{signed} of {len(self.people)} have signed"
        missing = ", ".join(_whose(state) for state in self.missing)
        return f"{told}; missing: {missing}" if missing else told

    @property
    def short(self) -> tuple[str, ...]:
        """What keeps the trip from being ready in a few lines, for pages about more than this."""
        tally = [self.tally] if self.missing and self.tally else []
        return (*self.setup_lacks, *self.stops, *self._unnamed_lines, *tally)

    @property
    def _unnamed_lines(self) -> tuple[str, ...]:
        return tuple(
            f"{booking.party.client}: {count} of {booking.heads} not named"
            for booking, count in self.unnamed
        )

    def of(self, person_pk: int) -> PersonState | None:
        return next((state for state in self.people if state.person.pk == person_pk), None)


def outstanding(trip: Trip, *, at: datetime.datetime) -> Outstanding:
    """What one trip lacked at a moment."""
    return outstanding_of([trip], at=at)[trip.pk]


def outstanding_of(trips: Sequence[Trip], *, at: datetime.datetime) -> dict[int, Outstanding]:
    """What each trip lacked at a moment, in a constant number of queries."""
    ground = _Ground(trips, at)
    return {trip.pk: ground.look_at(trip) for trip in trips}


class _Ground:
    """Everything that the trips are judged on, read once."""

    def __init__(self, trips: Sequence[Trip], at: datetime.datetime) -> None:
        self.at = at
        self.rules: SigningRules = signing_rules()
        self.zone: ZoneInfo = zone_of_business()
        self.bookings = _bookings(trips)
        people = [
            person
            for bookings in self.bookings.values()
            for booking in bookings
            for person in booking.party.participants.all()
        ]
        self.signatures = _signatures(people, at)
        self.moved_from = _moved_from(self.bookings.values())
        self.asked = _asked(trips, at)
        self.guides = _guides(trips)
        self.versions: dict[tuple[str, str], list[TextVersion]] = defaultdict(list)
        for version in published(at=at).defer("body"):
            self.versions[version.kind, version.language].append(version)

    def look_at(self, trip: Trip) -> Outstanding:
        day = trip_day(trip, self.zone)
        if trip.status == Trip.Status.CANCELLED:
            return Outstanding(trip, day)
        bookings = self.bookings.get(trip.pk, [])
        people = tuple(
            self._person(person, booking, trip, day)
            for booking in bookings
            for person in booking.party.participants.all()
        )
        unnamed = tuple(
            (booking, short)
            for booking in bookings
            if (short := booking.heads - len(booking.party.participants.all())) > 0
        )
        return Outstanding(
            trip,
            day,
            people,
            unnamed,
            self._findings(trip, people, day) if people else (),
            _setup_lacks(people),
        )

    def _person(
        self, person: Participant, booking: Booking, trip: Trip, day: datetime.date
    ) -> PersonState:
        age = age_of(person, day, self.rules)
        minor = None if age is None else age < self.rules.adult_age
        signers = guardians_of(person, day, self.rules) if minor else [of_person(person)]
        needs: list[Need] = []
        if minor is None:
            needs.append(Need(BORN, "date of birth not known"))
        elif minor and not signers:
            if person.guardian is None:
                needs.append(Need(NO_GUARDIAN, "no guardian named"))
            else:
                why = f"{person.guardian}, named as guardian, is under age"
                needs.append(Need(YOUNG_GUARDIAN, why))
        for kind in text_kinds_to_sign(minor=bool(minor)):
            if any(known == kind for known, _ in self.versions):
                needs += self._text(kind, person, signers, trip, bool(minor))
        asked = [
            self.asked[trip.pk, *signer.key]
            for signer in signers
            if (trip.pk, *signer.key) in self.asked
        ]
        return PersonState(
            person,
            booking,
            age,
            minor,
            tuple(needs),
            tuple(signers),
            max(asked, default=None),
            self._unpublished(minor=bool(minor)),
        )

    def _unpublished(self, *, minor: bool) -> tuple[TextKind, ...]:
        out = {kind for kind, _ in self.versions}
        needed = (TextKind.RISKS, TextKind.GUARDIAN) if minor else (TextKind.RISKS,)
        return tuple(kind for kind in needed if kind.value not in out)

    def _text(
        self, kind: str, person: Participant, signers: list[Signer], trip: Trip, minor: bool
    ) -> list[Need]:
        """What is missing of one text: nothing, when it is signed by whom it must be."""
        label = TextKind(kind).label
        good_trips = {trip.pk} | self.moved_from.get((person.party_id, trip.pk), set())
        signed = [
            each
            for each in self.signatures.get(person.pk, [])
            if each.text.kind == kind and each.trip_id in good_trips
        ]
        fit = [each for each in signed if each.by_guardian == minor]
        fresh = [each for each in fit if not self._outdated(each, trip)]
        if minor and self.rules.every_guardian and fresh and len(signers) > 1:
            have = {each.guardian_id for each in fresh}
            late = [x.name for x in signers if x.guardian is None or x.guardian.pk not in have]
            return [Need(kind, f"{label} not signed by {name}") for name in late]
        if fresh:
            return []
        if fit:
            numbers = self.versions[kind, fit[-1].text.language]
            why = f"{label} signed in version {fit[-1].text.number}, out is {numbers[-1].number}"
        elif signed:
            why = f"{label} signed alone, and under age on the day"
            if not minor:
                why = f"{label} signed by a guardian, and of age on the day"
        else:
            why = f"{label} not signed"
        return [Need(kind, why)]

    def _outdated(self, signature: Signature, trip: Trip) -> bool:
        """Versions that came out after the trip ask nobody again."""
        text = signature.text
        later = [
            version
            for version in self.versions[text.kind, text.language]
            if version.published_at <= trip.ends_at
        ]
        return must_sign_anew(
            text.number,
            [version.number for version in later],
            [Again(version.again) for version in later],
            signature.by_guardian,
        )

    def _findings(
        self, trip: Trip, people: tuple[PersonState, ...], day: datetime.date
    ) -> tuple[CareFinding, ...]:
        rules = CareRules(
            heads_per_guide=trip.offer.heads_per_guide,
            least_age=trip.offer.minimum_age,
            adult_age=self.rules.adult_age,
            hand_range_age=self.rules.hand_range_age,
            leap_birthday=LeapBirthday(self.rules.leap_birthday),
        )
        party = [
            OnTheSand(
                str(state.person),
                state.person.born_on if state.age is not None else None,
                any(_comes_along(signer) for signer in state.signers) if state.minor else False,
            )
            for state in people
        ]
        # Who has no birth date is on the list of what is missing already.
        return tuple(
            finding
            for finding in care_findings(party, day, 1 + self.guides[trip.pk], rules=rules)
            if "date of birth" not in finding.sentence
        )


def _setup_lacks(people: tuple[PersonState, ...]) -> tuple[str, ...]:
    lacking = dict.fromkeys(kind for state in people for kind in state.unpublished)
    return tuple(f"No {kind.label} is published: publish one in Setup" for kind in lacking)


def _whose(state: PersonState) -> str:
    """A person with who signs for them, where that is somebody else or nobody yet."""
    if not state.minor:
        return str(state.person)
    names = " or ".join(signer.name for signer in state.signers)
    return f"{state.person} ({names} signs)" if names else f"{state.person} (no guardian)"


def _comes_along(signer: Signer) -> bool:
    """Whether this guardian, or an adult whom they name, is with the minor on the day."""
    if signer.person is not None:
        return True
    return signer.guardian is not None and bool(signer.guardian.responsible)


def _bookings(trips: Sequence[Trip]) -> dict[int, list[Booking]]:
    found: dict[int, list[Booking]] = defaultdict(list)
    guardians = Guardian.objects.select_related("person__party__client").order_by("pk")
    people = Participant.objects.select_related("guardian__party__client").prefetch_related(
        Prefetch("guardians", guardians)
    )
    for booking in (
        Booking.objects.filter(trip__in=trips, status=Booking.Status.CONFIRMED)
        .select_related("party__client")
        .prefetch_related(Prefetch("party__participants", people.order_by("pk")))
        .order_by("pk")
    ):
        found[booking.trip_id].append(booking)
    return found


def _signatures(people: Sequence[Participant], at: datetime.datetime) -> dict[int, list[Signature]]:
    found: dict[int, list[Signature]] = defaultdict(list)
    for signature in (
        Signature.objects.filter(participant__in=people, signed_at__lte=at, erased_at=None)
        .select_related("text")
        .defer("sealed", "text__body")
        .order_by("record")
    ):
        if signature.participant_id:
            found[signature.participant_id].append(signature)
    return found


def _moved_from(bookings: Iterable[list[Booking]]) -> dict[tuple[int, int], set[int]]:
    """Trips a party was moved away from: what was signed for them counts on the new day."""
    live = [(each.party_id, each.trip_id) for row in bookings for each in row]
    left: dict[int, set[int]] = defaultdict(set)
    cancelled = Booking.objects.filter(
        party__in={party for party, _ in live}, status=Booking.Status.CANCELLED
    )
    for party, trip in cancelled.order_by().values_list("party", "trip"):
        left[party].add(trip)
    return {(party, trip): left[party] for party, trip in live}


def _asked(
    trips: Sequence[Trip], at: datetime.datetime
) -> dict[tuple[int, str, int], datetime.datetime]:
    """When each signer was last sent a link for a trip."""
    found: dict[tuple[int, str, int], datetime.datetime] = {}
    links = SigningLink.objects.filter(
        trip__in=trips, made_at__lte=at, way=SigningLink.Way.LINK
    ).order_by("made_at")
    for trip, person, guardian, made_at in links.values_list(
        "trip", "person", "guardian", "made_at"
    ):
        key = ("person", person) if person else ("guardian", guardian)
        found[trip, *key] = made_at
    return found


def _guides(trips: Sequence[Trip]) -> dict[int, int]:
    found: dict[int, int] = defaultdict(int)
    for trip in TripGuide.objects.filter(trip__in=trips).values_list("trip", flat=True):
        found[trip] += 1
    return found
