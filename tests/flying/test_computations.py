"""What this room promises to whoever calls it by name: annotations, docstrings, marks."""

import importlib
import inspect
import json
import pkgutil
import re
from dataclasses import asdict, fields

import pytest
from pydantic import TypeAdapter, validate_call

import guiding.flying
from guiding.flying.craft import Craft, Pack
from guiding.flying.defaults import FlyingDefaults
from guiding.flying.flight import DropFlight
from guiding.flying.rigs import Rig
from tests.flying.example import CRAFT, FLIGHT, PACK, PLAN, RIG


def _computations():
    found = {}
    for module in pkgutil.walk_packages(guiding.flying.__path__, "guiding.flying."):
        loaded = importlib.import_module(module.name)
        for name, function in inspect.getmembers(loaded, inspect.isfunction):
            if not name.startswith("_") and function.__module__ == module.name:
                found[name] = function
    return found


COMPUTATIONS = _computations()


def test_the_room_offers_what_the_desk_asks_of_it():
    assert {
        "isa_density_kg_m3", "sortie", "drop_estimate", "learned_use", "line_pull_n",
        "weak_link_window", "spool_need_m", "drop_fall", "fall_zone_radius_m",
        "height_over_waves_m", "two_dropper_rig", "tie_list", "shopping_list", "plan_packs",
        "charges_possible", "drop_permission", "check_drop",
    } <= set(COMPUTATIONS)  # fmt: skip


@pytest.mark.parametrize("name", sorted(COMPUTATIONS))
def test_a_computation_can_be_called_with_checked_arguments(name):
    function = COMPUTATIONS[name]
    signature = inspect.signature(function)
    assert all(p.annotation is not inspect.Parameter.empty for p in signature.parameters.values())
    assert signature.return_annotation is not inspect.Signature.empty
    validate_call(function)  # raises where pydantic cannot read an annotation
    first = inspect.getdoc(function).splitlines()[0]
    assert first.endswith(".")
    assert len(first) > 30


def test_a_whole_plan_can_be_given_as_json():
    for kind, value in ((Craft, CRAFT), (Pack, PACK), (DropFlight, FLIGHT), (Rig, RIG)):
        assert TypeAdapter(kind).validate_python(json.loads(json.dumps(asdict(value)))) == value
    plan = TypeAdapter(type(PLAN)).validate_json(TypeAdapter(type(PLAN)).dump_json(PLAN))
    assert plan == PLAN


def test_every_house_figure_is_named_with_its_mark():
    text = inspect.getdoc(FlyingDefaults)
    for field in fields(FlyingDefaults):
        assert re.search(rf"^{field.name} +\[(house|common|pub)", text, re.MULTILINE), field.name


def test_the_answers_can_be_written_as_json():
    findings = COMPUTATIONS["check_drop"](PLAN)
    written = json.loads(json.dumps([asdict(finding) for finding in findings]))
    assert {one["verdict"] for one in written} == {"go"}
    estimate = COMPUTATIONS["drop_estimate"](CRAFT, PACK, FLIGHT)
    assert json.loads(json.dumps(asdict(estimate)))["drops"] == estimate.drops
