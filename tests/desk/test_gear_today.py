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
from equipment.models import ServiceRecord, Thing
from tests.factories import UserFactory
from tests.factories_equipment import PackCheckFactory, ThingFactory
from tests.visit import Visitor

pytestmark = pytest.mark.django_db
NOW = datetime.datetime(2026, 6, 14, 12, 0, tzinfo=datetime.UTC)


def test_a_pack_left_full_and_a_defect_stand_on_today(desk: Client) -> None:
    with time_machine.travel(NOW, tick=False):
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
