"""Reading and writing quantities. Conversion factors are exact by definition: 1 in = 25.4 mm,
1 mile = 1609.344 m (1959 agreement); 1 imperial gallon = 4.54609 l (Weights and Measures Act 1985).
"""

import math
import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.common import quantities
from advisory.common.quantities import (
    AREA,
    DYNAMIC_VISCOSITY,
    FORCE,
    HEAT_TRANSFER_COEFFICIENT,
    KINEMATIC_VISCOSITY,
    LENGTH,
    LENGTH_PER_TIME,
    MASS,
    MASS_PER_TIME,
    METRIC,
    PRESSURE,
    ROTATION,
    SPEED,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    TIME,
    TORQUE,
    VOLUME,
    VOLUME_PER_TIME,
    Dimension,
    Preferences,
    QuantityError,
    from_si,
    in_words,
    read_number,
    read_quantity,
    read_typed,
    to_si,
    unit_for,
)

DIMENSIONS = [d for d in vars(quantities).values() if isinstance(d, Dimension)]
IMPERIAL = Preferences(small_length="thou", distance="mile", volume="pint", temperature="degF")
PINT = 0.56826125e-3
calm = settings(deadline=None, derandomize=True)


@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [
        ("1.5 inch", LENGTH, 0.0381),
        ("1.5in", LENGTH, 0.0381),
        ('1.5"', LENGTH, 0.0381),
        ("3 thou", LENGTH, 76.2e-6),
        ("25 um", LENGTH, 25e-6),
        ("25 µm", LENGTH, 25e-6),
        ("25 \N{GREEK SMALL LETTER MU}m", LENGTH, 25e-6),
        ("2 miles", LENGTH, 3218.688),
        ("+3.e-1 m", LENGTH, 0.3),
        ("  .5 m ", LENGTH, 0.5),
        ("2 cm2", AREA, 2e-4),
        ("1 pint", VOLUME, PINT),
        ("2 pints", VOLUME, 2 * PINT),
        ("1 imperial pint", VOLUME, PINT),
        ("1 UK pint", VOLUME, PINT),
        ("1 US pint", VOLUME, 0.473176473e-3),
        ("1 gallon", VOLUME, 4.54609e-3),
        ("1 quart", VOLUME, 2 * PINT),
        ("1 gill", VOLUME, PINT / 4),
        ("20 fl oz", VOLUME, PINT),
        ("500 cc", VOLUME, 5e-4),
        ("5 l", VOLUME, 5e-3),
        ("25 degC", TEMPERATURE, 298.15),
        ("25 °C", TEMPERATURE, 298.15),
        ("25 deg C", TEMPERATURE, 298.15),
        ("-40 degF", TEMPERATURE, 233.15),
        ("300 K", TEMPERATURE, 300.0),
        ("18 delta_degF", TEMPERATURE_DIFFERENCE, 10.0),
        ("1800 rpm", ROTATION, 60 * math.pi),
        ("30 rev/s", ROTATION, 60 * math.pi),
        ("2 rad/s", ROTATION, 2.0),
        ("50 km/h", SPEED, 50 / 3.6),
        ("30 mph", SPEED, 13.4112),
        ("365.25 km/year", LENGTH_PER_TIME, 1000 / 86400),
        ("500 lbf", FORCE, 2224.110807630),
        ("1 psi", PRESSURE, 6894.757293),
        ("2 bar", PRESSURE, 2e5),
        ("1 N m", TORQUE, 1.0),
        ("10 mg/h", MASS_PER_TIME, 10e-6 / 3600),
        ("0.8 l/min", VOLUME_PER_TIME, 0.8e-3 / 60),
        ("100 mm2/s", KINEMATIC_VISCOSITY, 1e-4),
        ("100 mm²/s", KINEMATIC_VISCOSITY, 1e-4),
        ("100 cSt", KINEMATIC_VISCOSITY, 1e-4),
        ("27.6 mPa·s", DYNAMIC_VISCOSITY, 0.0276),
        ("27.6 cP", DYNAMIC_VISCOSITY, 0.0276),
        ("4e-6 reyn", DYNAMIC_VISCOSITY, 0.027579029173),
        ("20 W/m2/K", HEAT_TRANSFER_COEFFICIENT, 20.0),
        ("20 W/(m2*K)", HEAT_TRANSFER_COEFFICIENT, 20.0),
        ("12 hours", TIME, 43200.0),
        ("2 miles per hour", SPEED, 0.89408),
    ],
)
def test_quantity_of_a_program_is_read(text, dimension, si):
    assert read_quantity(text, dimension).si == pytest.approx(si, rel=1e-9)


def test_object_with_value_and_unit_is_read():
    found = read_quantity({"value": 38.1, "unit": "mm"}, LENGTH)

    assert (found.value, found.unit, found.si) == (38.1, "mm", 0.0381)


@pytest.mark.parametrize("dimension", DIMENSIONS, ids=lambda d: d.name)
def test_example_of_each_dimension_is_one(dimension):
    assert math.isfinite(read_quantity(dimension.example, dimension).si)


@pytest.mark.parametrize(
    ("given", "dimension", "code"),
    [
        (5, LENGTH, "unit_missing"),
        (True, LENGTH, "unit_missing"),
        (None, LENGTH, "unit_missing"),
        (["5 mm"], LENGTH, "unit_missing"),
        ("5", LENGTH, "unit_missing"),
        ({"value": 5}, LENGTH, "unit_missing"),
        ({"value": 5, "unit": 3}, LENGTH, "unit_missing"),
        ({"value": 5, "unit": "mm", "plus": 1}, LENGTH, "unit_missing"),
        ({"value": "5", "unit": "mm"}, LENGTH, "not_a_number"),
        ({"value": True, "unit": "mm"}, LENGTH, "not_a_number"),
        ({"value": 10**400, "unit": "mm"}, LENGTH, "not_finite"),
        ({"value": math.nan, "unit": "mm"}, LENGTH, "not_finite"),
        ({"value": 1e308, "unit": "km"}, LENGTH, "not_finite"),
        ("5 kg", LENGTH, "wrong_dimension"),
        ("5 mm2", LENGTH, "wrong_dimension"),
        ("5 delta_degC", TEMPERATURE, "wrong_dimension"),
        ("5 degC", TEMPERATURE_DIFFERENCE, "wrong_dimension"),
        ("30 Hz", ROTATION, "wrong_dimension"),
        ("30 1/s", ROTATION, "not_a_quantity"),
        ("30 /s", ROTATION, "unit_unknown"),
        ("5 mrad*mm", LENGTH, "wrong_dimension"),
        ("-300 degC", TEMPERATURE, "below_absolute_zero"),
        ("5 bananas", LENGTH, "unit_unknown"),
        ("5 mm**999999999", LENGTH, "unit_unknown"),
        ("5 (mm", LENGTH, "unit_unknown"),
        ("5 mm)", LENGTH, "unit_unknown"),
        ("5 mm; import os", LENGTH, "unit_unknown"),
        ("5 __class__", LENGTH, "unit_unknown"),
        ("5 " + "m" * 40, LENGTH, "unit_unknown"),
        ("5 ton", MASS, "unit_ambiguous"),
        ("5 mil", LENGTH, "unit_ambiguous"),
        ("10**10**10 mm", LENGTH, "unit_unknown"),
        ("1e999 m", LENGTH, "not_finite"),
        ("1e9999 m", LENGTH, "not_a_quantity"),
        ("nan m", LENGTH, "not_a_quantity"),
        ("inf m", LENGTH, "not_a_quantity"),
        ("1,5 mm", LENGTH, "not_a_quantity"),
        ("1,500 mm", LENGTH, "not_a_quantity"),
        ("1 500 mm", LENGTH, "not_a_quantity"),
        ("mm", LENGTH, "not_a_quantity"),
        ("", LENGTH, "not_a_quantity"),
        ("5 mm" + " " * 100, LENGTH, "too_long"),
    ],
)
def test_what_is_no_quantity_is_refused_with_a_reason(given, dimension, code):
    with pytest.raises(QuantityError) as refused:
        read_quantity(given, dimension)

    assert refused.value.code == code
    assert len(refused.value.message) < 250


def test_refusal_names_the_dimension_and_an_example():
    with pytest.raises(QuantityError) as refused:
        read_quantity(0.0381, LENGTH)

    assert refused.value.limit == "length"
    assert "length" in refused.value.message
    assert "38.1 mm" in refused.value.message


@calm
@given(st.floats(1e-6, 1e6))
def test_inch_and_millimetre_are_the_same_length(inches):
    assert read_quantity(f"{inches!r} inch", LENGTH).si == pytest.approx(
        read_quantity({"value": inches * 25.4, "unit": "mm"}, LENGTH).si, rel=1e-9
    )


@calm
@given(st.floats(-1e9, 1e9), st.sampled_from(
    [("mm", LENGTH), ("thou", LENGTH), ("mile", LENGTH), ("litre", VOLUME), ("pint", VOLUME),
     ("rpm", ROTATION), ("mm2/s", KINEMATIC_VISCOSITY), ("mg/hour", MASS_PER_TIME)]))  # fmt: skip
def test_to_si_and_back_is_the_same(value, unit_and_dimension):
    unit, dimension = unit_and_dimension

    assert from_si(to_si(value, unit, dimension), unit, dimension) == pytest.approx(
        value, rel=1e-14, abs=1e-300
    )


@calm
@given(st.floats(-200.0, 1000.0))
def test_fahrenheit_and_celsius_agree(celsius):
    fahrenheit = celsius * 9 / 5 + 32

    assert to_si(fahrenheit, "degF", TEMPERATURE) == pytest.approx(celsius + 273.15, rel=1e-12)


@calm
@given(st.text(max_size=70) | st.text(alphabet=string.printable, max_size=30))
def test_any_text_is_read_or_refused(text):
    for read in (read_quantity, lambda t, d: read_typed(t, d, "mm")):
        try:
            si = read(text, LENGTH).si
        except QuantityError:
            continue
        assert math.isfinite(si)


@calm
@given(st.text(alphabet="mkgsKdeCFhinurl*/^()-²³·°0123456789 ", max_size=30))
def test_any_unit_is_understood_or_refused(unit):
    try:
        si = read_quantity(f"1 {unit}", LENGTH).si
    except QuantityError:
        return
    assert math.isfinite(si)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("1.4985", 1.4985, "inch"),
        ("38.06 mm", 38.06, "mm"),
        ("38.06mm", 38.06, "mm"),
        ("3 thou", 3.0, "thou"),
        ("0,08", 0.08, "inch"),
        ("0,080", 0.08, "inch"),
        ("1,4985", 1.4985, "inch"),
        ("12,345.6 mm", 12345.6, "mm"),
        ("1.234,5 mm", 1234.5, "mm"),
        ("1 234,5 mm", 1234.5, "mm"),
        ("1\N{NARROW NO-BREAK SPACE}234.5 mm", 1234.5, "mm"),
        ("1'234.5 mm", 1234.5, "mm"),
        ("1,234,567 mm", 1234567.0, "mm"),
        ("-3", -3.0, "inch"),
        ("\N{MINUS SIGN}3 thou", -3.0, "thou"),
        ("+3", 3.0, "inch"),
        ('1 1/2"', 1.5, '"'),
        ("1 1/2", 1.5, "inch"),
        ("3/8 in", 0.375, "in"),
        (".5", 0.5, "inch"),
        ("5.", 5.0, "inch"),
    ],
)
def test_what_a_person_types_is_read(text, value, unit):
    found = read_typed(text, LENGTH, "inch")

    assert (found.value, found.unit) == (pytest.approx(value), unit)
    assert found.si == pytest.approx(to_si(value, unit, LENGTH))


@pytest.mark.parametrize("text", ["1,234", "12,345", "999,999 mm", "-1,234"])
def test_comma_that_may_mean_two_things_is_a_question(text):
    with pytest.raises(QuantityError) as refused:
        read_typed(text, LENGTH, "mm")

    assert refused.value.code == "ambiguous_number"
    assert "write it without the comma" in refused.value.message


@pytest.mark.parametrize(
    "text",
    ["", "abc", "1,2,3", "1..2", "1.2.3", "1/0", "1 2", "12 34 mm", "--3", "3-4", "1,23,456",
     "5 kg", "5 bananas", "9" * 70, "1/2/3", ",", ".", "-", "1e400"],
)  # fmt: skip
def test_what_is_typed_and_is_no_length_is_refused(text):
    with pytest.raises(QuantityError):
        read_typed(text, LENGTH, "mm")


@pytest.mark.parametrize(
    ("text", "value"),
    [("45210", 45210), ("45,210", 45210), ("45.210", 45210), ("45 210", 45210), ("007", 7),
     ("1,234,567", 1234567)],
)  # fmt: skip
def test_whole_number_may_have_marks_between_thousands(text, value):
    assert read_number(text, whole=True) == value


@pytest.mark.parametrize("text", ["45.2", "1/2", "0,5", "1,23"])
def test_part_of_a_whole_number_is_refused(text):
    with pytest.raises(QuantityError):
        read_number(text, whole=True)


@pytest.mark.parametrize(
    ("value", "kind", "imperial", "metric"),
    [
        (76.2e-6, "small_length", "3 thou", "0.076 mm"),
        (38.1e-6, "small_length", "1.5 thou", "0.038 mm"),
        (0.0, "small_length", "0 thou", "0 mm"),
        (-1e-9, "small_length", "0 thou", "0 mm"),
        (2_900e3, "distance", "1,800 miles", "2,900 km"),
        (250e3, "distance", "160 miles", "250 km"),
        (1609.344, "distance", "1 mile", "2 km"),
        (3.2e-3, "volume", "5.6 pints", "3.2 litres"),
        (1e-3, "volume", "1.8 pints", "1 litre"),
        (0.35e-3, "volume", "0.62 pints", "0.35 litres"),
        (12.4e-3, "volume", "22 pints", "12 litres"),
        (353.15, "temperature", "176 °F", "80 °C"),
        (10.0, "temperature_difference", "18 °F", "10 °C"),
        (288_000.0, "running_time", "80 hours", "80 hours"),
        (5400.0, "running_time", "1.5 hours", "1.5 hours"),
        (3600.0, "running_time", "1 hour", "1 hour"),
        (13.9, "speed", "31 mph", "50 km/h"),
        (float("nan"), "distance", "unknown", "unknown"),
    ],
)
def test_quantity_is_written_in_the_reader_s_units(value, kind, imperial, metric):
    assert in_words(value, kind, IMPERIAL) == imperial
    assert in_words(value, kind, METRIC) == metric


def test_odometer_s_distance_is_written_to_the_last_mile():
    assert in_words(9656.064e3, "distance", IMPERIAL, about=False) == "6,000 miles"
    assert in_words(45_213 * 1609.344, "distance", IMPERIAL, about=False) == "45,213 miles"


@pytest.mark.parametrize("kind", ["small_length", "distance", "volume", "temperature",
                                  "temperature_difference", "running_time", "speed"])  # fmt: skip
@pytest.mark.parametrize("preferences", [IMPERIAL, METRIC])
def test_unit_that_a_reader_is_shown_is_one_that_is_read(kind, preferences):
    unit, dimension = unit_for(kind, preferences)

    assert read_typed("5", dimension, unit).unit == unit
