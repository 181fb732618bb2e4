"""The calculator `journal-bearing`, by the command.

Published values are those of `advisory.engineering.checks`, where their sources stand, asked for
in the units of the source.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.common.calculation import registry
from advisory.common.quantities import to_si, units
from advisory.engineering.checks import bearing_examples as published
from advisory.engineering.checks import raimondi_boyd
from advisory.engineering.journal_bearing import film_figures
from tests.calculators.asking import answer, asked, refusal, value

INCH_TEXT = {
    "diameter": "1.5 inch", "length": "1.5 inch", "running_clearance": "3 thou",
    "speed": "30 rev/s", "load": "500 lbf", "viscosity": "4e-6 lbf*s/inch2",
}  # fmt: skip
METRIC_TEXT = {
    "diameter": "50 mm", "length": "50 mm", "running_clearance": "0.1 mm", "speed": "1490 rpm",
    "load": "3.2 kN", "viscosity": "25 mPa*s",
}  # fmt: skip
JINDAL_TEXT = {
    "diameter": "60 mm", "length": "60 mm", "running_clearance": "0.12 mm", "speed": "1440 rpm",
    "load": "3 kN", "viscosity": "30 mPa*s",
}  # fmt: skip
BEARING = {name: METRIC_TEXT[name] for name in METRIC_TEXT if name != "viscosity"}
WITH_OIL = BEARING | {
    "lubricant": "sae-30", "cooling": "oil-flow", "supply_temperature": "60 degC",
}  # fmt: skip
WITH_HOUSING = BEARING | {
    "lubricant": "sae-30", "cooling": "housing", "ambient_temperature": "20 degC",
    "housing_area": "0.05 m2",
}  # fmt: skip
NULL_WITHOUT_A_FILM = {
    "sommerfeld_number", "eccentricity_ratio", "minimum_film_thickness", "attitude_angle",
    "friction_coefficient", "friction_variable", "friction_power", "flow", "flow_variable",
    "side_flow_ratio", "maximum_pressure", "pressure_ratio", "film_temperature",
    "temperature_rise", "dynamic_viscosity", "film_ratio",
}  # fmt: skip
ANSWERS = {
    "unit load": "unit_load",
    "Sommerfeld number": "sommerfeld_number",
    "least film": "minimum_film_thickness",
    "friction coefficient": "friction_coefficient",
    "friction power": "friction_power",
    "flow": "flow",
    "side flow ratio": "side_flow_ratio",
    "peak pressure": "maximum_pressure",
    "attitude angle": "attitude_angle",
}
DIMENSIONS = {
    "unit_load": units.PRESSURE, "maximum_pressure": units.PRESSURE,
    "minimum_film_thickness": units.LENGTH, "friction_power": units.POWER,
    "flow": units.VOLUME_PER_TIME,
}  # fmt: skip


def published_in(text: str, case: dict) -> list:
    """The values of a worked example that the calculator answers with."""
    return [
        pytest.param(case, check, id=f"{text}: {check.what}")
        for check in published.CHECKS
        if check.source.startswith(text) and check.what in ANSWERS
    ]


@pytest.mark.parametrize(
    ("case", "check"),
    published_in("Shigley's Mechanical Engineering Design, chapter", INCH_TEXT)
    + published_in("V. B. Bhandari", METRIC_TEXT)
    + published_in("U. C. Jindal, Machine Design, example 17-4", JINDAL_TEXT),
)
def test_published_worked_example_is_answered(case, check):
    name = ANSWERS[check.what]
    given = answer("journal-bearing", case)[name]
    wanted, allowed = check.published, check.allowed
    if name in DIMENSIONS:
        size = to_si(1.0, check.unit, DIMENSIONS[name])
        given = to_si(given["value"], given["unit"], DIMENSIONS[name])
        wanted, allowed = wanted * size, allowed * size
    elif name == "attitude_angle":
        given = value(given, "degree")

    assert given == pytest.approx(wanted, abs=allowed)


def test_published_table_is_answered_in_one_array():
    """Raimondi and Boyd (1958), at the film that each row is for."""
    cases = []
    for length, film, *_figures in raimondi_boyd.ROWS:
        number = float(film_figures(1.0 - film, length).sommerfeld_number)
        # (R/c)^2 mu N/P with R/c 1000, N 10 rev/s and P 1 MPa
        cases.append({
            "diameter": "100 mm", "length": {"value": 100 * length, "unit": "mm"},
            "running_clearance": "0.1 mm", "speed": "10 rev/s",
            "load": {"value": 10_000 * length, "unit": "N"},
            "viscosity": {"value": number / 10, "unit": "Pa*s"},
        })  # fmt: skip
    given = answer("journal-bearing", cases)

    names = (
        "sommerfeld_number", "attitude_angle", "friction_variable", "flow_variable",
        "side_flow_ratio", "pressure_ratio",
    )  # fmt: skip
    checks = iter(raimondi_boyd.CHECKS)
    for (_length, film, *_figures), each in zip(raimondi_boyd.ROWS, given, strict=True):
        assert 1.0 - each["eccentricity_ratio"] == pytest.approx(film, abs=1e-6)
        for name in names:
            check = next(checks)
            found = each[name]["value"] if name == "attitude_angle" else each[name]
            assert found == pytest.approx(check.published, abs=check.allowed), check.what


def test_answer_holds_everything_that_the_contract_names():
    given = answer("journal-bearing", METRIC_TEXT)

    assert set(given) == NULL_WITHOUT_A_FILM | {
        "unit_load", "checks", "method", "sources", "warnings",
    }  # fmt: skip
    assert {
        name: each["unit"] for name, each in given.items()
        if isinstance(each, dict) and "unit" in each
    } == {
        "minimum_film_thickness": "um", "attitude_angle": "degree", "friction_power": "W",
        "flow": "ml/min", "maximum_pressure": "MPa", "unit_load": "MPa",
        "dynamic_viscosity": "mPa·s",
    }  # fmt: skip
    assert given["film_temperature"] is given["temperature_rise"] is given["film_ratio"] is None
    assert given["warnings"] == []
    assert value(given["dynamic_viscosity"], "mPa·s") == pytest.approx(25.0)


def test_running_clearance_is_diametral():
    # ISO 7902 and every textbook: S goes with the square of radius over radial clearance
    narrow = answer("journal-bearing", METRIC_TEXT | {"running_clearance": "0.05 mm"})

    assert narrow["sommerfeld_number"] == pytest.approx(
        4 * answer("journal-bearing", METRIC_TEXT)["sommerfeld_number"], rel=1e-9
    )


def test_oil_carries_the_heat_off():
    given = answer("journal-bearing", WITH_OIL)
    film, rise = given["film_temperature"], given["temperature_rise"]

    # the film is at the mean of supply and outlet: A. A. Raimondi, J. Boyd (1958)
    assert value(film, "degC") == pytest.approx(60 + value(rise, "delta_degC") / 2)
    # heat of friction against heat carried off, side flow at the mean, with rho c of the oil
    carried = (
        given["flow"]["value"] * 1e-6 / 60 * rise["value"] * (1 - given["side_flow_ratio"] / 2)
    )
    assert given["friction_power"]["value"] / carried == pytest.approx(1.77e6, rel=0.03)
    assert any("Raimondi" in source and "Heat" in source for source in given["sources"])
    assert any("sae-30" in source for source in given["sources"])
    assert "outlet temperature" in {check["name"] for check in given["checks"]}


def test_housing_gives_the_heat_off():
    given = answer("journal-bearing", WITH_HOUSING)
    rise = value(given["temperature_rise"], "delta_degC")

    # ISO 7902-1: friction power = k_A A (T_B - T_ambient), 20 W/m2/K where left out
    assert value(given["friction_power"], "W") == pytest.approx(20 * 0.05 * rise, rel=1e-6)
    assert value(given["film_temperature"], "degC") == pytest.approx(20 + rise)
    assert any("ISO 7902-1" in source for source in given["sources"])
    names = {check["name"]: check for check in given["checks"]}
    # without forced oil the bearing may be less warm: ISO 7902-3
    assert names["bearing temperature"]["limit"] == {"value": 90.0, "unit": "degC"}


def test_supply_that_counts_for_nothing_is_warned_of():
    given = answer("journal-bearing", WITH_HOUSING | {"supply_temperature": "80 degC"})

    assert [w["code"] for w in given["warnings"]] == ["supply_temperature_ignored"]
    assert given["flow"] == answer("journal-bearing", WITH_HOUSING)["flow"]


def test_multigrade_is_thinner_in_the_film():
    multigrade = answer("journal-bearing", WITH_OIL | {"lubricant": "20w-50"})

    assert [w["code"] for w in multigrade["warnings"]] == ["multigrade_shears"]


def test_checks_are_told_with_their_limits_and_sources():
    given = answer(
        "journal-bearing",
        WITH_OIL | {"surface_roughness": "1 um", "material": "tin white metal"},
    )

    for check in given["checks"]:
        assert set(check) == {"name", "value", "limit", "kind", "passed", "source"}
        assert len(check["source"]) > 15
    checks = {check["name"]: check for check in given["checks"]}
    film = checks["film ratio"]
    assert film["value"] == pytest.approx(given["minimum_film_thickness"]["value"])
    assert (film["limit"], film["kind"], film["passed"]) == (3.0, "at least", True)
    # Trumpler: 0.00508 mm + 0.00004 D
    trumpler = checks["minimum film thickness (Trumpler)"]["limit"]
    assert value(trumpler, "um") == pytest.approx(5.08 + 0.00004 * 50_000)
    assert checks["unit load"]["limit"] == {"value": 5.0, "unit": "MPa"}  # ISO 7902-3
    wide = [c for c in given["checks"] if c["name"] == "running clearance over diameter"]
    assert [(c["kind"], c["passed"]) for c in wide] == [("at least", True), ("at most", False)]


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"speed": "1 rpm", "load": "60 kN"}, "metal_contact"),
        (
            {"speed": "12000 rpm", "load": "60 kN", "running_clearance": "0.02 mm"},
            "temperature_runaway",
        ),
        ({"load": "0.5 N"}, "lightly_loaded"),
    ],
)
def test_what_is_not_carried_is_stated_with_its_reason_and_no_figure(changes, code):
    case = WITH_OIL | {"surface_roughness": "1 um"} | changes
    given = answer("journal-bearing", case)

    assert {name for name in NULL_WITHOUT_A_FILM if given[name] is None} == NULL_WITHOUT_A_FILM
    (warning,) = given["warnings"]
    assert warning["code"] == code
    assert len(warning["message"]) > 60
    assert given["unit_load"]["value"] > 0
    if code == "lightly_loaded":  # the film is not in doubt
        assert given["checks"] == []
    else:
        assert given["checks"]
        assert all(check["value"] is None and not check["passed"] for check in given["checks"])


@pytest.mark.parametrize(
    ("changes", "field", "limit"),
    [
        ({"diameter": "-50 mm"}, "diameter", "above 0 mm and at most 10000 mm"),
        ({"running_clearance": "0 mm"}, "running_clearance", "above 0 mm and at most 10000 mm"),
        ({"running_clearance": "5.1 mm"}, "running_clearance", "below a tenth of the diameter"),
        ({"length": "4.9 mm"}, "length", "0.1 to 2 times the diameter"),
        ({"length": "101 mm"}, "length", "0.1 to 2 times the diameter"),
        ({"length": "50"}, "length", "length"),
        ({"speed": "30 Hz"}, "speed", "rotation"),
        ({"load": "3 kg"}, "load", "force"),
        ({"supply_temperature": "151 degC"}, "supply_temperature",
         "at least -40 degC and at most 150 degC"),
        ({"supply_temperature": "10 delta_degC"}, "supply_temperature", "temperature"),
        ({"material": "gold"}, "material", "tin white metal, lead white metal, bronze"),
        ({"surface_roughness": "0 um"}, "surface_roughness", "above 0 um and at most 1000 um"),
        ({"cooling": "fan"}, "cooling", "oil-flow, housing"),
        ({"cooling": "housing"}, "housing_area", "needed with cooling “housing”"),
        ({"housing_area": "1 m2"}, "housing_area", "only with cooling “housing”"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_its_field_with_its_limit(changes, field, limit):
    assert refusal("journal-bearing", WITH_OIL | changes)[field]["limit"] == limit


@pytest.mark.parametrize(("length", "given"), [("4.9 mm", "0.098 times"), ("0.2 m", "4 times")])
def test_refusal_says_what_was_given(length, given):
    error = refusal("journal-bearing", WITH_OIL | {"length": length})["length"]

    assert given in error["message"]


@pytest.mark.parametrize(
    ("case", "fields"),
    [
        (BEARING, {"viscosity"}),
        (BEARING | {"lubricant": "sae-30"}, {"cooling"}),
        (BEARING | {"lubricant": "sae-30", "cooling": "oil-flow"}, {"supply_temperature"}),
        (BEARING | {"lubricant": "sae-30", "cooling": "housing"},
         {"ambient_temperature", "housing_area"}),
        (WITH_OIL | {"viscosity": "20 mPa*s"}, {"viscosity"}),
        (METRIC_TEXT | {"supply_temperature": "60 degC"},
         {"supply_temperature"}),
    ],
)  # fmt: skip
def test_oil_and_heat_are_told_in_one_way(case, fields):
    assert set(refusal("journal-bearing", case)) == fields


@pytest.mark.parametrize("length", ["2 inch", "50.8 mm", "0.1 inch"])
def test_ends_of_the_table_belong_to_it(length):
    """Two diameters, and a tenth of one, whatever the unit."""
    answer("journal-bearing", METRIC_TEXT | {"diameter": "1 inch", "length": length})


def test_array_is_answered_in_order_with_bad_entries_in_their_places():
    cases = [METRIC_TEXT, WITH_OIL, {"diameter": 5}, WITH_HOUSING, WITH_OIL | {"length": "1 m"}] * 4
    given, status = asked("journal-bearing", cases)

    assert status == 1
    assert ["errors" in each for each in given] == [False, False, True, False, True] * 4
    assert given[15] == answer("journal-bearing", METRIC_TEXT)
    assert given[16] == answer("journal-bearing", WITH_OIL)
    assert given[18] == answer("journal-bearing", WITH_HOUSING)


@given(
    load=st.floats(1000.0, 10_000.0), share=st.floats(1.01, 3.0),
    supply=st.floats(20.0, 90.0), hotter=st.floats(1.0, 30.0),
    clearance=st.floats(0.04, 0.12), wear=st.floats(1.05, 1.6),
)  # fmt: skip
@settings(max_examples=60, deadline=None, derandomize=True)
def test_more_load_and_hotter_oil_thin_the_film(load, share, supply, hotter, clearance, wear):
    def case(load: float, supply: float, clearance: float) -> dict:
        return WITH_OIL | {
            "load": {"value": load, "unit": "N"},
            "supply_temperature": {"value": supply, "unit": "degC"},
            "running_clearance": {"value": clearance, "unit": "mm"},
            "surface_roughness": "1 um",
        }

    plain, loaded, hot, worn = registry.get("journal-bearing").run(
        [
            case(load, supply, clearance), case(load * share, supply, clearance),
            case(load, supply + hotter, clearance), case(load, supply, clearance * wear),
        ]
    )  # fmt: skip
    assert loaded["film_ratio"] < plain["film_ratio"]
    assert hot["film_ratio"] < plain["film_ratio"]
    assert worn["eccentricity_ratio"] > plain["eccentricity_ratio"]
