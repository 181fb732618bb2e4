"""What every calculator of the contract does alike: schema, units in and out, bad input."""

import json
import math
from functools import cache

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisory.common.calculation import (
    LONGEST_LIST,
    Answers,
    CalculationRefused,
    QuantityField,
    registry,
    write_json,
)
from advisory.common.quantities import read_quantity

CASES = {
    "viscosity": {"lubricant": "sae-30", "temperature": ["40 degC", "80 degC"]},
    "dirt-balance": {
        "sump_volume": "5 litre", "ingress_rate": "10 mg/hour", "duration": "40 hour",
        "filter_flow": "0.8 litre/minute", "beta_ratio": 2, "initial_concentration": "3 mg/litre",
    },
    "oil-change": {
        "filtration": "bypass", "sump_volume": "3.2 litre", "mean_speed": "30 mph",
        "dirt_capacity": "10 g", "annual_distance": "2000 mile/year", "workshop_months": 9,
        "distance_since_rebuild": "100 mile",
    },
    "journal-bearing": {
        "diameter": "38 mm", "length": "30 mm", "running_clearance": "0.05 mm",
        "speed": "3000 rpm", "load": "900 N", "lubricant": "sae-40", "cooling": "oil-flow",
        "supply_temperature": "60 degC", "surface_roughness": "0.8 um",
        "material": "tin white metal",
    },
    "thrust-washer": {
        "inner_diameter": "30 mm", "outer_diameter": "50 mm", "load": "300 N", "speed": "3000 rpm",
        "material": "bronze",
    },
    "feed-pipe": {
        "bore": "6 mm", "length": "0.8 m", "pressure_difference": "1 bar", "lubricant": "sae-30",
        "temperature": "20 degC", "flattened_to": "3 mm", "flattened_length": "20 mm",
        "volume_to_fill": "60 ml",
    },
    "coolant": {"glycol": "ethylene", "volume_fraction": 0.5, "lowest_temperature": "-25 degC"},
    "tolerance": {"size": "25 mm", "tolerance_class": "H7", "mating_class": "r6"},
    "press-fit": {
        "interface_diameter": "50 mm", "sleeve_outer_diameter": "80 mm", "length": "40 mm",
        "interference": "0.04 mm", "sleeve_material": "cast iron", "shaft_material": "steel",
        "shaft_inner_diameter": "10 mm", "assembly_clearance": "20 um",
    },
    "wear": {
        "measurements": [
            {"distance": "2000 km", "value": "0.050 mm"},
            {"distance": "14000 km", "value": "0.064 mm", "uncertainty": "3 um"},
        ],
        "limit": "0.1 mm", "distance_at_build": "1000 km", "at_most": "15000 km",
        "fleet": [
            [{"distance": "0 km", "value": "0.05 mm"}, {"distance": "9 km", "value": "2 thou"}]
        ],
    },
    "due-date": {
        "today": "2025-06-01",
        "cars": [
            {
                "id": "a", "limit": "45000 km",
                "laid_up": [{"from": "2024-11-01", "to": "2025-03-31"}],
                "readings": [
                    {"date": "2024-05-01", "distance": "40000 km"},
                    {"date": "2025-05-20", "distance": "26000 mile"},
                ],
            },
            {"id": 2, "limit": "1500 km", "readings": [{"date": "2025-05-20", "distance": "0 km"}]},
        ],
    },
    "survival": {
        "lives": [
            {"duration": 10, "failed": True, "group": "a"}, {"duration": 14, "failed": True},
            {"duration": 12, "failed": True, "group": "a", "entry": 3},
            {"duration": 20, "failed": False},
        ]
    },
}  # fmt: skip
NAMES = sorted(CASES)
#: Those with no quantity of their own, only in lists.
NO_QUANTITY = {"due-date", "survival"}
#: Other ways of asking the same calculators.
BEARING = {
    field: CASES["journal-bearing"][field]
    for field in ("diameter", "length", "running_clearance", "speed", "load")
}
OTHERS = [
    ("journal-bearing", BEARING | {"viscosity": "20 mPa*s"}),
    (
        "journal-bearing",
        BEARING | {
            "kinematic_viscosity_40": "100 mm2/s", "kinematic_viscosity_100": "11.2 mm2/s",
            "density_15": "886 kg/m3", "cooling": "housing", "ambient_temperature": "20 degC",
            "housing_area": "0.03 m2", "heat_transfer_coefficient": "25 W/m2/K",
        },
    ),
    ("thrust-washer", CASES["thrust-washer"] | {"floating": False}),
    (
        "feed-pipe",
        {"bore": "6 mm", "length": "1 m", "pressure_difference": "1 bar", "viscosity": "90 mPa*s"},
    ),
    ("coolant", {"glycol": "propylene", "mass_fraction": 0.6, "lowest_temperature": "-47 degC"}),
    ("tolerance", {"size": "60 mm", "tolerance_class": "js5"}),
]  # fmt: skip
VARIANTS = [*CASES.items(), *OTHERS]
#: The same quantity in other units; by definition of each.
SAME = {
    "litre": ("imperial_pint", 1 / 0.56826125),
    "ml": ("imperial_pint", 1 / 568.26125),
    "mg/hour": ("g/day", 24e-3),
    "hour": ("minute", 60.0),
    "litre/minute": ("m3/s", 1e-3 / 60),
    "mg/litre": ("g/m3", 1.0),
    "mph": ("km/hour", 1.609344),
    "g": ("kg", 1e-3),
    "mile/year": ("km/year", 1.609344),
    "mile": ("inch", 63360.0),
    "km": ("mile", 1 / 1.609344),
    "thou": ("um", 25.4),
    "degC": ("K", None),
    "mm": ("inch", 1 / 25.4),
    "um": ("thou", 1 / 25.4),
    "m": ("foot", 1 / 0.3048),
    "m2": ("foot2", 1 / 0.3048**2),
    "mm2/s": ("inch2/s", 1 / 25.4**2),
    "mPa*s": ("poise", 0.01),
    "rpm": ("rad/s", math.pi / 30),
    "N": ("lbf", 1 / 4.4482216152605),
    "bar": ("psi", 0.0254**2 * 1e5 / 4.4482216152605),
    "kg/m3": ("lb/foot3", 0.3048**3 / 0.45359237),
    "W/m2/K": ("mW/cm2/K", 0.1),
}


def calculator(name: str):
    return registry.get(name)


@cache
def answer_validator(name: str) -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(calculator(name).answer_schema())


def rewritten(quantity: object) -> object:
    """Write a quantity in another unit, as an object instead of a string."""
    if isinstance(quantity, list):
        return [rewritten(each) for each in quantity]
    if isinstance(quantity, dict):
        return {name: rewritten(each) for name, each in quantity.items()}
    if not isinstance(quantity, str) or quantity.split(" ")[-1] not in SAME:
        return quantity
    number, unit = quantity.split(" ", 1)
    other, factor = SAME[unit]
    value = float(number) + 273.15 if factor is None else float(number) * factor
    return {"value": value, "unit": other}


def numbers(found: object) -> list[float]:
    """All numbers of an answer, in order."""
    if isinstance(found, dict):
        return [n for key in found for n in numbers(found[key])]
    if isinstance(found, list):
        return [n for each in found for n in numbers(each)]
    return [float(found)] if isinstance(found, int | float) else []


def test_every_calculator_has_a_case_here():
    assert registry.names() == NAMES


@pytest.mark.parametrize(("name", "case"), VARIANTS)
def test_case_is_of_the_schema_and_so_is_its_answer(name, case):
    jsonschema.validate(case, calculator(name).schema())
    answered = json.loads(write_json(calculator(name).run(case)))

    jsonschema.validate(answered, calculator(name).answer_schema())


@pytest.mark.parametrize("name", NAMES)
def test_array_is_of_the_schema_and_so_is_its_answer(name):
    answered = calculator(name).run([CASES[name], {"nonsense": 1}, CASES[name]])

    jsonschema.validate(json.loads(write_json(answered)), calculator(name).answer_schema())
    assert isinstance(answered, Answers)
    assert answered.refused == 1
    assert answered[0] == answered[2] == calculator(name).run(CASES[name])


@pytest.mark.parametrize("name", NAMES)
def test_example_of_the_schema_is_answered_without_a_word(name):
    (example,) = calculator(name).schema()["examples"]
    jsonschema.validate(example, calculator(name).schema())

    answered = json.loads(write_json(calculator(name).run(example)))
    jsonschema.validate(answered, calculator(name).answer_schema())
    assert {each["code"] for each in answered["warnings"]} <= {"small_group", "few_cars"}


@pytest.mark.parametrize("name", NAMES)
def test_every_quantity_of_the_schema_has_an_example_that_is_read(name):
    for field in calculator(name).takes.fields:
        if isinstance(field, QuantityField):
            (written,) = (form for form in field.form()["oneOf"] if "examples" in form)
            for example in written["examples"]:
                assert math.isfinite(read_quantity(example, field.dimension).si)


@pytest.mark.parametrize(("name", "case"), [each for each in VARIANTS if each[0] != "survival"])
def test_same_quantities_in_other_units_have_the_same_answer(name, case):
    other = {field: rewritten(given) for field, given in case.items()}

    assert other != case
    assert numbers(calculator(name).run(other)) == pytest.approx(
        numbers(calculator(name).run(case)), rel=1e-9, abs=1e-9
    )


@pytest.mark.parametrize("name", NAMES)
def test_defaults_that_the_schema_names_are_those_that_are_taken(name):
    properties = calculator(name).takes.schema()["properties"]
    defaults = {key: each["default"] for key, each in properties.items() if "default" in each}
    if "lubricant" in CASES[name]:
        del defaults["density_15"]  # it belongs to the other way of telling an oil

    assert calculator(name).run(defaults | CASES[name]) == calculator(name).run(CASES[name])


@pytest.mark.parametrize("name", NAMES)
def test_unknown_field_is_refused_by_name_with_those_there_are(name):
    with pytest.raises(CalculationRefused) as refused:
        calculator(name).run(CASES[name] | {"colour": "red"})
    error = refused.value.problem.errors[0]

    assert error.field == "colour"
    assert all(field in error.message for field in calculator(name).takes.schema()["properties"])


@pytest.mark.parametrize("name", [name for name in NAMES if name not in NO_QUANTITY])
def test_bare_number_for_a_quantity_names_field_and_dimension(name):
    field, dimension = {
        "viscosity": ("temperature", "temperature"),
        "dirt-balance": ("ingress_rate", "mass/time"),
        "oil-change": ("sump_volume", "volume"),
        "journal-bearing": ("load", "force"),
        "thrust-washer": ("speed", "rotation"),
        "feed-pipe": ("pressure_difference", "pressure"),
        "coolant": ("lowest_temperature", "temperature"),
        "tolerance": ("size", "length"),
        "press-fit": ("interference", "length"),
        "wear": ("limit", "length"),
    }[name]
    with pytest.raises(CalculationRefused) as refused:
        calculator(name).run(CASES[name] | {field: 5})
    error = refused.value.problem.errors[0]

    assert error.field == field
    assert error.limit == dimension
    assert dimension in error.message


def test_too_many_cases_are_refused_whole():
    with pytest.raises(CalculationRefused) as refused:
        calculator("dirt-balance").run([None] * (LONGEST_LIST + 1))

    assert refused.value.problem.status == 413
    assert str(LONGEST_LIST) in refused.value.problem.detail


junk = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12)
    | st.sampled_from(["5 litre", "80 degC", "1e999 m", "sae-30", "none", "3 thou", "1,234 mm"]),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(st.sampled_from(["value", "unit", "x"]), inner, max_size=3),
    max_leaves=6,
)  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
@given(data=st.data())
@settings(max_examples=40, deadline=None, derandomize=True,
          suppress_health_check=[HealthCheck.too_slow])  # fmt: skip
def test_whatever_comes_in_is_answered_or_refused_as_the_contract_says(name, data):
    fields = list(calculator(name).takes.schema()["properties"])
    changed = data.draw(st.dictionaries(st.sampled_from(fields), junk, max_size=3))
    case = {**CASES[name], **changed}

    answered = calculator(name).run([case])

    assert answer_validator(name).is_valid(json.loads(write_json(answered)))


@pytest.mark.parametrize("name", NAMES)
@given(payload=junk)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_whatever_is_sent_instead_of_a_case_is_refused(name, payload):
    if isinstance(payload, list):
        assert calculator(name).run(payload).refused == len(payload)
        return
    with pytest.raises(CalculationRefused) as refused:
        calculator(name).run(payload)

    assert refused.value.problem.errors
