"""Calls go down: what no import shows, and that what imports show would be caught."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from django.apps import apps
from django.contrib.contenttypes.fields import GenericForeignKey
from django.db import models
from django.test.utils import isolate_apps

from guiding.days.models import Spot
from tests.architecture.houses import (
    BELOW,
    ROOT,
    Pointer,
    address_homes,
    code_pointers,
    our_models,
    pointers_in_template,
    points_up,
    relations,
    template_homes,
    template_pointers,
)


def test_every_app_of_ours_has_its_place_in_the_order() -> None:
    houses = ("guiding", "bookings", "equipment")
    ours = [c.label for c in apps.get_app_configs() if c.name.split(".")[0] in houses]
    assert set(ours) - {"guiding"} <= set(BELOW), "say in BELOW what the new app may point to"


def test_no_row_points_up() -> None:
    found = list(relations(our_models()))
    assert Pointer("days.DayPlan.trip", "days", "bookings.Trip", "bookings") in found
    assert [str(pointer) for pointer in found if points_up(pointer)] == []


def test_no_row_points_at_just_anything() -> None:
    # A generic key names its table in a row, where no walk over the tables can see it.
    loose = [
        f"{model._meta.label}.{field.name}"
        for model in our_models()
        for field in model._meta.private_fields
        if isinstance(field, GenericForeignKey)
    ]
    assert loose == []


@isolate_apps("bookings", "equipment")
def test_a_planted_foreign_key_that_points_up_is_caught() -> None:
    class Sneak(models.Model):  # noqa: DJ008
        spot = models.ForeignKey(Spot, on_delete=models.CASCADE, related_name="+")
        spots = models.ManyToManyField(Spot, related_name="+")

        class Meta:
            app_label = "bookings"

    class Across(models.Model):  # noqa: DJ008
        trip = models.OneToOneField(
            apps.get_model("bookings", "Trip"), on_delete=models.CASCADE, related_name="+"
        )

        class Meta:
            app_label = "equipment"

    caught = {pointer.where for pointer in relations([Sneak, Across]) if points_up(pointer)}
    assert caught == {"bookings.Sneak.spot", "bookings.Sneak.spots", "equipment.Across.trip"}


def test_no_template_points_up() -> None:
    found = list(template_pointers())
    assert any(pointer.what == "party_new" for pointer in found), "the walk sees addresses"
    assert any(pointer.what == "bookings/party.html" for pointer in found), "and templates"
    assert sorted({str(pointer) for pointer in found if points_up(pointer)}) == []


@pytest.mark.parametrize(
    "text",
    [
        "{% url 'diary' %}",
        '{%url "trip" trip.pk as next %}',
        "{% extends 'desk/form.html' %}",
        "{% include 'days/spot.html' with x=1 %}",
    ],
)
def test_a_planted_tag_that_points_up_is_caught(text: str) -> None:
    found = list(pointers_in_template(text, "bookings/planted.html", "bookings"))
    assert [pointer for pointer in found if points_up(pointer)]
    below = "{% extends 'base.html' %}{% include '_strip.html' %}{% url 'party_list' %}"
    assert not [p for p in pointers_in_template(below, "x", "bookings") if points_up(p)]


def test_no_code_names_an_address_or_a_template_above_it() -> None:
    found = list(code_pointers())
    assert any(pointer.what == "party_list" or pointer.what == "party" for pointer in found)
    assert sorted({str(pointer) for pointer in found if points_up(pointer)}) == []


def test_the_homes_of_addresses_and_templates_are_known() -> None:
    assert address_homes()["spot_list"] == {"days"}
    assert address_homes()["today"] == {"desk"}
    assert template_homes()["base.html"] == "look"
    assert template_homes()["bookings/party.html"] == "bookings"


PLANTED = {
    "bookings/rules/planted_a.py": ("from guiding.days import models", "guiding.days"),
    "bookings/models/planted_b.py": ("from bookings.actions import trips", "bookings.actions"),
    "equipment/queries/planted_c.py": ("from bookings.models import Trip", "bookings.models"),
    "equipment/rules/planted_d.py": ("from django.utils import timezone", "django"),
    "guiding/almanac/planted_e.py": ("import django", "django"),
    "guiding/days/queries/planted_f.py": ("import guiding.desk.sheets", "guiding.desk"),
    "guiding/costing/planted_g.py": ("import guiding.almanac.light", "guiding.almanac"),
    "bookings/forms/planted_h.py": ("from bookings.actions import trips", "bookings.actions"),
}


@pytest.fixture(scope="module")
def planted(tmp_path_factory: pytest.TempPathFactory) -> str:
    """What the contracts say of a copy of the houses into which upward imports were planted."""
    copy = tmp_path_factory.mktemp("houses")
    leave = shutil.ignore_patterns("__pycache__", "static", "locale")
    for house in ("guiding", "bookings", "equipment"):
        shutil.copytree(ROOT / house, copy / house, ignore=leave)
    shutil.copy(ROOT / "pyproject.toml", copy)
    for name, (line, _) in PLANTED.items():
        (copy / name).write_text(f"{line}  # planted\n", encoding="utf-8")
    tool = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run(
        [str(tool), "--no-cache"], cwd=copy, capture_output=True, text=True, check=False
    )
    assert done.returncode == 1, done.stdout + done.stderr
    return done.stdout


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_import_that_goes_up_is_caught(planted: str, name: str) -> None:
    module, target = name.removesuffix(".py").replace("/", "."), PLANTED[name][1]
    assert f"{module} -> {target}" in planted


def test_the_contracts_hold_as_the_houses_stand() -> None:
    tool = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run(
        [str(tool), "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout[-3000:]
