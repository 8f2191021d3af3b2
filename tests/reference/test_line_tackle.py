"""Line capacity, backing, classes, drag, leaders and knots against the published values."""

from decimal import Decimal

import pytest

from equipment.rules import line
from tests.reference import published

_M_PER_YD = 0.9144
_KG_PER_LB = 0.45359237
_G_PER_OZ = 28.349523125


@pytest.mark.parametrize("row", published.rows("line_capacity_cases"))
def test_capacity_scales_with_diameter_squared(row):
    unit_m = {"m": 1.0, "yd": _M_PER_YD}[row["unit"]]
    fits_m = line.line_capacity_m(
        rated_length_m=float(row["rated_length"]) * unit_m,
        rated_diameter_mm=float(row["rated_diameter_mm"]),
        new_diameter_mm=float(row["new_diameter_mm"]),
    )
    assert fits_m / unit_m == pytest.approx(float(row["length_that_fits"]), rel=1e-3)


@pytest.mark.parametrize("row", published.rows("line_backing_cases"))
def test_backing(row):
    backing_m = line.backing_length_m(
        spool_length_m=float(row["spool_ref_length_m"]),
        spool_diameter_mm=float(row["spool_ref_diameter_mm"]),
        fill_share=float(row["fill_fraction"]),
        main_length_m=float(row["main_length_m"]),
        main_diameter_mm=float(row["main_diameter_mm"]),
        backing_diameter_mm=float(row["backing_diameter_mm"]),
    )
    assert backing_m == pytest.approx(float(row["backing_length_m"]), rel=1e-3)


@pytest.mark.parametrize("row", published.rows("line_class_cases"))
def test_smallest_class_a_line_meets(row):
    found = line.line_class(breaking_load_kg=float(row["tested_breaking_load_kg"]))
    if row["smallest_class_kg_it_meets"] == "above 60":
        assert found is None
    else:
        assert found is not None
        assert found.class_kg == int(row["smallest_class_kg_it_meets"])


def test_class_pounds_are_cut_not_rounded():
    known = published.rows("line_igfa_classes")
    found = line.line_classes()
    assert [row.class_kg for row in found] == [int(row["class_kg"]) for row in known]
    assert [row.customary_lb for row in found] == [int(row["us_customary_lb"]) for row in known]
    assert [row.tested_under_lb for row in found] == [
        Decimal(row["tested_under_lb_published"]) for row in known
    ]


@pytest.mark.parametrize("row", published.rows("line_drag_cases"))
def test_drag_band(row):
    band = line.drag_band(
        line_strength_kg=float(row["line_lb"]) * _KG_PER_LB,
        low_share=float(row["fraction_low"]),
        high_share=float(row["fraction_high"]),
    )
    assert band.low_kg / _KG_PER_LB == pytest.approx(float(row["drag_low_lb"]), abs=0.01)
    assert band.high_kg / _KG_PER_LB == pytest.approx(float(row["drag_high_lb"]), abs=0.01)


def test_drag_defaults_are_the_published_quarter_to_third():
    rule = next(r for r in published.rows("line_rules") if "quarter and a third" in r["rule"])
    band = line.drag_band(line_strength_kg=100)
    assert band.low_kg == pytest.approx(float(rule["low"]))
    assert band.high_kg == pytest.approx(float(rule["high"]), abs=0.5)


@pytest.mark.parametrize("row", published.rows("line_shock_leader_cases"))
def test_shock_leader_strength(row):
    strength_kg = line.shock_leader_kg(lead_g=float(row["lead_oz"]) * _G_PER_OZ)
    assert strength_kg / _KG_PER_LB == pytest.approx(float(row["leader_min_lb"]), abs=0.01)


@pytest.mark.parametrize("material", [line.LineMaterial.MONO, line.LineMaterial.BRAID])
def test_knots_leave_what_the_machine_test_found(material):
    rule = next(
        r
        for r in published.rows("line_rules")
        if r["topic"] == "knot" and f"in {material.value}" in r["rule"]
    )
    band = line.knotted_line_kg(line_strength_kg=100, material=material)
    assert band.low_kg == pytest.approx(float(rule["low"]))
    assert band.high_kg == pytest.approx(float(rule["high"]))


def test_shock_leader_length_takes_the_published_turns():
    rule = next(r for r in published.rows("line_rules") if "rod length plus six" in r["rule"])
    # A 4 m rod and a spool of 1 m circumference.
    length_m = line.shock_leader_length_m(rod_length_m=4, spool_diameter_mm=1000 / 3.14159265)
    assert length_m == pytest.approx(4 + float(rule["low"]), abs=1e-6)


def test_knots_in_a_line_the_test_left_out_are_not_guessed():
    with pytest.raises(ValueError, match="test your own"):
        line.knotted_line_kg(line_strength_kg=10, material=line.LineMaterial.FLUORO)
