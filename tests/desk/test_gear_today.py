"""Today says what gear has to be seen to: defects, services, printed dates, packs left full."""

from __future__ import annotations

import datetime

import pytest
import time_machine
from django.contrib.auth.models import Group
from django.test import Client
from django.urls import reverse

from equipment.actions.checks import put_at_charge
from equipment.actions.defects import ground
from equipment.actions.things import add_thing
from equipment.models import ServiceRecord, Thing
from guiding.desk.queries.gear_today import gear_today
from tests.factories import BookingFactory, UserFactory
from tests.factories_days import DayPlanFactory
from tests.factories_equipment import CraftFactory, PackCheckFactory, ThingFactory
from tests.visit import Visitor

pytestmark = pytest.mark.django_db
NOW = datetime.datetime(2026, 6, 14, 12, 0, tzinfo=datetime.UTC)
WEEKS, HOURS = datetime.timedelta(weeks=5), datetime.timedelta(hours=6)


def test_a_pack_left_full_and_a_defect_stand_on_today(desk: Client) -> None:
    with time_machine.travel(NOW, tick=False):
        BookingFactory(trip__starts_at=NOW + WEEKS, trip__ends_at=NOW + WEEKS + HOURS)
        pack = PackCheckFactory(pack__label="P4").pack
        put_at_charge(packs=[pack], full=True, at=NOW - datetime.timedelta(days=11))
        ground(thing=ThingFactory(label="Rod 7"), what="ring cracked", found_at=NOW)
        visitor = Visitor(desk)
        page = visitor.go(reverse("today"))
        assert "Gear to see to 2" in page.text
        assert "P4 : Storage charge." in page.text.replace("P4:", "P4 :")
        assert "full for 11 days" in page.text
        assert "ring cracked" in page.text
        put_at_charge(packs=[pack], full=False, at=NOW - datetime.timedelta(hours=1))
        assert "Storage charge" not in visitor.go(reverse("today")).text
        assert "Gear to see to 1" in visitor.page.text


def three_new_packs() -> list[Thing]:
    return [
        add_thing(kind="pack", label=f"P{n}", chemistry="lipo", cells_series=4, rated_ah=5.0)
        for n in (1, 2, 3)
    ]


def test_three_new_packs_are_one_row_and_no_trip_needs_them_yet(desk: Client) -> None:
    with time_machine.travel(NOW, tick=False):
        three_new_packs()
        page = Visitor(desk).go(reverse("today"))
        assert "Gear to see to 0" in page.text
        assert "3 things that can wait" in page.text.replace("\N{NO-BREAK SPACE}", " ")
        booking = BookingFactory(trip__starts_at=NOW + WEEKS, trip__ends_at=NOW + WEEKS + HOURS)
        found = gear_today(on=NOW.date())
        assert [[thing.label for thing in row.things] for row in found.rows] == [["P1", "P2", "P3"]]
        assert found.can_wait == 0
        page = Visitor(desk).go(reverse("today"))
        assert "Gear to see to 1" in page.text
        assert page.text.count("No check on record") == 1
        # A day that casts, and one that flies with other packs, go out without them.
        plan = DayPlanFactory(trip=booking.trip, craft=None)
        assert gear_today(on=NOW.date()).can_wait == 3
        plan.craft = CraftFactory()
        plan.save()
        assert gear_today(on=NOW.date()).can_wait == 0
        other = PackCheckFactory(pack__label="P9").pack
        plan.packs.add(other, through_defaults={"position": 1})
        assert "P1" not in {
            thing.label for row in gear_today(on=NOW.date()).rows for thing in row.things
        }


def test_a_pack_left_full_is_seen_to_though_no_trip_is_booked(desk: Client) -> None:
    with time_machine.travel(NOW, tick=False):
        put_at_charge(
            packs=[PackCheckFactory(pack__label="P4").pack], full=True,
            at=NOW - datetime.timedelta(days=11),
        )  # fmt: skip
        [row] = gear_today(on=NOW.date()).rows
        assert [task.what for task in row.tasks] == ["Storage charge"]


def test_today_without_anything_to_do_says_so(desk: Client) -> None:
    assert "every pack lies as it should" in Visitor(desk).go(reverse("today")).text


def test_who_may_not_see_gear_is_told_nothing_of_it(client: Client, season: object) -> None:
    bookkeeper = UserFactory()
    bookkeeper.groups.add(Group.objects.get(name__iexact="bookkeeper"))
    client.force_login(bookkeeper, backend="allauth.account.auth_backends.AuthenticationBackend")
    assert "Gear to see to" not in Visitor(client).go(reverse("today")).text


def test_the_season_has_a_beacon_whose_printed_date_comes_near(season_desk: Client) -> None:
    beacon = Thing.objects.get(kind="beacon")
    assert beacon.expires_on == datetime.date(2026, 7, 16)
    page = Visitor(season_desk).go(beacon.get_absolute_url())
    assert "good to 16 July 2026" in page.text
    assert "Printed date Thu 16 Jul 2026" in page.text
    assert not ServiceRecord.objects.filter(rule_name="Printed date").exists()
    undated = Thing.objects.get(kind="rod", label="Rod 1")
    assert "Printed date" not in Visitor(season_desk).go(undated.get_absolute_url()).text
