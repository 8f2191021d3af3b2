"""The pages of gear through HTTP: they open, they write through one action, they refuse kindly."""

from __future__ import annotations

import datetime
import re
import uuid

import pytest
from django.urls import reverse

from equipment.actions.defects import ground
from equipment.actions.service import record_service, save_rule
from equipment.actions.use import record_use
from equipment.models import (
    Craft,
    Defect,
    FlightPack,
    Line,
    Overrule,
    PackCheck,
    Reel,
    ServiceRecord,
    ServiceRule,
    Spooling,
    Thing,
    UseEntry,
)
from equipment.urls import urlpatterns
from tests.factories import UserFactory
from tests.factories_equipment import (
    CraftFactory,
    FlightPackFactory,
    PackCheckFactory,
    ReelFactory,
    SpoolingFactory,
    ThingFactory,
)

pytestmark = pytest.mark.django_db
AT = datetime.datetime(2026, 6, 1, 8, 0, tzinfo=datetime.UTC)
BAD = "<script>alert('x')</script> & <b>bold</b>"


@pytest.fixture
def kit(owner):
    """One of everything, with some history."""
    craft = CraftFactory(label="Craft A")
    pack = PackCheckFactory(pack=FlightPackFactory(label="P1", fits=craft)).pack
    reel = SpoolingFactory(reel=ReelFactory(label="Reel 1")).reel
    rod = ThingFactory(label="Rod 1", note=BAD)
    entry = record_use(thing=reel, kind="cut_back_m", amount=8, at=AT, trip_uid=uuid.uuid4())
    record_use(thing=craft, kind="flight", amount=12, at=AT)
    defect = ground(thing=rod, what=BAD, found_at=AT)
    rule = save_rule(kind="craft", name="Props", every_flights=10)
    record = record_service(thing=craft, rule_name="Props", done_at=AT)
    return {
        "craft": craft, "pack": pack, "reel": reel, "rod": rod, "entry": entry,
        "defect": defect, "rule": rule, "record": record, "check": pack.checks.get(),
    }  # fmt: skip


def every_page(kit):
    """The addresses of every page that can be looked at, with the rows they need."""
    by_name = {
        "thing": "rod", "thing_edit": "craft", "thing_retire": "rod", "defect_new": "rod",
        "service_new": "craft", "use_list": "reel", "use_new": "reel", "craft": "craft",
        "pack": "pack", "reel": "reel", "reel_spool": "reel", "reel_move": "reel",
        "reel_take_off": "reel", "defect_sign_off": "defect", "use_reverse": "entry",
        "check_strike_out": "check", "service_strike_out": "record", "rule_edit": "rule",
        "attachment_new": "rod",
    }  # fmt: skip
    written_only = {
        "thing_take_back", "pack_charge", "gear_due_done", "attachment", "attachment_off",
        "use_import_enter", "gear_choice",
    }  # fmt: skip
    for pattern in urlpatterns:
        name = pattern.name
        if name in written_only:
            continue
        if name == "thing_new_of":
            yield from (reverse(name, args=[kind]) for kind in Thing.Kind.values)
        elif name in by_name:
            yield reverse(name, args=[kit[by_name[name]].pk])
        else:
            yield reverse(name)


def test_every_page_opens_and_shows_no_raw_value(desk, kit):
    for address in every_page(kit):
        page = desk.get(address)
        assert page.status_code == 200, address
        if "html" not in page["Content-Type"]:
            continue
        words = page.content.decode()
        assert "<script>alert" not in words, address
        for raw in (">None<", ">True<", "datetime.", "Kind."):
            assert raw not in words, (address, raw)
        assert not re.search(r">\s*20\d\d-\d\d-\d\d\s*<", words), address


def test_every_page_opens_when_nothing_is_entered(desk):
    for name in ("gear", "pack_list", "pack_checks", "gear_due", "rule_list", "use_day",
                 "gear_wear", "gear_books", "use_import", "gear_csv", "use_csv"):  # fmt: skip
        page = desk.get(reverse(name))
        assert page.status_code == 200, name


def test_pages_are_closed_to_nobody_and_to_whoever_has_no_right(client, kit):
    someone = UserFactory()
    for address in every_page(kit):
        assert client.get(address).status_code == 302, address
    client.force_login(someone, backend="allauth.account.auth_backends.AuthenticationBackend")
    for address in every_page(kit):
        assert client.get(address).status_code == 403, address


@pytest.mark.parametrize("kind", Thing.Kind.values)
def test_a_thing_of_every_kind_can_be_entered_by_hand(desk, kind):
    typed = {"label": f"{kind} 1", "salvage": "0", "book_method": "straight_line"}
    own = {
        "craft": {"mass_kg": "2.2", "max_takeoff_kg": "9 lb", "rotors": "4",
                  "rotor_diameter_m": "10 in", "wind_limit_ms": "25 kn", "efficiency": "0.55",
                  "airspeed_out_ms": "8", "airspeed_home_ms": "12"},
        "pack": {"chemistry": "lipo", "cells_series": "4", "rated_ah": "5000 mAh",
                 "cycles_before": "0", "expected_cycles": "180"},
    }  # fmt: skip
    page = desk.post(reverse("thing_new_of", args=[kind]), typed | own.get(kind, {}))
    assert page.status_code == 303, page.content.decode()[:3000]
    row = Thing.objects.get()
    assert page["Location"] == row.get_absolute_url()
    assert desk.get(page["Location"]).status_code == 200
    if kind == "craft":
        craft = Craft.objects.get()
        assert craft.rotor_diameter_m == pytest.approx(0.254)
        assert craft.wind_limit_ms == pytest.approx(12.861, abs=0.001)
        assert craft.max_takeoff_kg == pytest.approx(4.082, abs=0.001)
    if kind == "pack":
        assert FlightPack.objects.get().rated_ah == 5


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({}, "This field is required"),
        ({"label": "x" * 300}, "at most 40 characters"),
        ({"label": "P1", "price": "10", "salvage": "20"}, "more than its price"),
        ({"label": "P1", "bought_on": "1890-01-01"}, "cannot be right"),
        ({"label": "P1", "mass_kg": "1,234"}, "two ways"),
        ({"label": "P1", "mass_kg": "five"}, "no number"),
        ({"label": "P1", "mass_kg": "2 knots"}, "does not fit here"),
        ({"label": "P1", "mass_kg": "5", "max_takeoff_kg": "4"}, "below the mass"),
    ],
)
def test_what_cannot_be_is_refused_and_what_was_typed_stays(desk, typed, words):
    good = {"mass_kg": "2.2", "max_takeoff_kg": "4", "rotors": "4", "rotor_diameter_m": "0.25",
            "wind_limit_ms": "12", "efficiency": "0.55", "airspeed_out_ms": "8",
            "airspeed_home_ms": "12", "salvage": "0", "book_method": "straight_line"}  # fmt: skip
    page = desk.post(reverse("thing_new_of", args=["craft"]), good | typed if typed else {})
    assert page.status_code == 422
    assert words in page.content.decode()
    assert not Thing.objects.exists()
    for value in typed.values():
        assert value in page.content.decode()


def test_two_things_cannot_have_one_label(desk, kit):
    page = desk.post(
        reverse("thing_new_of", args=["rod"]),
        {"label": "Rod 1", "salvage": "0", "book_method": "straight_line"},
    )
    assert page.status_code == 422
    assert Thing.objects.filter(kind="rod").count() == 1


def test_a_thing_is_changed_and_its_history_kept(desk, kit):
    pack = kit["pack"]
    page = desk.post(
        reverse("thing_edit", args=[pack.pk]),
        {"label": "P1b", "chemistry": "lipo", "cells_series": "4", "rated_ah": "5",
         "cycles_before": "3", "expected_cycles": "180", "salvage": "0",
         "book_method": "straight_line"},
    )  # fmt: skip
    assert page.status_code == 303
    assert FlightPack.objects.get().label == "P1b"
    assert FlightPack.history.count() == 2


def test_ten_packs_are_checked_in_a_row(desk):
    packs = [FlightPackFactory() for _ in range(10)]
    typed = {"at": "2026-06-01T09:00", "by": "Orla Tern"}
    for pack in packs:
        typed[f"{pack.pk}-v-1"] = "3.80 3.81 3.80 3.79"  # pasted from a meter
        typed[f"{pack.pk}-capacity"] = "4.6"
    page = desk.post(reverse("pack_checks"), typed)
    assert page.status_code == 303
    assert PackCheck.objects.count() == 10
    assert PackCheck.objects.first().cells_v == [3.80, 3.81, 3.80, 3.79]


def test_one_wrong_reading_keeps_all_ten_out_and_says_where(desk):
    packs = [FlightPackFactory() for _ in range(10)]
    typed = {"at": "2026-06-01T09:00"} | {f"{pack.pk}-capacity": "4.6" for pack in packs}
    typed[f"{packs[6].pk}-v-1"] = "5.0 3.8 3.8 3.8"
    page = desk.post(reverse("pack_checks"), typed)
    assert page.status_code == 422
    assert "Cell 1 reads 5 V" in page.content.decode()
    assert not PackCheck.objects.exists()


def test_a_day_is_logged_on_one_page_and_only_once(desk, kit):
    page = desk.get(reverse("use_day"))
    batch = re.search(r'name="batch" value="([0-9a-f-]+)"', page.content.decode())[1]
    pack, reel, rod = kit["pack"], kit["reel"], kit["rod"]
    typed = {
        "on": "2026-06-02", "batch": batch, f"{pack.pk}-cycle": "3",
        f"{reel.pk}-cut_back_m": "12", f"{reel.pk}-fish": "2", f"{rod.pk}-out": "on",
    }  # fmt: skip
    before = UseEntry.objects.count()
    assert desk.post(reverse("use_day"), typed).status_code == 303
    assert desk.post(reverse("use_day"), typed).status_code == 303
    assert UseEntry.objects.count() == before + 6  # three trips, cycles, metres, fish
    assert Line.objects.get().used_m == 20


def test_a_day_that_takes_too_much_line_is_refused_whole(desk, kit):
    page = desk.get(reverse("use_day"))
    batch = re.search(r'name="batch" value="([0-9a-f-]+)"', page.content.decode())[1]
    typed = {"on": "2026-06-02", "batch": batch, f"{kit['reel'].pk}-lost_m": "9999",
             f"{kit['pack'].pk}-cycle": "3"}  # fmt: skip
    before = UseEntry.objects.count()
    refused = desk.post(reverse("use_day"), typed)
    assert refused.status_code == 422
    assert "592 m left" in refused.content.decode()
    assert 'value="9999"' in refused.content.decode()
    assert UseEntry.objects.count() == before


def test_a_use_is_logged_and_taken_out_again(desk, kit):
    rod = kit["rod"]
    key = str(uuid.uuid4())
    typed = {"kind": "fish", "amount": "2", "at": "2026-06-03T10:00", "key": key}
    for _ in range(2):  # pressed twice
        assert desk.post(reverse("use_new", args=[rod.pk]), typed).status_code == 303
    entry = UseEntry.objects.get(thing=rod, kind="fish")
    typed = {"reason": "other rod", "key": str(uuid.uuid4())}
    assert desk.post(reverse("use_reverse", args=[entry.pk]), typed).status_code == 303
    assert UseEntry.objects.filter(reverses=entry).exists()
    assert desk.get(reverse("use_reverse", args=[entry.pk])).status_code == 200


def test_line_is_spooled_moved_and_taken_off(desk, kit):
    second = ReelFactory(label="Reel 2")
    typed = {"material": "braid", "spooled_m": "300 yd", "diameter_mm": "0.28",
             "strength_kgf": "50 lb", "backing_m": "", "price_per_m": "0.1",
             "on": "2026-06-03"}  # fmt: skip
    assert desk.post(reverse("reel_spool", args=[second.pk]), typed).status_code == 303
    line = Line.objects.get(spoolings__reel=second)
    assert line.spooled_m == pytest.approx(274.32)
    assert line.strength_kgf == pytest.approx(22.68, abs=0.01)
    typed = {"reel": kit["reel"].pk, "turned": "on", "on": "2026-06-04"}
    assert desk.post(reverse("reel_move", args=[second.pk]), typed).status_code == 303
    assert Spooling.objects.get(reel=kit["reel"], on_until=None).line == line
    typed = {"on": "2026-06-05"}
    assert desk.post(reverse("reel_take_off", args=[kit["reel"].pk]), typed).status_code == 303
    assert not Spooling.objects.filter(on_until=None).exists()


def test_the_due_list_is_worked_off_by_ticks(desk, kit):
    record_use(thing=kit["craft"], kind="flight", amount=30, at=AT + datetime.timedelta(days=1))
    page = desk.get(reverse("gear_due")).content.decode()
    value = f"{kit['craft'].pk}:Props"
    assert f'value="{value}"' in page
    typed = {"done": [value], "done_by": "Orla Tern"}
    assert desk.post(reverse("gear_due_done"), typed).status_code == 303
    assert ServiceRecord.objects.filter(done_by="Orla Tern").count() == 1
    assert f'value="{value}"' not in desk.get(reverse("gear_due")).content.decode()
    desk.post(reverse("gear_due_done"), typed)  # the back button, pressed again
    assert ServiceRecord.objects.filter(done_by="Orla Tern").count() == 1


def test_the_due_page_puts_the_next_trip_before_later_ones(desk, kit, settings):
    settings.GEAR_BOOKED_DAYS = "tests.equipment.test_advice.plugged"
    other = CraftFactory(label="Craft B")
    save_rule(kind="craft", name="Airframe", every_trips=2)
    for craft, trips in ((kit["craft"], 2), (other, 1)):
        record_service(thing=craft, rule_name="Airframe", done_at=AT)
        for day in range(1, trips + 1):
            at = AT + datetime.timedelta(days=day)
            record_use(thing=craft, kind="flight", at=at, trip_uid=uuid.uuid4())
    page = desk.get(reverse("gear_due"), {"on": "2026-06-13"}).content.decode()
    first, later = page.split("Before later trips")
    assert "Now, or before the trip of" in first
    assert "Airframe" in first
    assert "Craft A" in first
    assert "Craft B" not in first
    assert "Craft B" in later
    assert "Airframe" in later


def test_a_defect_is_signed_off_with_name_and_reason(desk, kit):
    address = reverse("defect_sign_off", args=[kit["defect"].pk])
    assert desk.post(address, {"by": "", "reason": ""}).status_code == 422
    assert desk.post(address, {"by": "Orla Tern", "reason": "ring changed"}).status_code == 303
    assert Defect.objects.get(pk=kit["defect"].pk).signed_off_by == "Orla Tern"


def test_a_rule_is_changed_and_keeps_its_records(desk, kit):
    typed = {"kind": "craft", "name": "Props, replaced", "every_flights": "50", "lead_days": "14",
             "lead_percent": "10", "mark": "house", "in_force": "on", "grounds": "on"}  # fmt: skip
    assert desk.post(reverse("rule_edit", args=[kit["rule"].pk]), typed).status_code == 303
    assert ServiceRule.objects.get(pk=kit["rule"].pk).every_flights == 50
    assert ServiceRecord.objects.get().rule_name == "Props, replaced"
    refused = desk.post(reverse("rule_new"), {"kind": "rod", "name": "Look", "lead_days": "14",
                                              "lead_percent": "10", "mark": "house"})  # fmt: skip
    assert refused.status_code == 422
    assert "at least one limit" in refused.content.decode()


def test_a_choice_for_a_trip_is_kept_and_leads_back(desk, kit):
    trip = uuid.uuid4()
    typed = {"trip": str(trip), "on": "2026-06-20", "word": "leave", "reason": "kept back",
             "next": "/gear/packs/"}  # fmt: skip
    page = desk.post(reverse("gear_choice", args=[kit["pack"].pk]), typed)
    assert page["Location"] == "/gear/packs/"
    assert Overrule.objects.get().take is False
    away = desk.post(
        reverse("gear_choice", args=[kit["pack"].pk]), typed | {"next": "https://evil.example/"}
    )
    assert away["Location"] == "/gear/"
    desk.post(reverse("gear_choice", args=[kit["pack"].pk]), typed | {"word": "follow"})
    assert not Overrule.objects.exists()


def test_packs_are_noted_as_charged_and_stored(desk, kit):
    typed = {"packs": [kit["pack"].pk], "full": "1"}
    assert desk.post(reverse("pack_charge"), typed).status_code == 303
    assert FlightPack.objects.get().charged_full_at is not None
    assert desk.post(reverse("pack_charge"), {}).status_code == 303


def test_retire_and_take_back(desk, kit):
    address = reverse("thing_retire", args=[kit["rod"].pk])
    assert desk.post(address, {"on": "2026-06-05", "reason": ""}).status_code == 422
    assert desk.post(address, {"on": "2026-06-05", "reason": "cracked"}).status_code == 303
    assert ">Rod 1</a>" not in desk.get(reverse("gear")).content.decode()
    assert ">Rod 1</a>" in desk.get(reverse("gear"), {"state": "retired"}).content.decode()
    desk.post(reverse("thing_take_back", args=[kit["rod"].pk]))
    assert ">Rod 1</a>" in desk.get(reverse("gear")).content.decode()


def test_looking_changes_nothing(desk, kit):
    before = [model.objects.count() for model in (Thing, UseEntry, Defect, PackCheck, Reel)]
    for address in every_page(kit):
        desk.get(address)
    for name in ("thing_take_back", "attachment_off"):
        assert desk.get(reverse(name, args=[1])).status_code == 405
    after = [model.objects.count() for model in (Thing, UseEntry, Defect, PackCheck, Reel)]
    assert before == after


def test_the_spool_calculator_answers_and_refuses(desk):
    asked = {"rated_m": "300", "rated_mm": "0.40", "line_m": "300", "line_mm": "0.30",
             "backing_mm": "0.40"}  # fmt: skip
    page = desk.get(reverse("reel_fill"), asked).content.decode()
    assert "131" in page  # (300 x 0.16 - 300 x 0.09) / 0.16 = 131.25 m
    page = desk.get(reverse("reel_fill"), asked | {"line_m": "900"}).content.decode()
    assert "do not fit" in page


def test_a_list_for_another_day_says_so_and_nonsense_counts_as_today(desk, kit):
    page = desk.get(reverse("gear"), {"on": "2026-05-01"}).content.decode()
    assert "1 May 2026" in page or "May 1, 2026" in page
    assert (
        desk.get(reverse("gear"), {"on": "nonsense", "kind": "x", "state": "y"}).status_code == 200
    )
