"""The calculator `coolant`, by the command."""

import pytest

from advisory.engineering.checks import coolant as published
from tests.calculators.asking import answer, asked, refusal, value

MIX = {"glycol": "ethylene", "volume_fraction": 0.5, "lowest_temperature": "-25 degC"}


def test_published_freezing_points_are_answered_in_one_array():
    checks = [check for check in published.CHECKS if check.what.startswith("freezing point")]
    cases = [
        {"glycol": glycol.value, "mass_fraction": share, "lowest_temperature": "-10 degC"}
        for glycol, share in (check.compute.args for check in checks)
    ]

    for check, given in zip(checks, answer("coolant", cases), strict=True):
        freezing = value(given["freezing_point"], "degC")
        assert freezing == pytest.approx(check.published, abs=check.allowed), check.what
        assert value(given["margin"], "delta_degC") == pytest.approx(-10 - freezing)
        assert given["enough"] == (-10 - freezing >= 3)


def test_half_and_half_by_volume_is_more_than_half_by_mass():
    # densities at 20 degC, worked by hand: 52.72 % of the mass
    by_volume = answer("coolant", MIX)["freezing_point"]
    by_mass = {"glycol": "ethylene", "mass_fraction": 0.5272, "lowest_temperature": "-25 degC"}

    assert by_volume["value"] == pytest.approx(
        answer("coolant", by_mass)["freezing_point"]["value"], abs=0.02
    )


def test_margin_on_its_limit_is_enough_and_below_it_is_not():
    freezing = answer("coolant", MIX)["freezing_point"]["value"]

    def enough(margin: float) -> bool:
        lowest = {"value": freezing + margin, "unit": "degC"}
        return answer("coolant", MIX | {"lowest_temperature": lowest})["enough"]

    assert enough(3.001)
    assert not enough(2.999)


def test_mix_beyond_the_relation_is_held_and_warned_of():
    given = answer("coolant", MIX | {"volume_fraction": 0.6})

    assert [w["code"] for w in given["warnings"]] == ["held"]
    assert value(given["freezing_point"], "degC") == pytest.approx(-51.201, abs=0.001)


def test_fahrenheit_says_the_same():
    fahrenheit = answer("coolant", MIX | {"lowest_temperature": "-13 degF"})

    assert fahrenheit["margin"]["value"] == pytest.approx(
        answer("coolant", MIX)["margin"]["value"], rel=1e-9
    )


@pytest.mark.parametrize(
    ("changes", "field", "limit"),
    [
        ({"volume_fraction": 0.61}, "volume_fraction", "at least 0 and at most 0.6"),
        ({"volume_fraction": -0.1}, "volume_fraction", "at least 0 and at most 0.6"),
        ({"volume_fraction": "50 %"}, "volume_fraction", "number"),
        ({"mass_fraction": 0.5}, "mass_fraction", "volume_fraction; or mass_fraction"),
        ({"glycol": "methanol"}, "glycol", "ethylene, propylene"),
        ({"lowest_temperature": "-90 degC"}, "lowest_temperature",
         "at least -80 degC and at most 50 degC"),
        ({"lowest_temperature": -25}, "lowest_temperature", "temperature"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_its_field_with_its_limit(changes, field, limit):
    assert refusal("coolant", MIX | changes)[field]["limit"] == limit


def test_array_of_both_glycols_is_answered_in_order_with_bad_entries_in_their_places():
    other = MIX | {"glycol": "propylene"}
    given, status = asked("coolant", [MIX, other, {"glycol": "ethylene"}, MIX, other])

    assert status == 1
    assert ["errors" in each for each in given] == [False, False, True, False, False]
    assert given[3] == given[0]
    assert given[4] == given[1] == answer("coolant", other)
