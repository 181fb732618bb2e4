"""The calculator `viscosity`, by the command."""

import pytest

from tests.calculators.asking import answer, asked, refusal, value

#: ASTM D341's published worked case: 32 mm2/s at 40 degC, 5.4 at 100 degC, 8.5 at 80 degC.
PAIR = {"kinematic_viscosity_40": "32 mm2/s", "kinematic_viscosity_100": "5.4 mm2/s"}
COLD_20W = {
    "cranking_viscosity": "9000 mPa*s",
    "cranking_temperature": "-15 degC",
    "pumping_viscosity": "40000 mPa*s",
    "pumping_temperature": "-20 degC",
}


def test_published_case_is_answered():
    given = answer("viscosity", PAIR | {"temperature": "80 degC", "density_15": "868 kg/m3"})

    assert value(given["kinematic_viscosity"], "mm2/s") == pytest.approx(8.5, abs=0.05)
    assert value(given["density"], "kg/m3") == pytest.approx(826.7, abs=0.1)
    assert value(given["dynamic_viscosity"], "mPa·s") == pytest.approx(8.5332 * 0.8267, rel=1e-3)
    assert given["viscosity_index"] == 102
    assert given["sae_engine_grades"] == ["8", "12"]
    assert given["iso_vg"] == 32
    assert given["method"] == {"name": "viscosity", "version": "1"}
    assert given["warnings"] == []
    assert any("D341" in source for source in given["sources"])


@pytest.mark.parametrize(
    ("cold", "hot", "index"),
    # ASTM D2270-10, the examples in its text
    [("73.30 mm2/s", "8.86 mm2/s", 92), ("22.83 cSt", "5.05 cSt", 156)],
)
def test_published_viscosity_index_is_answered(cold, hot, index):
    given = answer(
        "viscosity",
        {"kinematic_viscosity_40": cold, "kinematic_viscosity_100": hot, "temperature": "40 degC"},
    )

    assert given["viscosity_index"] == index


def test_list_of_temperatures_has_lists_for_an_answer():
    given = answer("viscosity", PAIR | {"temperature": ["20 degC", {"value": 353.15, "unit": "K"}]})

    assert [value(v, "mm2/s") for v in given["kinematic_viscosity"]] == pytest.approx(
        [86.28, 8.5332], rel=1e-4
    )
    assert len(given["dynamic_viscosity"]) == len(given["density"]) == 2


def test_list_of_one_temperature_has_lists_for_an_answer():
    given = answer("viscosity", PAIR | {"temperature": ["20 degC"]})

    assert isinstance(given["kinematic_viscosity"], list)


def test_array_of_cases_is_answered_in_order():
    cases = [
        PAIR | {"temperature": t}
        for t in ("40 degC", ["100 degC", "40 degC"], "400 degC", "100 degC")
    ]
    given, status = asked("viscosity", cases)

    assert status == 1
    assert value(given[0]["kinematic_viscosity"], "mm2/s") == pytest.approx(32.0)
    assert value(given[1]["kinematic_viscosity"][0], "mm2/s") == pytest.approx(5.4)
    assert given[2]["errors"][0]["field"] == "temperature"
    assert value(given[3]["kinematic_viscosity"], "mm2/s") == pytest.approx(5.4)


def test_lubricant_of_the_catalogue_is_known_and_marked_as_ours():
    given = answer("viscosity", {"lubricant": "sae-30", "temperature": "100 degC"})

    assert value(given["kinematic_viscosity"], "mm2/s") == pytest.approx(11.2)
    assert given["sae_engine_grades"] == ["30"]
    assert any("sae-30" in source for source in given["sources"])


def test_multigrade_has_no_w_grade_without_cold_data_and_a_warning_that_it_shears():
    given = answer("viscosity", {"lubricant": "20w-50", "temperature": "100 degC"})

    assert given["sae_engine_grades"] == ["50"]
    assert [w["code"] for w in given["warnings"]] == ["multigrade_shears"]


def test_w_grade_is_named_with_cold_data():
    given = answer("viscosity", {"lubricant": "20w-50", "temperature": "100 degC"} | COLD_20W)

    assert given["sae_engine_grades"] == ["20W", "50"]


def test_cold_data_is_needed_whole():
    cold = {"cranking_viscosity": "9000 mPa*s"}
    errors = refusal("viscosity", PAIR | {"temperature": "40 degC"} | cold)

    assert set(errors) == {"cranking_temperature", "pumping_viscosity", "pumping_temperature"}


def test_oil_below_its_likely_cloud_point_is_warned_of():
    given = answer("viscosity", PAIR | {"temperature": ["-20 degC", "40 degC"]})

    assert [w["code"] for w in given["warnings"]] == ["may_be_cloudy"]


def test_oil_between_iso_grades_and_too_thin_for_an_index_has_nulls():
    thin = {"kinematic_viscosity_40": "5.5 mm2/s", "kinematic_viscosity_100": "1.9 mm2/s"}
    given = answer("viscosity", thin | {"temperature": "40 degC"})

    assert given["iso_vg"] is None
    assert given["viscosity_index"] is None
    assert given["sae_engine_grades"] == []


@pytest.mark.parametrize("temperature", ["151 degC", "-41 degC", "400 degC", "500 K"])
def test_temperature_where_the_relation_does_not_hold_is_refused(temperature):
    error = refusal("viscosity", PAIR | {"temperature": temperature})["temperature"]

    assert error["limit"] == "at least -40 degC and at most 150 degC"


def test_bad_temperature_in_a_list_is_named_by_its_place():
    errors = refusal("viscosity", PAIR | {"temperature": ["20 degC", "hot", 7]})

    assert set(errors) == {"temperature[1]", "temperature[2]"}


@pytest.mark.parametrize(
    ("oil", "fields"),
    [
        ({}, {"lubricant"}),
        ({"kinematic_viscosity_40": "32 mm2/s"}, {"kinematic_viscosity_100"}),
        ({"density_15": "880 kg/m3"}, {"kinematic_viscosity_40", "kinematic_viscosity_100"}),
        (PAIR | {"lubricant": "sae-30"}, {"lubricant"}),
        ({"lubricant": "sae-30", "density_15": "880 kg/m3"}, {"density_15"}),
        ({"lubricant": "cooking-oil"}, {"lubricant"}),
        (
            {"kinematic_viscosity_40": "5.4 mm2/s", "kinematic_viscosity_100": "32 mm2/s"},
            {"kinematic_viscosity_100"},
        ),
        ({"kinematic_viscosity_40": 32, "kinematic_viscosity_100": "5.4 mm2/s"},
         {"kinematic_viscosity_40"}),
    ],
)  # fmt: skip
def test_oil_that_is_not_told_in_one_way_is_refused(oil, fields):
    assert set(refusal("viscosity", oil | {"temperature": "40 degC"})) == fields


def test_oil_too_thick_for_the_relation_is_refused_alone():
    thick = {"kinematic_viscosity_40": "20000 mm2/s", "kinematic_viscosity_100": "60 mm2/s"}
    cases = [PAIR | {"temperature": "-40 degC"}, thick | {"temperature": "-40 degC"}] * 3
    given, status = asked("viscosity", cases)

    assert status == 1
    assert ["errors" in each for each in given] == [False, True] * 3
    assert given[1]["errors"][0]["field"] == "temperature"
