"""Papers in date: the gate before a trip is confirmed, on every date, for what is planned."""

from __future__ import annotations

import datetime
import io
import json
from typing import Any

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from PIL import Image

from guiding.days.actions.permits import save_permit
from guiding.days.actions.plans import change_plan
from guiding.days.models import DayPlan
from guiding.desk.sheets.gather import gather
from guiding.desk.sheets.safety import (
    confirm_refusals,
    gaps_by_paper,
    hard_stops,
    papers_ahead,
    papers_of,
)
from guiding.safety.actions.papers import save_paper, withdraw_paper
from guiding.safety.models import HeldPaper
from guiding.safety.rules.papers import PaperState, paper_state
from tests.factories import (
    NOON,
    BookingFactory,
    ParticipantFactory,
    PartyFactory,
    TripFactory,
)
from tests.factories_days import DayPlanFactory, SpotFactory
from tests.factories_equipment import CraftFactory, ThingFactory
from tests.factories_safety import HeldPaperFactory, PaperKindFactory

DAY = datetime.date(2026, 6, 13)
ONE = datetime.timedelta(days=1)


@pytest.fixture
def plan(business: Any) -> DayPlan:
    """A flown day on 13 June 2026, both permissions to drop on file."""
    plan = DayPlanFactory(craft=CraftFactory(label="Gannet"))
    BookingFactory(trip=plan.trip)
    permit(plan.spot)
    return plan


def permit(spot: Any) -> None:
    for kind in ("aviation", "fishery"):
        save_permit(
            kind=kind,
            authority="Demo",
            number=f"DEMO-{kind}-{spot.pk}",
            spots=[spot],
            valid_from=datetime.date(2026, 1, 1),
            valid_until=datetime.date(2026, 12, 31),
            covers_dropping=True,
            copy_kept="folder",
        )


def refused(plan: DayPlan, business: Any) -> list[str]:
    file = gather(plan.trip_id, business=business)
    assert file is not None
    return confirm_refusals(file)


@pytest.mark.parametrize(
    ("last_day", "refusal"),
    [
        (DAY - ONE, "DEMO-1 held until 12 June 2026, the day is 13 June 2026."),
        (DAY, ""),
        (DAY + ONE, ""),
    ],
    ids=["the day before", "on the day", "the day after"],
)
def test_a_paper_that_lapses_around_the_day(
    plan: DayPlan, business: Any, last_day: datetime.date, refusal: str
) -> None:
    kind = PaperKindFactory(name="Public liability insurance")
    HeldPaperFactory(kind=kind, number="DEMO-1", valid_until=last_day)
    expected = [f"Public liability insurance for the business: {refusal}"] if refusal else []
    assert refused(plan, business) == expected
    assert hard_stops(plan.trip) == expected
    assert hard_stops(plan.trip, last_day) == []
    assert len(hard_stops(plan.trip, last_day + ONE)) == 1


def test_a_paper_that_begins_after_the_day_or_was_withdrawn(plan: DayPlan, business: Any) -> None:
    paper = HeldPaperFactory(valid_from=DAY + ONE)
    assert "holds only from 14 June 2026" in refused(plan, business)[0]
    paper.valid_from = DAY
    paper.save()
    assert refused(plan, business) == []
    withdraw_paper(paper=paper, on=DAY, reason="the insurer left")
    assert "held until 12 June 2026" in refused(plan, business)[0]


def test_a_trip_into_the_night_is_tested_on_both_dates(business: Any) -> None:
    trip = TripFactory(
        starts_at=datetime.datetime(2026, 6, 13, 16, 0, tzinfo=datetime.UTC),
        ends_at=datetime.datetime(2026, 6, 14, 2, 0, tzinfo=datetime.UTC),
    )
    plan = DayPlanFactory(
        trip=trip,
        session_start=datetime.datetime(2026, 6, 13, 18, 0, tzinfo=datetime.UTC),
        session_end=datetime.datetime(2026, 6, 14, 0, 0, tzinfo=datetime.UTC),
    )
    paper = HeldPaperFactory(valid_until=DAY)
    assert "the day is 14 June 2026" in refused(plan, business)[0]
    HeldPaperFactory(kind=paper.kind, valid_from=DAY + ONE)
    assert refused(plan, business) == []


def test_a_craft_swapped_in_needs_a_paper_of_its_own(plan: DayPlan, business: Any) -> None:
    kind = PaperKindFactory(name="Craft registration", scope="craft", activity="flying")
    HeldPaperFactory(kind=kind, thing=plan.craft)
    assert refused(plan, business) == []
    plan.craft = CraftFactory(label="Petrel")
    plan.save()
    assert refused(plan, business) == ["Craft registration for Petrel: no paper is on record."]
    HeldPaperFactory(kind=kind, thing=plan.craft)
    assert refused(plan, business) == []


def test_a_day_moved_to_another_spot_needs_that_spots_permit(plan: DayPlan, business: Any) -> None:
    kind = PaperKindFactory(name="Beach permit", scope="spot")
    paper = HeldPaperFactory(kind=kind, spots=[plan.spot])
    assert refused(plan, business) == []
    plan.spot = SpotFactory(name="South Bar")
    plan.save()
    assert refused(plan, business) == ["Beach permit for South Bar: no paper is on record."]
    paper.spots.add(plan.spot)
    assert refused(plan, business) == []


def test_a_paper_for_flying_is_not_asked_of_a_day_that_only_casts(
    plan: DayPlan, business: Any
) -> None:
    PaperKindFactory(name="Pilot competency", scope="guide", activity="flying")
    assert len(refused(plan, business)) == 1
    plan.spot.permits.all().delete()  # cast only: no permission to drop is on record
    assert refused(plan, business) == []


def test_minors_sand_and_vehicles_ask_for_theirs(plan: DayPlan, business: Any) -> None:
    PaperKindFactory(name="Children", scope="guide", activity="minors")
    PaperKindFactory(name="Sand", activity="sand")
    inspected = PaperKindFactory(name="Inspection", scope="vehicle", activity="driving")
    truck = ThingFactory(kind="vehicle", label="Truck")
    plan.sand_km = 0
    plan.save()
    assert [line.split(" for ")[0] for line in refused(plan, business)] == ["Inspection"]
    HeldPaperFactory(kind=inspected, thing=truck)
    assert refused(plan, business) == []
    party = PartyFactory()
    BookingFactory(trip=plan.trip, party=party)
    ParticipantFactory(party=party, born_on=datetime.date(2015, 1, 1))
    plan.sand_km = 4
    plan.save()
    asked = {line.split(" for ")[0] for line in refused(plan, business)}
    assert asked == {"Children", "Sand"}


def test_the_planned_vehicle_alone_is_asked_for_its_paper(plan: DayPlan, business: Any) -> None:
    inspected = PaperKindFactory(name="Inspection", scope="vehicle", activity="driving")
    truck, van = (ThingFactory(kind="vehicle", label=label) for label in ("Truck", "Van"))
    HeldPaperFactory(kind=inspected, thing=truck)
    assert refused(plan, business) == ["Inspection for Van: no paper is on record."]
    change_plan(plan=plan, craft=plan.craft, vehicle=truck)
    assert refused(plan, business) == []
    change_plan(plan=plan, craft=plan.craft, vehicle=van)
    assert hard_stops(plan.trip) == ["Inspection for Van: no paper is on record."]
    with pytest.raises(ValidationError, match="Rod 1 is no vehicle"):
        change_plan(plan=plan, vehicle=ThingFactory(kind="rod", label="Rod 1"))


def test_a_soft_paper_warns_and_a_kind_not_in_force_is_silent(plan: DayPlan, business: Any) -> None:
    PaperKindFactory(name="Soft", hard=False)
    PaperKindFactory(name="Elsewhere", in_force=False)
    file = gather(plan.trip_id, business=business)
    assert file is not None
    found = papers_of(file)
    assert [(one.kind.name, one.state) for one in found.gaps] == [("Soft", PaperState.MISSING)]
    assert found.blocks == []


def test_the_lead_time_warns_before_it_lapses() -> None:
    def on(day: datetime.date) -> PaperState:
        return paper_state(held=True, holds=True, holds_until=DAY, lead_days=30, on=day)

    assert on(DAY - 30 * ONE) is PaperState.IN_DATE
    assert on(DAY - 29 * ONE) is PaperState.RUNNING_OUT
    assert on(DAY) is PaperState.RUNNING_OUT


def test_the_desk_refuses_to_confirm_and_says_why(plan: DayPlan, desk: Client) -> None:
    PaperKindFactory(name="First aid certificate", scope="guide")
    where = reverse("trip_move", args=[plan.trip_id, "confirm"])
    told = desk.post(where, follow=True).content.decode()
    assert "First aid certificate for the guide: no paper is on record." in told
    plan.trip.refresh_from_db()
    assert plan.trip.status == "tentative"
    HeldPaperFactory(kind__name="other")
    HeldPaperFactory(kind=plan_kind("First aid certificate"))
    desk.post(where)
    plan.trip.refresh_from_db()
    assert plan.trip.status == "confirmed"


def plan_kind(name: str) -> Any:
    from guiding.safety.models import PaperKind

    return PaperKind.objects.get(name=name)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"valid_until": datetime.date(2025, 1, 1)}, "lies before the first"),
        ({"valid_from": datetime.date(1890, 1, 1)}, "The year 1890 cannot be right"),
        ({"number": ""}, "cannot be blank"),
        ({"number": "x" * 300}, "at most 80"),
    ],
)
def test_a_paper_that_makes_no_sense_is_refused(
    db: None, fields: dict[str, Any], sentence: str
) -> None:
    good = {
        "kind": PaperKindFactory(),
        "number": "1",
        "issuer": "Demo",
        "valid_from": datetime.date(2026, 1, 1),
        "valid_until": datetime.date(2026, 12, 31),
    }
    with pytest.raises(ValidationError, match=sentence):
        save_paper(**(good | fields))
    assert not HeldPaper.objects.exists()


def test_a_paper_names_what_its_kind_is_about(db: None) -> None:
    dates = {"valid_from": DAY, "valid_until": DAY, "number": "1", "issuer": "Demo"}
    craft, rod = CraftFactory(), ThingFactory()
    with pytest.raises(ValidationError, match="Choose the craft"):
        save_paper(kind=PaperKindFactory(scope="craft"), thing=rod, **dates)
    with pytest.raises(ValidationError, match="names no craft"):
        save_paper(kind=PaperKindFactory(scope="guide"), thing=craft, **dates)
    with pytest.raises(ValidationError, match="Tick the spots"):
        save_paper(kind=PaperKindFactory(scope="spot"), **dates)


def test_a_scan_is_kept_by_its_content(db: None) -> None:
    fields = {"valid_from": DAY, "valid_until": DAY, "number": "1", "issuer": "Demo"}
    picture = io.BytesIO()
    Image.new("RGB", (40, 30), "white").save(picture, "PNG")
    picture.seek(0)
    kept = save_paper(kind=PaperKindFactory(), file=picture, **fields)
    assert kept.file.name.endswith(".jpg")
    with pytest.raises(ValidationError, match="neither a PDF nor a picture"):
        save_paper(kind=PaperKindFactory(), file=io.BytesIO(b"<script>"), **fields)
    assert HeldPaper.objects.count() == 1


def test_the_command_tells_papers_drops_and_trips(
    plan: DayPlan, business: Any, capsys: Any
) -> None:
    HeldPaperFactory(kind=PaperKindFactory(name="Insurance"), valid_until=DAY - ONE)
    call_command("permits", "--on", "2026-06-13", "--json")
    told = json.loads(capsys.readouterr().out)
    assert [(one["kind"], one["state"]) for one in told["papers"]] == [("Insurance", "out of date")]
    assert [one["may_drop"] for one in told["drops"]] == [True]
    assert [(one["trip"], one["may_be_confirmed"]) for one in told["trips"]] == [
        (plan.trip_id, False)
    ]
    call_command("permits", "--on", "2026-06-12")
    assert "1 papers asked for, 0 trips" in capsys.readouterr().out
    for wrong in ("13.6.2026", "1890-01-01"):
        with pytest.raises(CommandError):
            call_command("permits", "--on", wrong)


def test_the_questions_do_not_grow_with_the_trips(
    plan: DayPlan, business: Any, django_assert_max_num_queries: Any
) -> None:
    for n in range(6):
        BookingFactory(trip=DayPlanFactory(spot=plan.spot).trip)
        HeldPaperFactory(number=f"N{n}")
    with django_assert_max_num_queries(12):
        assert len(papers_ahead(at=NOON, business=business)) == 7


def test_a_paper_is_named_once_with_every_trip_that_lacks_it(plan: DayPlan, business: Any) -> None:
    later = DayPlanFactory(spot=plan.spot).trip
    short = PaperKindFactory(name="Landing permission")
    HeldPaperFactory(valid_until=DAY + ONE)
    stops, warns = gaps_by_paper(papers_ahead(at=NOON, business=business))
    assert (stops.answer.kind, stops.answer.blocks) == (short, True)
    assert {trip.pk for trip in stops.trips} == {plan.trip_id, later.pk}
    assert (warns.answer.state, warns.answer.blocks) == (PaperState.RUNNING_OUT, False)


@time_machine.travel(NOON, tick=False)
def test_the_safety_page_leads_from_a_paper_to_its_trips(plan: DayPlan, desk: Client) -> None:
    PaperKindFactory(name="Landing permission")
    text = desk.get(reverse("safety")).content.decode()
    assert text.count("Landing permission") == 2  # its name and the sentence about it
    assert "1\u00a0trip" in text
    assert reverse("trip", args=[plan.trip_id]) in text
