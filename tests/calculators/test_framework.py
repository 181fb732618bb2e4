"""The framework on calculators of the tests' own: nested fields, rules, refusals in a batch."""

from datetime import date

import jsonschema
import numpy as np
import pytest

from advisory.common.calculation import (
    Answer,
    AtMostOne,
    Bounds,
    CalculationRefused,
    Calculator,
    DateField,
    DateOut,
    ListField,
    ListOut,
    NumberField,
    NumberOut,
    ObjectField,
    ObjectOut,
    OneWay,
    QuantityField,
    QuantityOut,
    Shape,
    TextField,
    TextOut,
    Warned,
    Way,
    YesNoField,
    YesNoOut,
    registry,
)
from advisory.common.problems import FieldError
from advisory.common.quantities import LENGTH
from advisory.engineering.errors import OutOfRange

NUMBER = NumberField(name="number", description="A number.", bounds=Bounds(at_most=100.0))


def squares(rows):
    values = np.array([row["number"] for row in rows])
    SQUARED.append(len(values))
    if (values > 50).any():
        raise OutOfRange("x", "at most 50", float(values.max()))
    return [Answer({"square": float(v**2)}) for v in values]


SQUARED: list[int] = []
SQUARE = Calculator(
    name="square",
    version="3",
    summary="Square of a number.",
    takes=Shape(fields=(NUMBER,)),
    answers=(NumberOut(name="square", description="Its square."),),
    sources=("Arithmetic",),
    compute=squares,
    arguments={"x": "number"},
)


def echo(rows):
    return [
        Answer(
            {
                "first": min(reading["date"] for reading in row["readings"]),
                "farthest": max(reading["distance"] for reading in row["readings"]),
                "names": [reading["name"] or "nameless" for reading in row["readings"]],
                "whole": {"checked": row["checked"], "rate": None},
            },
            (Warned("odd", "That is odd."),),
        )
        for row in rows
    ]


ECHO = Calculator(
    name="echo",
    version="1",
    summary="Readings, and what they come to.",
    takes=Shape(
        fields=(
            ListField(
                name="readings",
                description="Readings.",
                at_most=3,
                item=ObjectField(
                    name="reading",
                    description="A reading.",
                    shape=Shape(
                        fields=(
                            DateField(name="date", description="Its day."),
                            QuantityField(
                                name="distance", description="Its distance.", dimension=LENGTH,
                                unit="km", bounds=Bounds(at_least=0.0),
                            ),
                            TextField(name="name", description="Its name.", default=None),
                        ),
                    ),
                ),
            ),
            YesNoField(name="checked", description="Whether checked.", default=False),
        ),
    ),
    answers=(
        DateOut(name="first", description="First day."),
        QuantityOut(name="farthest", description="Farthest.", unit="km", dimension=LENGTH),
        ListOut(name="names", description="Names.", item=TextOut(name="name", description="Name.")),
        ObjectOut(
            name="whole",
            description="Both.",
            parts=(
                YesNoOut(name="checked", description="As given."),
                QuantityOut(
                    name="rate", description="A rate.", unit="um per 1000 km", per_si=1e12,
                    nullable=True,
                ),
            ),
        ),
    ),
    sources=(),
    compute=echo,
)  # fmt: skip
READING = {"date": "2025-03-01", "distance": "10 mile"}


def errors(calculator, payload):
    with pytest.raises(CalculationRefused) as refused:
        calculator.run(payload)
    return {error.field: error for error in refused.value.problem.errors}


def test_nested_fields_are_read_and_answered():
    answered = ECHO.run({"readings": [READING | {"name": "a"}, READING | {"distance": "30 km"}]})

    assert answered == {
        "first": "2025-03-01",
        "farthest": {"value": 30.0, "unit": "km"},
        "names": ["a", "nameless"],
        "whole": {"checked": False, "rate": None},
        "method": {"name": "echo", "version": "1"},
        "sources": [],
        "warnings": [{"code": "odd", "message": "That is odd."}],
    }
    jsonschema.validate(answered, ECHO.answer_schema())
    jsonschema.validate({"readings": [READING]}, ECHO.schema())


def test_errors_of_nested_fields_are_named_by_their_places_all_at_once():
    payload = {
        "readings": [
            READING | {"date": "1 March"},
            {"distance": 5},
            READING | {"mood": "good", "distance": "-1 km"},
        ]
    }

    assert set(errors(ECHO, payload)) == {
        "readings[0].date",
        "readings[1].date",
        "readings[1].distance",
        "readings[2].mood",
        "readings[2].distance",
    }


@pytest.mark.parametrize(
    "day", ["2025-02-30", "20250301", "2025-W09-6", "2025-03-01T00:00", 20250301, None, ""]
)
def test_day_that_is_none_is_refused(day):
    assert set(errors(ECHO, {"readings": [READING | {"date": day}]})) == {"readings[0].date"}


def test_leap_day_is_a_day():
    answered = ECHO.run({"readings": [READING | {"date": "2024-02-29"}]})

    assert date.fromisoformat(answered["first"]) == date(2024, 2, 29)


@pytest.mark.parametrize("readings", [[], [READING] * 4, READING, "none", None])
def test_list_of_the_wrong_length_or_none_at_all_is_refused(readings):
    assert set(errors(ECHO, {"readings": readings})) == {"readings"}


def test_bad_cases_of_a_batch_are_found_by_halving_and_the_rest_is_computed_together():
    SQUARED.clear()
    answered = SQUARE.run([{"number": n} for n in [1, 2, 60, *range(3, 33)]])

    assert [i for i, each in enumerate(answered) if "errors" in each] == [2]
    assert answered.refused == 1
    assert answered[3]["square"] == 9.0
    assert answered[2]["errors"] == [
        {"field": "number", "message": "x must be at most 50, not 60.0.", "limit": "at most 50"}
    ]
    assert len(SQUARED) < 14  # one by one it would be 33


def test_batch_of_good_cases_is_computed_in_one_go():
    SQUARED.clear()
    SQUARE.run([{"number": n} for n in range(40)])

    assert SQUARED == [40]


def test_argument_that_is_no_field_is_blamed_on_the_whole():
    calculator = Calculator(
        name="other", version="1", summary="Other.", takes=SQUARE.takes, answers=SQUARE.answers,
        sources=(), compute=squares,
    )  # fmt: skip

    assert set(errors(calculator, {"number": 60})) == {""}


@pytest.mark.parametrize(
    "number", [True, "5", None, [5], {"value": 5}, float("inf"), float("nan"), 10**400, 101]
)
def test_number_that_is_none_or_too_large_is_refused(number):
    assert set(errors(SQUARE, {"number": number})) == {"number"}


def test_answer_that_is_no_finite_number_is_a_fault_of_ours_and_not_hidden():
    calculator = Calculator(
        name="endless", version="1", summary="Endless.", takes=SQUARE.takes,
        answers=SQUARE.answers, sources=(),
        compute=lambda rows: [Answer({"square": float("inf")}) for _ in rows],
    )  # fmt: skip

    with pytest.raises(ValueError, match="square"):
        calculator.run({"number": 1})


TELL = OneWay((Way(("a",)), Way(("b", "c"), ("d",))))


@pytest.mark.parametrize(
    ("given", "fields"),
    [
        ("a", ()),
        ("bc", ()),
        ("bcd", ()),
        ("", ("a",)),
        ("b", ("c",)),
        ("d", ("b", "c")),
        ("ab", ("b",)),
        ("abc", ("a",)),
        ("abcd", ("a",)),
    ],
)
def test_one_way_must_be_taken_whole(given, fields):
    found = TELL.check(dict.fromkeys(given, 1))

    assert tuple(error.field for error in found) == fields


@pytest.mark.parametrize("given", ["a", "bc", "bcd", "", "b", "d", "ab", "abc", "abcd"])
def test_rule_and_its_schema_say_the_same(given):
    instance = dict.fromkeys(given, 1)
    validator = jsonschema.Draft202012Validator(TELL.schema())

    assert validator.is_valid(instance) == (not TELL.check(instance))


@pytest.mark.parametrize("given", ["", "a", "b", "c", "ab", "bc", "abc"])
def test_at_most_one_and_its_schema_say_the_same(given):
    rule = AtMostOne(("a", "b"))
    instance = dict.fromkeys(given, 1)

    assert jsonschema.Draft202012Validator(rule.schema()).is_valid(instance) == (
        not rule.check(instance)
    )


def test_check_between_values_is_made_once_each_is_good_by_itself():
    def even(values):
        if values["number"] % 2:
            yield FieldError("number", "It must be even.", "even")

    shape = Shape(fields=(NUMBER,), checks=(even,))
    calculator = Calculator(
        name="even", version="1", summary="Even.", takes=shape, answers=SQUARE.answers, sources=(),
        compute=squares,
    )  # fmt: skip

    assert errors(calculator, {"number": 3})["number"].limit == "even"
    assert errors(calculator, {"number": "x"})["number"].limit == "number"


@pytest.mark.parametrize(
    ("bounds", "inside", "outside", "words"),
    [
        (Bounds(above=0.0), [1e-300, 5.0], [0.0, -1.0], "above 0 mm"),
        (
            Bounds(at_least=0.0, below=1.0),
            [0.0, 0.999],
            [-1e-9, 1.0],
            "at least 0 mm and below 1 mm",
        ),
        (Bounds(at_most=0.3), [0.1 + 0.2, -5.0], [0.31, float("nan")], "at most 0.3 mm"),
        (Bounds(), [-1e300, 1e300], [float("nan")], ""),
    ],
)
def test_bounds_hold_and_say_so(bounds, inside, outside, words):
    assert all(bounds.hold(value) for value in inside)
    assert not any(bounds.hold(value) for value in outside)
    assert bounds.in_words("mm") == words


def test_name_of_a_calculator_can_be_taken_only_once():
    with pytest.raises(ValueError, match="viscosity"):
        registry.register(registry.get("viscosity"))


def test_registry_answers_for_a_name_it_does_not_know():
    with pytest.raises(CalculationRefused) as refused:
        registry.get("x" * 1000)

    assert refused.value.problem.status == 404
    assert len(refused.value.problem.detail) < 500
