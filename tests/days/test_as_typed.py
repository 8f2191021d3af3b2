"""Quantities come back in the words in which they were typed, on forms and in titles."""

import inspect
from collections.abc import Iterator

import pytest
from django import forms
from django.urls import reverse

from equipment.forms import packs, reels, things
from equipment.forms.quantities import QuantityField
from equipment.models import Line, Reel
from equipment.models.typed import AsTyped
from guiding.days.actions.rigs import save_rig
from guiding.days.forms import catches, drops, spots
from guiding.days.forms.rigs import shown_parts
from guiding.days.models import Rig
from tests import factories_flights as flights
from tests.factories_days import SpeciesRuleFactory, SpotFactory
from tests.factories_equipment import CraftFactory, FlightPackFactory, ReelFactory
from tests.visit import Visitor

pytestmark = pytest.mark.django_db


@pytest.fixture
def visitor(desk):
    return Visitor(desk)


FORMS = {
    "craft": ("thing_edit", lambda: CraftFactory().pk, "mass_kg",
              {"mass_kg": "4 lb", "rotor_diameter_m": "10 in", "wind_limit_ms": "25 kn"}),
    "pack": ("thing_edit", lambda: FlightPackFactory().pk, "rated_ah", {"rated_ah": "5000 mAh"}),
    "reel": ("thing_edit", lambda: ReelFactory().pk, "rated_m",
             {"rated_m": "550 yd", "rated_mm": "0.014 in"}),
    "rig": ("rig_edit", lambda: flights.rig().pk, "part-0-name",
            {"main_strength_kgf": "60 lb", "first_dropper_m": "4 ft 2 in", "bait_g": "2.5 oz",
             "part-3-length_m": "15 ft", "part-1-strength_kgf": "3 lb"}),
    "spot": ("spot_edit", lambda: SpotFactory().pk, "place",
             {"sill_m": "11 ft 6 in", "wind_stop_ms": "27 kn", "wind-0-from_deg": "200",
              "wind-0-to_deg": "250", "wind-0-stop_ms": "20 kn"}),
    "permit": ("permit_edit", lambda: flights.permit("aviation", SpotFactory()).pk,
               "height_limit_m", {"height_limit_m": "150 ft"}),
    "drops": ("trip_drops_edit", lambda: flights.flown_plan().trip_id, "wind_ms",
              {"wind_ms": "12 kn", "gust_ms": "", "height_m": "50 ft", "link_1": "3.5 lb"}),
    "species": ("species", lambda: SpeciesRuleFactory().pk, "least_mm", {"least_mm": "14.25 in"}),
}  # fmt: skip


@pytest.mark.parametrize("which", FORMS)
def test_a_form_gives_back_what_was_typed(visitor, which):
    name, row, having, typed = FORMS[which]
    address = reverse(name, args=[row()])
    visitor.go(address)
    page = visitor.send(having, **typed)
    assert page.status == 200, page.problems
    shown = visitor.go(address).form(having).values
    assert {name: shown[name] for name in typed} == typed
    visitor.send(having)  # saved again without a touch, nothing creeps
    assert {name: visitor.go(address).form(having).values[name] for name in typed} == typed


def test_a_line_is_called_what_its_spool_says(visitor):
    reel = ReelFactory()
    visitor.go(reverse("reel_spool", args=[reel.pk]))
    visitor.send(
        "spooled_m", spooled_m="300 yd", diameter_mm="0.28", strength_kgf="30 lb",
        price_per_m="0.1", on="2026-06-03",
    )  # fmt: skip
    line = Line.objects.get()
    assert str(line) == "braid 30 lb 0.28 mm"
    assert line.strength_kgf == pytest.approx(13.6078, abs=1e-4)
    assert "braid 30 lb 0.28 mm" in visitor.go(reverse("reel", args=[reel.pk])).text


def test_the_usual_rig_begun_in_pounds_stays_in_pounds(visitor):
    visitor.go(reverse("rig_list"))
    page = visitor.send("main_kgf", main_kgf="30 lb")
    assert page.form("part-0-name").values["main_strength_kgf"] == "30 lb"
    page = visitor.send("part-0-name", name="Beach rig")
    assert "for a main line of 30 lb" in page.text
    assert "30 lb" in visitor.go(reverse("rig_list")).text
    assert "13.6" not in visitor.page.text


def test_a_number_changed_by_another_hand_no_longer_answers_to_the_words(visitor):
    rig = flights.rig()
    visitor.go(reverse("rig_edit", args=[rig.pk]))
    visitor.send("part-0-name", main_strength_kgf="60 lb")
    rig = Rig.objects.get()
    assert rig.words("main_strength_kgf") == "60 lb"
    parts = [part | {"length_m": part["length_m"] or 0, "mass_g": part["mass_g"] or 0}
             for part in shown_parts(rig)]  # fmt: skip
    save_rig(rig=rig, parts=parts, main_strength_kgf=25.0)
    assert Rig.objects.get().words("main_strength_kgf") == ""
    Reel.objects.filter(pk=ReelFactory(as_typed={"rated_m": ["550 yd", 502.92]}).pk).update(
        rated_m=500.0
    )
    assert Reel.objects.get().all_words() == {}


def test_numbers_stand_in_forms_as_people_write_them(visitor):
    form = visitor.go(reverse("spot_edit", args=[SpotFactory().pk])).form("place")
    assert (form.values["seaward_deg"], form.values["wind_stop_ms"]) == ("285", "14")
    form = visitor.go(reverse("thing_edit", args=[CraftFactory().pk])).form("mass_kg")
    assert (form.values["price"], form.values["mass_kg"]) == ("1300.00", "2.2")


def _forms() -> Iterator[type[forms.BaseModelForm]]:
    for module in (packs, reels, things, catches, drops, spots):
        for _, found in inspect.getmembers(module, inspect.isclass):
            if issubclass(found, forms.BaseModelForm) and found._meta.model:
                yield found


def test_every_row_with_a_quantity_in_other_units_can_keep_its_words():
    asked = {
        form._meta.model
        for form in _forms()
        if any(isinstance(field, QuantityField) for field in form.base_fields.values())
    }
    assert len(asked) >= 5
    assert [model for model in asked if not issubclass(model, AsTyped)] == []
