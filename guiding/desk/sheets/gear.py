"""The gear report and the labels: every thing on one day, and its name to stick on it."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Iterable, Sequence
from itertools import groupby

from django.conf import settings

from bookings.models import Business, Trip
from equipment.queries.export import LabelFacts, label_facts
from equipment.queries.gear import GearState, gear_list
from equipment.rules.service import ServiceState
from guiding.desk.sheets.gather import TripFile, letterhead
from guiding.papers import records
from guiding.papers.formats import Formats

_STATES = ("fit", "watch", "due", "grounded", "retired")
_NOW = ("due", "grounded", "retired")


def trip_gear_report(
    file: TripFile, *, printed_at: datetime.datetime, page_size: str = ""
) -> records.GearReport:
    """What goes along on a trip, as it will stand that day. ValueError where nothing does."""
    if not file.gear:
        raise ValueError("No gear is chosen for this trip yet: there is nothing to report on.")
    return gear_report(
        file.business,
        on=file.day,
        states=file.gear,
        number=f"G{file.trip.pk:05d}-{file.trip.sequence}",
        title=("gear.title", {"trip": file.trip.offer.name}),
        printed_at=printed_at,
        page_size=page_size,
        trip=file.trip,
    )


def all_gear_report(
    business: Business,
    *,
    on: datetime.date,
    booked: Sequence[datetime.date] = (),
    printed_at: datetime.datetime,
    page_size: str = "",
) -> records.GearReport:
    """Everything that is owned on a day."""
    return gear_report(
        business,
        on=on,
        states=gear_list(on=on, booked=booked),
        number=f"G{on:%Y%m%d}",
        title=("gear.title_all", {}),
        printed_at=printed_at,
        page_size=page_size,
    )


def gear_report(
    business: Business,
    *,
    on: datetime.date,
    states: Iterable[GearState],
    number: str,
    title: tuple[str, dict[str, str]],
    printed_at: datetime.datetime,
    page_size: str = "",
    trip: Trip | None = None,
) -> records.GearReport:
    """Things by kind, each with its state, what comes next, and the number that decides."""
    head = letterhead(
        business, number=number, printed_at=printed_at, page_size=page_size, trip=trip
    )
    shape = Formats(head)
    found = tuple(states)
    sections = [
        records.GearSection(kind[:1].upper() + kind[1:], tuple(_row(x, shape) for x in group))
        for kind, group in groupby(found, key=lambda state: state.kind_label)
    ]
    counts = {word: sum(1 for state in found if state.state == word) for word in _STATES}
    return records.GearReport(
        letterhead=head,
        title=shape.words.text(title[0]).format(**title[1]),
        on=on,
        sections=tuple(sections),
        summary=tuple(records.Fact(word, str(count)) for word, count in counts.items() if count),
    )


def _row(state: GearState, shape: Formats) -> records.GearRow:
    # What is grounded or due for another reason than its next service is told by that reason.
    due = None if state.state in _NOW and _serviced(state) else state.next_due
    when = ""
    if due and due.before_trip_on:
        when = shape.short_day(due.before_trip_on)
    elif due and due.due_on:
        when = shape.short_day(due.due_on)
    elif due and due.state is not ServiceState.FIT:
        when = f"{shape.number(round(due.used))} / {shape.number(round(due.limit))} {due.measure}"
    return records.GearRow(
        label=state.label,
        state=state.state,
        health=_health(state, shape),
        next_step=due.rule if due else "",
        due=when,
        reason=state.reason,
        urgent=state.state in _NOW,
    )


def _serviced(state: GearState) -> bool:
    """Whether no service is due on it."""
    return state.next_due is None or state.next_due.state is ServiceState.FIT


def _health(state: GearState, shape: Formats) -> str:
    if state.pack is not None and state.pack.health_share is not None:
        return shape.share(state.pack.health_share)
    if state.reel is not None and state.reel.left_m is not None:
        return shape.distance(state.reel.left_m)
    return ""


def trip_labels(
    file: TripFile, *, printed_at: datetime.datetime, page_size: str = ""
) -> records.LabelSheet:
    """A label for everything that goes along. ValueError where nothing does."""
    if not file.gear:
        raise ValueError("No gear is chosen for this trip yet: there is nothing to label.")
    return label_sheet(
        file.business,
        on=file.day,
        things=[state.thing_id for state in file.gear],
        printed_at=printed_at,
        page_size=page_size,
        trip=file.trip,
    )


def label_sheet(
    business: Business,
    *,
    on: datetime.date,
    printed_at: datetime.datetime,
    things: Collection[int] | None = None,
    page_size: str = "",
    trip: Trip | None = None,
) -> records.LabelSheet:
    """Labels to cut; their codes open the page of the thing on this desk."""
    facts = label_facts(on=on, things=None if things is None else list(things))
    return records.LabelSheet(
        letterhead=letterhead(
            business,
            number=f"L{on:%Y%m%d}",
            printed_at=printed_at,
            page_size=page_size,
            trip=trip,
        ),
        labels=tuple(_label(one) for one in facts),
    )


def _label(facts: LabelFacts) -> records.GearLabel:
    lines = [facts.kind, facts.model_note, facts.serial]
    return records.GearLabel(
        code=f"{settings.PUBLIC_URL}{facts.path}",
        name=facts.label,
        lines=tuple(line for line in lines if line),
    )
