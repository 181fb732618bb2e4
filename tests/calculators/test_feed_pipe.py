"""The calculator `feed-pipe`, by the command."""

import math

import pytest

from advisory.engineering.checks import feed_pipe as published
from tests.calculators.asking import answer, asked, refusal, value

PIPE = {"bore": "6 mm", "length": "1 m", "pressure_difference": "10 kPa", "viscosity": "100 mPa*s"}
WITH_OIL = {
    "bore": "6 mm", "length": "1 m", "pressure_difference": "1 bar", "lubricant": "sae-30",
    "temperature": "20 degC",
}  # fmt: skip


@pytest.mark.parametrize(
    "check",
    [check for check in published.CHECKS if "squashed" in check.what],
    ids=lambda check: check.what,
)
def test_published_flow_of_a_squashed_pipe_is_answered(check):
    height, crushed = check.compute.args  # of the bore; metres of one, None is all of it
    squashed = {"flattened_to": {"value": 6 * height, "unit": "mm"}}
    if crushed is not None:
        squashed["flattened_length"] = {"value": crushed, "unit": "m"}
    given = answer("feed-pipe", PIPE | squashed)

    assert given["flow_ratio"] == pytest.approx(check.published, abs=check.allowed)
    assert given["flow"]["value"] / given["flow_round"]["value"] == pytest.approx(
        given["flow_ratio"]
    )


def test_published_flow_of_a_round_pipe_is_answered():
    # Hagen and Poiseuille by hand: 62.5 pi ml/s
    given = answer(
        "feed-pipe",
        {"bore": "10 mm", "length": "2 m", "pressure_difference": "80 kPa",
         "viscosity": "50 mPa*s", "volume_to_fill": "1 litre"},
    )  # fmt: skip

    assert value(given["flow"], "ml/min") == pytest.approx(62.5 * math.pi * 60, rel=1e-9)
    assert given["flow_ratio"] == 1.0
    assert value(given["filling_time"], "s") == pytest.approx(1000 / (62.5 * math.pi))


def test_nothing_to_fill_has_no_filling_time():
    assert answer("feed-pipe", PIPE)["filling_time"] is None


def test_cold_oil_comes_late():
    warm = answer("feed-pipe", WITH_OIL | {"temperature": "60 degC", "volume_to_fill": "50 ml"})
    cold = answer("feed-pipe", WITH_OIL | {"temperature": "0 degC", "volume_to_fill": "50 ml"})

    # the ratio of the oil's dynamic viscosities at 0 and 60 degC, by the calculator viscosity
    thick, thin = answer(
        "viscosity", {"lubricant": "sae-30", "temperature": ["0 degC", "60 degC"]}
    )["dynamic_viscosity"]
    assert cold["filling_time"]["value"] / warm["filling_time"]["value"] == pytest.approx(
        thick["value"] / thin["value"], rel=1e-9
    )


def test_flow_beyond_the_laminar_law_is_stated_and_not_given():
    given = answer(
        "feed-pipe",
        WITH_OIL | {"temperature": "120 degC", "pressure_difference": "5 bar",
                    "volume_to_fill": "50 ml"},
    )  # fmt: skip

    assert [w["code"] for w in given["warnings"]] == ["not_laminar"]
    assert given["reynolds_number"] > 2000  # O. Reynolds (1883)
    for name in ("flow", "flow_round", "flow_ratio", "filling_time"):
        assert given[name] is None


def test_round_pipe_beyond_the_law_leaves_the_squashed_one_its_flow():
    given = answer(
        "feed-pipe",
        WITH_OIL | {"temperature": "100 degC", "pressure_difference": "4 bar",
                    "flattened_to": "1 mm"},
    )  # fmt: skip

    assert [w["code"] for w in given["warnings"]] == ["round_not_laminar"]
    assert given["flow"]["value"] > 0
    assert given["flow_round"] is given["flow_ratio"] is None


@pytest.mark.parametrize(
    ("changes", "field", "limit"),
    [
        ({"bore": "0 mm"}, "bore", "above 0 mm and at most 1000 mm"),
        ({"length": "-1 m"}, "length", "above 0 mm and at most 1e+06 mm"),
        ({"pressure_difference": 1}, "pressure_difference", "pressure"),
        ({"flattened_to": "6.1 mm"}, "flattened_to", "at most the bore"),
        ({"flattened_to": "3 mm", "flattened_length": "2 m"}, "flattened_length",
         "at most the length"),
        ({"flattened_length": "20 mm"}, "flattened_to", "flattened_to"),
        ({"volume_to_fill": "1 m"}, "volume_to_fill", "volume"),
        ({"temperature": "200 degC"}, "temperature", "at least -40 degC and at most 150 degC"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_its_field_with_its_limit(changes, field, limit):
    assert refusal("feed-pipe", WITH_OIL | changes)[field]["limit"] == limit


def test_oil_is_told_in_one_way():
    assert set(refusal("feed-pipe", PIPE | {"temperature": "20 degC"})) == {"temperature"}
    assert set(refusal("feed-pipe", PIPE | {"lubricant": "sae-30", "temperature": "20 degC"})) == {
        "viscosity"
    }


def test_array_is_answered_in_order_with_bad_entries_in_their_places():
    squashed = PIPE | {"flattened_to": "2 mm"}
    given, status = asked("feed-pipe", [PIPE, WITH_OIL, squashed, {}, PIPE, WITH_OIL])

    assert status == 1
    assert ["errors" in each for each in given] == [False, False, False, True, False, False]
    assert given[4] == given[0] == answer("feed-pipe", PIPE)
    assert given[5] == given[1] == answer("feed-pipe", WITH_OIL)
    assert given[2] == answer("feed-pipe", squashed)
