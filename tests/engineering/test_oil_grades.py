"""Grades of oil: the catalogue as an independent witness, old handbooks, and the edges."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisory.engineering.errors import OutOfRange
from advisory.engineering.handbook_grades import handbook_grade
from advisory.engineering.lubricant_catalogue import LUBRICANTS, lubricant
from advisory.engineering.oil_grades import (
    ISO_GRADES,
    iso_viscosity_grade,
    sae_engine_grades,
    sae_gear_grade,
)
from advisory.engineering.viscosity import ColdData, viscosity_index

PASSES_20W = ColdData(
    cranking_viscosity=9.0,
    cranking_temperature_c=-15.0,
    pumping_viscosity=40.0,
    pumping_temperature_c=-20.0,
)


@pytest.mark.parametrize("name", ["20", "30", "40", "50", "60"])
def test_catalogue_engine_oil_meets_the_grade_in_its_name(name):
    oil = lubricant(f"sae-{name}").oil

    assert name in sae_engine_grades(float(oil.kinematic_viscosity_100))


@pytest.mark.parametrize("grade", [32, 46, 68, 100, 150, 220, 320, 460])
def test_catalogue_industrial_oil_meets_the_grade_in_its_name(grade):
    oil = lubricant(f"iso-vg-{grade}").oil

    assert float(iso_viscosity_grade(oil.kinematic_viscosity_40)) == grade


@pytest.mark.parametrize("code", ["gear-90", "gear-140", "gear-90-straight", "gear-140-straight"])
def test_catalogue_gear_oil_meets_the_grade_in_its_name(code):
    oil = lubricant(code).oil

    assert sae_gear_grade(float(oil.kinematic_viscosity_100)) == code.split("-")[1]


@pytest.mark.parametrize("entry", [e for e in LUBRICANTS.values() if not e.multigrade])
def test_catalogue_straight_oil_has_the_index_of_one(entry):
    assert 90.0 < float(viscosity_index(entry.oil)) < 107.0


def test_only_gear_oils_of_unknown_make_may_have_active_sulphur():
    suspected = {code for code, entry in LUBRICANTS.items() if entry.active_sulphur_possible}

    assert suspected == {"gear-90", "gear-140"}


def test_winter_grade_is_named_only_with_cold_data():
    assert sae_engine_grades(18.5e-6) == ("50",)
    assert sae_engine_grades(18.5e-6, cold=PASSES_20W) == ("20W", "50")


@pytest.mark.parametrize(
    "worse",
    [
        {"cranking_viscosity": 9.6},
        {"pumping_viscosity": 60.1},
        {"cranking_temperature_c": -12.0},
        {"pumping_temperature_c": -18.0},
    ],
)
def test_winter_grade_needs_both_tests_at_its_own_temperatures(worse):
    cold = ColdData(**({**vars(PASSES_20W), **worse}))

    assert sae_engine_grades(18.5e-6, cold=cold) == ("50",)


def test_winter_grade_needs_its_least_viscosity_when_hot():
    assert sae_engine_grades(5.5e-6, cold=PASSES_20W) == ("8", "12")


def test_grade_is_lost_with_too_little_at_high_shear():
    assert sae_engine_grades(11.2e-6, high_shear_viscosity=2.8e-3) == ()
    assert sae_engine_grades(11.2e-6, high_shear_viscosity=2.9e-3) == ("30",)


def test_grade_40_asks_less_at_high_shear_of_a_light_multigrade():
    cold_10w = ColdData(
        cranking_viscosity=6.9,
        cranking_temperature_c=-25.0,
        pumping_viscosity=50.0,
        pumping_temperature_c=-30.0,
    )

    assert sae_engine_grades(14e-6, high_shear_viscosity=3.6e-3) == ()
    assert sae_engine_grades(14e-6, high_shear_viscosity=3.6e-3, cold=cold_10w) == ("10W", "40")


def test_ranges_below_grade_20_overlap():
    assert sae_engine_grades(6.95e-6) == ("12", "16", "20")


@given(st.floats(0.5, 60.0))
def test_gear_grades_leave_no_gap_and_do_not_overlap(viscosity):
    grade = sae_gear_grade(viscosity * 1e-6)

    assert (grade is None) == (viscosity < 3.8 * (1 - 1e-9))


@given(st.sampled_from(ISO_GRADES), st.floats(-0.0999, 0.0999))
def test_iso_grade_holds_a_tenth_either_side(grade, off):
    assert float(iso_viscosity_grade(grade * (1.0 + off) * 1e-6)) == grade


@given(st.sampled_from(ISO_GRADES[:-1]))
def test_oil_between_two_iso_grades_has_none(grade):
    assert math.isnan(float(iso_viscosity_grade(grade * 1.101 * 1e-6)))


@pytest.mark.parametrize("bad", [0.0, -1e-6, float("nan")])
def test_viscosity_that_cannot_be_has_no_grade(bad):
    for function in (sae_engine_grades, sae_gear_grade, iso_viscosity_grade):
        with pytest.raises(OutOfRange):
            function(bad)


@pytest.mark.parametrize(
    ("grade", "year", "kind", "today"),
    [
        # ranges of the time from memory, see handbook_grades; a pre-1950 40 is a thick 30 or a
        # thin 40 of today
        ("40", 1934, "engine", ("30", "40")),
        ("SAE 30", 1934, "engine", ("30",)),
        ("50", 1938, "engine", ("40", "50")),
        ("30", 1960, "engine", ("30",)),
        ("90", 1934, "gear", ("90", "110")),
        ("140", 1990, "gear", ("140", "190")),
    ],
)
def test_handbook_grade_is_translated(grade, year, kind, today):
    assert handbook_grade(grade, year, kind).today == today


@pytest.mark.parametrize(
    ("grade", "year", "kind", "argument"),
    [
        ("30", 1910, "engine", "year"),
        ("30", 1995, "engine", "year"),
        ("90", 2010, "gear", "year"),
        ("60", 1960, "engine", "grade"),
        ("10W-30", 1934, "engine", "grade"),
    ],
)
def test_handbook_that_cannot_be_translated_is_refused(grade, year, kind, argument):
    with pytest.raises(OutOfRange) as refusal:
        handbook_grade(grade, year, kind)

    assert refusal.value.argument == argument
