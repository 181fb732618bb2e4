"""The calculator `oil-change`, by the command. Bands are common practice, no source."""

import pytest

from tests.calculators.asking import answer, asked, refusal, value

UNIT = {"filtration": "none", "sump_volume": "4 litre", "mean_speed": "50 km/hour"}


def km(changes: dict) -> float:
    return value(answer("oil-change", UNIT | changes)["distance"], "km")


@pytest.mark.parametrize(
    ("filtration", "low", "high"),
    [("none", 800, 1600), ("strainer", 800, 1600), ("bypass", 2000, 4000),
     ("full-flow", 3000, 5000)],
)  # fmt: skip
def test_distance_is_that_of_common_practice(filtration, low, high):
    assert low <= km({"filtration": filtration}) <= high


def test_answer_holds_everything_that_the_contract_names():
    given = answer("oil-change", UNIT)

    assert set(given) == {
        "distance", "running_time", "months", "limited_by", "limits", "filter_change_distance",
        "compare", "reasons", "method", "sources", "warnings",
    }  # fmt: skip
    assert set(given["limits"]) == {"dirt", "ageing", "calendar", "running-in", "workshop"}
    assert given["limits"]["running-in"] is None
    assert given["limits"]["workshop"] is None
    assert given["limits"]["calendar"] == {"distance": None, "running_time": None, "months": 12}
    assert value(given["running_time"], "hour") == pytest.approx(
        given["distance"]["value"] / 50, rel=1e-9
    )
    assert given["filter_change_distance"] is None
    assert [c["filtration"] for c in given["compare"]] == [
        "none", "strainer", "bypass", "full-flow",
    ]  # fmt: skip


def test_reasons_are_sentences_in_kilometres_and_litres():
    reasons = answer("oil-change", UNIT | {"sump_volume": "3.2 litre"})["reasons"]

    assert reasons[0] == "Dirt sets it: no filter, 3.2 litres of oil."
    assert reasons[1] == "A bypass filter would make it about 2,800 km."
    assert all(reason.endswith(".") for reason in reasons)


def test_workshop_stands_above_all_and_may_be_shortened():
    asked_less = answer("oil-change", UNIT | {"workshop_distance": "500 km"})
    asked_more = answer("oil-change", UNIT | {"workshop_distance": "3000 mile"})

    assert value(asked_less["distance"], "km") == pytest.approx(500)
    assert asked_less["limited_by"] == "workshop"
    assert asked_more["limited_by"] == "dirt"
    assert value(asked_more["distance"], "km") == pytest.approx(km({}))
    assert any("ask the workshop" in reason for reason in asked_more["reasons"])


def test_workshop_months_shorten_the_months():
    given = answer("oil-change", UNIT | {"workshop_months": 6, "annual_distance": "1000 km/year"})

    assert given["months"] == 6
    assert given["limited_by"] == "workshop"


def test_seldom_driven_car_is_limited_by_the_calendar():
    given = answer("oil-change", UNIT | {"annual_distance": "300 mile/year"})

    assert given["limited_by"] == "calendar"
    assert given["months"] == 12


def test_new_white_metal_has_short_first_intervals():
    given = answer("oil-change", UNIT | {"distance_since_rebuild": "0 km"})

    assert given["limited_by"] == "running-in"
    assert 50 <= value(given["distance"], "km") <= 400
    assert any("first 50 km" in reason for reason in given["reasons"])


@pytest.mark.parametrize("hard", [{"roads": "unsealed"}, {"short_run_share": 0.7}])
def test_hard_use_halves_the_distance(hard):
    assert km(hard) / km({}) == pytest.approx(0.5, abs=0.06)


def test_used_up_filter_is_the_same_as_none():
    full = {"filtration": "bypass", "dirt_capacity": "0 g"}

    assert km(full) == km({})


def test_small_element_is_to_be_changed_before_the_oil():
    given = answer("oil-change", UNIT | {"filtration": "full-flow", "dirt_capacity": "1 g"})

    assert value(given["filter_change_distance"], "km") < given["distance"]["value"]
    assert [w["code"] for w in given["warnings"]] == ["filter_full_early"]
    assert km({}) < given["distance"]["value"] < km({"filtration": "full-flow"})


def test_large_element_outlasts_the_oil():
    given = answer("oil-change", UNIT | {"filtration": "bypass", "dirt_capacity": "10 g"})

    # common practice: an element of such a size lasts some 8000 km
    assert 6000 <= value(given["filter_change_distance"], "km") <= 10_000
    assert value(given["distance"], "km") == pytest.approx(km({"filtration": "bypass"}))


def test_filter_described_where_there_is_none_is_warned_of():
    given = answer("oil-change", UNIT | {"beta_ratio": 75, "filter_flow": "1 litre/minute"})

    assert [w["code"] for w in given["warnings"]] == ["filter_ignored"]
    assert value(given["distance"], "km") == km({})


def test_comparison_equals_what_each_filter_is_answered():
    compared = answer("oil-change", UNIT)["compare"]

    for each in compared:
        assert value(each["distance"], "km") == pytest.approx(
            km({"filtration": each["filtration"]})
        )


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"filtration": "paper"}, "filtration"),
        ({"filtration": None}, "filtration"),
        ({"sump_volume": "0 litre"}, "sump_volume"),
        ({"sump_volume": "4"}, "sump_volume"),
        ({"mean_speed": "0 km/hour"}, "mean_speed"),
        ({"mean_speed": "50 km"}, "mean_speed"),
        ({"beta_ratio": 2, "efficiency": 0.5}, "efficiency"),
        ({"residue_fraction": 0.95}, "residue_fraction"),
        ({"roads": "gravel"}, "roads"),
        ({"breather_filtered": 1}, "breather_filtered"),
        ({"breather_filtered": "yes"}, "breather_filtered"),
        ({"sump_temperature": "200 degC"}, "sump_temperature"),
        ({"sump_temperature": "80 delta_degC"}, "sump_temperature"),
        ({"short_run_share": 1.01}, "short_run_share"),
        ({"distance_since_rebuild": "-1 km"}, "distance_since_rebuild"),
        ({"annual_distance": "3000 km"}, "annual_distance"),
        ({"workshop_distance": "0 km"}, "workshop_distance"),
        ({"workshop_months": 0}, "workshop_months"),
        ({"lubricant": "sae-30"}, "lubricant"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(changes, field):
    assert set(refusal("oil-change", UNIT | changes)) == {field}


def test_required_fields_are_asked_for_all_at_once():
    assert set(refusal("oil-change", {})) == {"filtration", "sump_volume", "mean_speed"}


def test_fleet_is_answered_in_order_with_bad_units_in_their_places():
    fleet = [UNIT, UNIT | {"roads": "gravel"}, UNIT | {"filtration": "full-flow"}] * 20
    given, status = asked("oil-change", fleet)

    assert status == 1
    assert ["errors" in each for each in given] == [False, True, False] * 20
    assert given[-1]["distance"] == given[2]["distance"]
