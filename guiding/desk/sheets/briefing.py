"""The briefing and the emergency card of a trip."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from guiding.desk.sheets.gather import TripFile, letterhead
from guiding.desk.sheets.leaving import leave_by
from guiding.desk.sheets.risks import assessment
from guiding.papers import records
from guiding.papers.formats import clock
from guiding.safety.queries.assessment import AssessedHazard, Assessment
from guiding.safety.rules.briefing import (
    WORDS_A_MINUTE,
    Spoken,
    child_lines,
    spoken_briefing,
)
from guiding.safety.rules.hazards import spoken_order
from guiding.safety.rules.matrix import CONSEQUENCES, LIKELIHOODS, SOURCE, risk_bands
from guiding.safety.sheets.card import emergency_card


@dataclass(frozen=True, slots=True)
class Talk:
    """The briefing as it is said: to everybody, and to the children on a page of their own."""

    spoken: Spoken
    children: tuple[str, ...]
    child_names: tuple[str, ...]
    assessment: Assessment

    @property
    def minutes(self) -> float:
        """How long it takes read aloud at an unhurried pace, in minutes."""
        return round(self.spoken.words / WORDS_A_MINUTE, 1)


def talk(file: TripFile) -> Talk:
    """What is said on this day. ValueError when the trip has no plan yet."""
    found = assessment(file)
    spoken = spoken_briefing(found.fired, opening=_opening(file), guide_hurt=_guide_hurt(file))
    minors = file.minors
    return Talk(
        spoken=spoken,
        children=child_lines(found.fired) if minors else (),
        child_names=tuple(minor.given_name for minor in minors),
        assessment=found,
    )


def _opening(file: TripFile) -> tuple[str, ...]:
    """Who is here, how long, who decides: said first on every day."""
    plan = file.plan
    if plan is None:
        raise ValueError(f"{file.trip} has no plan yet: there is nothing to brief.")
    heads = sum(booking.heads for booking in file.bookings)
    until = leave_by(file) or plan.session_end
    return (
        f"I count {heads} of you. This is {plan.spot.name}.",
        f"Reels come up at {clock(until, file.business.tz, file.business.locale)} at the latest.",
        "I decide when we stop. Anybody may say no to anything, at any time.",
    )


def _guide_hurt(file: TripFile) -> tuple[str, ...]:
    number = file.business.emergency_number
    signal = "Look at your phone now: nobody has noted whether it works here."
    if file.plan and file.plan.spot.signal:
        signal = f"Signal: {file.plan.spot.signal}"
    return (
        "Stop. Count heads. Bring everybody above the high-water mark. Nobody goes in.",
        f"Call {number} and read out the card. {signal}",
        "No signal: set off the beacon, stay together, stay warm.",
    )


def briefing_paper(
    file: TripFile, *, printed_at: datetime.datetime, page_size: str = ""
) -> records.Briefing:
    """The briefing for print, with the matrix that its scores were read from."""
    said = talk(file)
    by_key = {one.fired.key: one for one in said.assessment.hazards}
    strip, plan = file.strip(), file.plan
    notes = []
    if said.spoken.left_out:
        notes.append(
            f"Not read aloud, say it where it comes up: {', '.join(said.spoken.left_out)}."
        )
    if said.assessment.changed:
        notes.append(f"Changed since it was signed: {'; '.join(said.assessment.changed)}.")
    return records.Briefing(
        letterhead=letterhead(
            file.business,
            number=f"B{file.trip.pk:05d}-{file.trip.sequence}",
            printed_at=printed_at,
            page_size=page_size,
            trip=file.trip,
        ),
        title=file.trip.offer.name,
        day=file.day,
        spot_name=plan.spot.name if plan else "",
        guide_name=file.business.guide_name,
        items=tuple(_item(by_key[one.key]) for one in spoken_order(said.assessment.fired)),
        first_names=tuple(person.given_name for person in file.people),
        cast_only=bool(strip and strip.cast_only),
        matrix=records.RiskMatrix(LIKELIHOODS, CONSEQUENCES, risk_bands(), SOURCE),
        notes=tuple(notes),
        spoken=tuple(records.SpokenBlock(part.heading, part.lines) for part in said.spoken.parts),
        spoken_minutes=said.minutes,
        child_lines=said.children,
        child_names=said.child_names,
    )


def _item(one: AssessedHazard) -> records.BriefingItem:
    hazard = one.fired.hazard
    check = ("Check with your own authority.",) if hazard.law_differs else ()
    return records.BriefingItem(
        name=hazard.name,
        trigger=one.fired.trigger,
        controls=(*hazard.controls_before, *hazard.controls_during, *check),
        line=hazard.say,
        emergency=hazard.emergency,
        before=records.Score(
            hazard.likelihood_before, hazard.consequence_before, one.score_before, one.band_before
        ),
        after=records.Score(
            hazard.likelihood_after, hazard.consequence_after, one.score_after, one.band_after
        ),
    )


def card_paper(
    file: TripFile,
    *,
    printed_at: datetime.datetime,
    size: records.CardSize = records.CardSize.A6,
    page_size: str = "",
    medicines: tuple[records.PersonMedicine, ...] | None = None,
) -> records.EmergencyCard:
    """The emergency card of the trip. ValueError when the trip has no plan yet.

    `medicines` only for the guide's own copy.
    """
    if file.plan is None:
        raise ValueError(f"{file.trip} has no plan yet: the card would have no place on it.")
    return emergency_card(
        business=file.business,
        trip=file.trip,
        plan=file.plan,
        people=sum(booking.heads for booking in file.bookings),
        day=file.day,
        printed_at=printed_at,
        size=size,
        page_size=page_size,
        medicines=medicines,
    )
