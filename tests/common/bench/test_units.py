"""Figures of the bench in a reader's units. Factors by definition: 1 in = 25.4 mm, 1 lbf =
4.4482216152605 N, 1 mile = 1609.344 m.
"""

import pytest

from advisory.common.bench.units import Words, in_figures, in_words
from advisory.common.calculation import QuantityField, registry
from advisory.common.quantities import METRIC, Preferences, read_quantity

INCH = Words(Preferences())
FAHRENHEIT = Words(Preferences(temperature="degF"))


@pytest.mark.parametrize(
    ("value", "unit", "inch", "metric"),
    [
        (25.4, "um", "1\xa0thou", "25.4\xa0µm"),
        (1.0, "MPa", "145\xa0psi", "1\xa0MPa"),
        (4.4482216152605, "N", "1\xa0lbf", "4.448\xa0N"),
        (1.3558179483314004, "N·m", "1\xa0lbf·ft", "1.356\xa0N·m"),
        (0.3048, "m/s", "1\xa0ft/s", "0.3048\xa0m/s"),
        # 50 000 psi ft/min, the bearing makers' figure for bronze
        (1.7513, "MPa·m/s", "50,001\xa0psi·ft/min", "1.751\xa0MPa·m/s"),
        (16.09344, "km", "10\xa0miles", "16.09\xa0km"),
        (45.0, "degree", "45°", "45°"),
        (20.0, "degC", "20\xa0°C", "20\xa0°C"),
        (250.0, "ml/min", "250\xa0ml/min", "250\xa0ml/min"),
    ],
)
def test_quantity_is_read_in_the_reader_s_unit(value, unit, inch, metric):
    told = {"value": value, "unit": unit}

    assert INCH.quantity(told) == inch
    assert Words(METRIC).quantity(told) == metric


def test_flow_is_read_in_pints_by_who_reads_volumes_in_pints():
    # 1 imperial pint = 568.26125 ml
    flow = {"value": 1136.5225, "unit": "ml/min"}

    assert Words(Preferences(volume="pint")).quantity(flow) == "2\xa0pints/min"


def test_temperature_and_its_difference_are_not_the_same():
    assert FAHRENHEIT.quantity({"value": 100.0, "unit": "degC"}) == "212\xa0°F"
    assert FAHRENHEIT.quantity({"value": 100.0, "unit": "delta_degC"}) == "180\xa0°F"


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (0.0, "0"),
        (1234567.0, "1,234,567"),
        (0.00012345, "0.0001234"),
        (-3.0, "\N{MINUS SIGN}3"),
        (2.5, "2.5"),
    ],
)
def test_figures_have_the_digits_that_are_worth_reading(value, words):
    assert in_figures(value) == words


def test_units_in_a_text_for_programs_are_written_for_people():
    assert in_words("15 to 20 W/m2/K at 40 degC") == "15 to 20 W/m²/K at 40 °C"


FIELDS = [
    pytest.param(field, id=f"{name} {field.name}")
    for name in registry.names()
    for field in registry.get(name).takes.fields
    if isinstance(field, QuantityField)
]


@pytest.mark.parametrize("field", FIELDS)
def test_every_unit_offered_is_one_of_the_field_s(field):
    for words in (INCH, Words(METRIC), FAHRENHEIT, Words(Preferences(volume="pint"))):
        offered = words.offered(field)
        assert len(offered) > 1
        for fine in (True, False):
            assert words.usual(field, fine=fine) in offered
        for unit in offered:
            read_quantity({"value": 300.0, "unit": unit}, field.dimension)
