"""The calculator `thrust-washer`, by the command."""

import math

import pytest

from tests.calculators.asking import answer, asked, refusal, value

WASHER = {
    "inner_diameter": "30 mm", "outer_diameter": "50 mm", "load": "300 N", "speed": "3000 rpm",
}  # fmt: skip


def test_pressure_and_speed_are_those_of_their_definitions():
    # worked by hand: 300 N on pi/4 (50^2 - 30^2) mm2, pi 40 mm at 50 rev/s, halved
    given = answer("thrust-washer", WASHER)

    assert value(given["pressure"], "MPa") == pytest.approx(300 / (math.pi * 400))
    assert value(given["sliding_speed"], "m/s") == pytest.approx(math.pi)
    assert value(given["pressure_velocity"], "MPa·m/s") == pytest.approx(0.75)


def test_washer_that_is_held_slides_at_the_whole_speed():
    held = answer("thrust-washer", WASHER | {"floating": False})

    assert value(held["sliding_speed"], "m/s") == pytest.approx(2 * math.pi)


def test_published_load_of_a_grooved_washer_is_the_limit():
    # Tribology Handbook, 2nd ed., A15: 0.3 (D^2 - d^2) N in mm; 480 N for 30 and 50 mm
    at_limit = answer("thrust-washer", WASHER | {"load": "480 N"})["checks"][0]
    above = answer("thrust-washer", WASHER | {"load": "481 N"})["checks"][0]

    assert at_limit["passed"]
    assert not above["passed"]
    assert value(at_limit["limit"], "MPa") == pytest.approx(0.382, abs=5e-4)


@pytest.mark.parametrize(
    ("material", "names", "limit"),
    [
        (None, 1, None),
        # 50 000, 30 000 and 18 000 psi ft/min: R. L. Mott, Machine Elements, table 16-1
        ("bronze", 2, {"value": 1.75, "unit": "MPa·m/s"}),
        ("tin white metal", 3, {"value": 1.05, "unit": "MPa·m/s"}),
        ("lead white metal", 3, {"value": 0.63, "unit": "MPa·m/s"}),
    ],
)
def test_material_brings_its_own_limit(material, names, limit):
    told = {} if material is None else {"material": material}
    checks = answer("thrust-washer", WASHER | told)["checks"]

    assert len(checks) == names
    assert limit is None or checks[-1]["limit"] == pytest.approx(limit)
    # flat white-metal faces below 0.52 MPa: a mechanical engineering handbook
    assert names < 3 or checks[1]["limit"] == pytest.approx({"value": 0.52, "unit": "MPa"})


def test_inches_and_millimetres_say_the_same():
    inches = {
        "inner_diameter": "1.25 inch", "outer_diameter": "2 inch", "load": "60 lbf",
        "speed": "40 rev/s",
    }  # fmt: skip
    metric = {
        "inner_diameter": "31.75 mm", "outer_diameter": "50.8 mm", "load": "266.89329691563 N",
        "speed": "2400 rpm",
    }  # fmt: skip
    one, other = answer("thrust-washer", inches), answer("thrust-washer", metric)

    for name in ("pressure", "sliding_speed", "pressure_velocity"):
        assert one[name]["value"] == pytest.approx(other[name]["value"], rel=1e-9)


@pytest.mark.parametrize(
    ("changes", "field", "limit"),
    [
        ({"inner_diameter": "50 mm"}, "inner_diameter", "below outer_diameter"),
        ({"load": "0 N"}, "load", "above 0 N and at most 1e+09 N"),
        ({"speed": "-1 rpm"}, "speed", "above 0 rpm and at most 1e+06 rpm"),
        ({"outer_diameter": 50}, "outer_diameter", "length"),
        ({"floating": "yes"}, "floating", "true, false"),
        ({"material": "steel"}, "material", "tin white metal, lead white metal, bronze"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field_with_its_limit(changes, field, limit):
    assert refusal("thrust-washer", WASHER | changes)[field]["limit"] == limit


def test_array_is_answered_in_order_with_bad_entries_in_their_places():
    cases = [WASHER, WASHER | {"floating": False}, WASHER | {"load": 3}, WASHER]
    given, status = asked("thrust-washer", cases)

    assert status == 1
    assert ["errors" in each for each in given] == [False, False, True, False]
    assert given[3] == given[0] == answer("thrust-washer", WASHER)
    assert given[1]["sliding_speed"]["value"] == pytest.approx(2 * math.pi)
