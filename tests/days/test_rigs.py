"""Rigs as recipes: what is saved, what is refused, what a drawing is made from."""

import pytest
from django.core.exceptions import ValidationError

from guiding.days.actions.rigs import save_rig, set_rigs_ready, shelve_rig, take_rig_up, usual_parts
from guiding.days.models import Rig, RigPart
from guiding.days.queries.rigs import losses, rigs
from guiding.days.sheets.rigs import recipe, rig_facts
from guiding.drawings.rig import rig_rows
from guiding.flying import rigs as recipes
from guiding.flying.rigs import PartKind
from tests import factories_flights as flights
from tests.factories_equipment import CraftFactory

pytestmark = pytest.mark.django_db


def changed(parts, which, /, **values):
    """The parts of a recipe with every part of one kind changed."""
    return [part | values if part["kind"] == which else part for part in parts]


def usual():
    return usual_parts(main_strength_kgf=22.7)


def test_the_usual_rig_is_saved_as_common_practice_has_it():
    # two droppers on three-way swivels, about five metres: common practice, no source
    fields, parts = usual()
    saved = save_rig(parts=parts, **fields)
    made = recipe(Rig.objects.get(pk=saved.pk))
    assert recipes.rig_length_m(made) == pytest.approx(5, abs=0.25)
    assert [made.count(kind) for kind in (PartKind.DROPPER, PartKind.THREE_WAY, PartKind.HOOK)] == [
        2, 2, 2
    ]  # fmt: skip
    link = saved.parts.get(kind="weak link")
    assert link.strength_kgf < saved.main_strength_kgf
    assert saved.origin == "common practice, no source"
    assert [part.position for part in saved.parts.all()] == list(range(1, 10))


@pytest.mark.parametrize("kind", ["weak link", "trace", "dropper", "sinker link"])
def test_a_part_stronger_than_the_main_line_is_refused_and_nothing_is_written(kind):
    fields, parts = usual()
    with pytest.raises(ValidationError) as refusal:
        save_rig(parts=changed(parts, kind, strength_kgf=25), **fields)
    told = " ".join(refusal.value.message_dict["parts"])
    assert f"The {kind} holds 245 N (25 kgf) and the main line only 223 N (22.7 kgf)" in told
    assert not Rig.objects.exists()


def test_a_refused_change_leaves_the_recipe_as_it_was():
    saved = flights.rig()
    before = list(saved.parts.values_list("name", "strength_kgf"))
    _, parts = usual()
    with pytest.raises(ValidationError):
        save_rig(rig=saved, parts=changed(parts, "weak link", strength_kgf=30), name="Worse")
    again = Rig.objects.get()
    assert (again.name, list(again.parts.values_list("name", "strength_kgf"))) == (
        "Two droppers", before
    )  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "values", "words"),
    [
        ("trace", {"length_m": 0}, "is cut from line: give the length"),
        ("trace", {"strength_kgf": None}, "is cut from line: give the length"),
        ("hook", {"name": "h" * 300}, "Line 7, what to take"),
        ("hook", {"count": 0}, "Line 7, count"),
        ("hook", {"mass_g": -5}, "Line 7, mass of one"),
        ("hook", {"kind": "anchor"}, "Line 7, kind"),
    ],
)
def test_a_part_that_cannot_be_is_named_by_its_line(kind, values, words):
    fields, parts = usual()
    with pytest.raises(ValidationError) as refusal:
        save_rig(parts=changed(parts, kind, **values), **fields)
    assert words in " ".join(refusal.value.message_dict["parts"])
    assert not RigPart.objects.exists()


def test_droppers_whose_hooks_could_meet_are_refused():
    fields, parts = usual()
    with pytest.raises(ValidationError, match="so that hooks cannot meet"):
        save_rig(parts=parts, **fields | {"dropper_spacing_m": 0.9})
    with pytest.raises(ValidationError, match="lengthen the trace or close the spacing"):
        save_rig(parts=parts, **fields | {"dropper_spacing_m": 4.0})


def test_a_rig_without_hook_or_trace_is_none():
    fields, parts = usual()
    for kind in ("hook", "trace"):
        rest = [part for part in parts if part["kind"] != kind]
        with pytest.raises(ValidationError, match=f"has no {kind}"):
            save_rig(parts=rest, **fields)


def test_a_name_is_taken_once():
    flights.rig()
    with pytest.raises(ValidationError) as refusal:
        flights.rig()
    assert "name" in refusal.value.message_dict


def test_a_rig_put_aside_is_offered_no_more_and_comes_back():
    saved = flights.rig()
    shelve_rig(rig=saved)
    assert not rigs().exists()
    assert list(rigs(shelved=True)) == [saved]
    take_rig_up(rig=saved)
    assert list(rigs()) == [saved]


def test_the_number_tied_is_set_and_kept_within_reason():
    saved = flights.rig()
    assert set_rigs_ready(rig=saved, ready=7).ready == 7
    with pytest.raises(ValidationError):
        set_rigs_ready(rig=saved, ready=501)


def test_the_drawing_names_every_part_and_leads_the_weak_link_to_the_clip():
    saved = flights.rig(bait="squid strip")
    facts = rig_facts(recipe(saved), main_strength_n=222.4, bait=saved.bait)
    rows = {row.name: row for row in rig_rows(facts)}
    assert "to the clip" in rows["weak-link line"].length
    assert rows["dropper line"].carries == "hook 6/0, 80 g squid strip"
    assert rows["trace line"].strength == "19\u00a0kgf"
    assert "sinker 150 g" in rows
    assert [branch.at_m for branch in facts.branches] == pytest.approx([1.2, 2.7])


def test_a_hook_without_a_dropper_hangs_at_the_end():
    fields, parts = usual()
    single = [part for part in parts if part["kind"] not in ("dropper", "three-way swivel")]
    facts = rig_facts(recipe(save_rig(parts=single, **fields)), main_strength_n=222.4)
    assert facts.branches == ()
    assert facts.sinker == "sinker 150 g; hook 6/0, 80 g; hook 6/0, 80 g"


def test_the_weak_link_of_the_day_takes_the_place_of_the_recipes():
    saved = flights.rig()
    (link,) = recipe(saved, weak_link_kgf=1.6).of(PartKind.WEAK_LINK)
    assert link.strength_n == pytest.approx(1.6 * 9.80665)


def test_losses_are_learned_from_twenty_drops_on():
    saved, craft = flights.rig(), CraftFactory()
    used = flights.pack(craft)
    for n in range(19):
        flights.logged(craft, used, rig=saved, rig_lost=n < 3)
    assert losses(rigs=[saved.pk])[saved.pk].share is None
    flights.logged(craft, used, rig=saved, rig_lost=True)
    found = losses(rigs=[saved.pk])[saved.pk]
    assert (found.drops, found.lost, found.share) == (20, 4, 0.2)
