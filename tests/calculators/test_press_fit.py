"""The calculator `press-fit`, by the command."""

import pytest

from advisory.engineering.checks import fits as published
from tests.calculators.asking import answer, asked, refusal, value

#: A published worked example by Lame, see advisory.engineering.checks.fits.
SLEEVE = {
    "interface_diameter": "50 mm", "sleeve_outer_diameter": "80 mm", "length": "40 mm",
    "interference": "40 um", "sleeve_material": "steel", "shaft_material": "steel",
    "friction_coefficient": 0.12,
}  # fmt: skip


def test_published_worked_example_is_answered():
    given = answer("press-fit", SLEEVE)
    found = {
        "pressure": value(given["pressure"], "MPa"),
        "hoop stress at the sleeve's bore": value(given["sleeve_hoop_stress"], "MPa"),
        "push-off force": value(given["push_off_force"], "N") / 1e3,
        "torque that slips it": value(given["torque"], "N·m"),
    }
    checks = [check for check in published.CHECKS if check.what in found]

    assert len(checks) == len(found)
    for check in checks:
        assert found[check.what] == pytest.approx(check.published, abs=check.allowed), check.what


def test_sleeve_is_warmed_for_interference_and_play():
    given = answer("press-fit", SLEEVE | {"assembly_clearance": "20 um"})

    # by hand: 60 um over 50 mm at 11.5e-6/K
    assert value(given["assembly_temperature_rise"], "delta_degC") == pytest.approx(
        60e-6 / (0.05 * 11.5e-6)
    )


def test_friction_is_that_of_dry_steel_where_left_out():
    plain = {name: told for name, told in SLEEVE.items() if name != "friction_coefficient"}

    assert answer("press-fit", plain) == answer("press-fit", SLEEVE)


def test_checks_hold_it_against_what_the_metals_bear():
    checks = {check["name"]: check for check in answer("press-fit", SLEEVE)["checks"]}
    tresca = checks["stress at the sleeve's bore (Tresca)"]

    # hoop 116.8 and pressure 51.2 MPa of the worked example
    assert value(tresca["value"], "MPa") == pytest.approx(168.0, abs=0.1)
    assert tresca["passed"]
    assert checks["temperature near white metal for assembly"]["limit"] == {
        "value": 235.0, "unit": "degC",
    }  # fmt: skip


def test_fit_that_makes_a_metal_yield_is_warned_of():
    given = answer("press-fit", SLEEVE | {"interference": "0.2 mm"})

    assert [w["code"] for w in given["warnings"]] == ["yields"]
    assert not given["checks"][0]["passed"]


def test_friction_of_steel_is_warned_of_where_a_sleeve_is_of_bronze():
    bronze = SLEEVE | {"sleeve_material": "bronze"}
    mild = answer("press-fit", bronze | {"friction_coefficient": 0.08})

    assert [w["code"] for w in answer("press-fit", bronze)["warnings"]] == ["friction_too_high"]
    assert mild["warnings"] == []


def test_inches_and_millimetres_say_the_same():
    inches = SLEEVE | {
        "interface_diameter": "2 inch", "sleeve_outer_diameter": "3 inch", "length": "1.5 inch",
        "interference": "2 thou",
    }  # fmt: skip
    metric = SLEEVE | {
        "interface_diameter": "50.8 mm", "sleeve_outer_diameter": "76.2 mm", "length": "38.1 mm",
        "interference": "50.8 um",
    }  # fmt: skip
    one, other = answer("press-fit", inches), answer("press-fit", metric)

    for name in ("pressure", "sleeve_hoop_stress", "shaft_hoop_stress", "push_off_force", "torque"):
        assert one[name]["value"] == pytest.approx(other[name]["value"], rel=1e-9)


@pytest.mark.parametrize(
    ("changes", "field", "limit"),
    [
        ({"sleeve_outer_diameter": "50 mm"}, "sleeve_outer_diameter",
         "above the interface diameter"),
        ({"shaft_inner_diameter": "50 mm"}, "shaft_inner_diameter",
         "below the interface diameter"),
        ({"interference": "1 mm"}, "interference", "below a fiftieth of the interface diameter"),
        ({"interference": "-1 um"}, "interference", "at least 0 mm and at most 10000 mm"),
        ({"length": "0 mm"}, "length", "above 0 mm and at most 10000 mm"),
        ({"length": 40}, "length", "length"),
        ({"sleeve_material": "wood"}, "sleeve_material",
         "steel, cast iron, bronze, brass, aluminium"),
        ({"friction_coefficient": 1.2}, "friction_coefficient", "above 0 and at most 1"),
        ({"assembly_clearance": "10 K"}, "assembly_clearance", "length"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_its_field_with_its_limit(changes, field, limit):
    assert refusal("press-fit", SLEEVE | changes)[field]["limit"] == limit


def test_array_of_many_metals_is_answered_in_order_with_bad_entries_in_their_places():
    bronze = SLEEVE | {"sleeve_material": "bronze"}
    given, status = asked("press-fit", [SLEEVE, bronze, SLEEVE | {"length": "0 mm"}, bronze])

    assert status == 1
    assert ["errors" in each for each in given] == [False, False, True, False]
    assert given[0] == answer("press-fit", SLEEVE)
    assert given[3] == given[1] == answer("press-fit", bronze)
