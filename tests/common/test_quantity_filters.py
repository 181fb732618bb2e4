"""Quantities on a page stand in the reader's units."""

import pytest
from django.template import Context, Template

from advisory.common.quantities import Preferences

IMPERIAL = Preferences(small_length="thou", distance="mile", volume="pint", temperature="degF")
METRIC = Preferences(small_length="mm", distance="km", volume="litre", temperature="degC")


def shown(expression: str, prefs: Preferences, **context: object) -> str:
    source = "{% load quantities %}{{ " + expression + " }}"
    return Template(source).render(Context({"prefs": prefs, **context}))


@pytest.mark.parametrize(
    ("filter_", "value", "imperial", "metric"),
    [
        # 1 international mile is 1609.344 m, 1 in is 25.4 mm (1959 agreement; both by definition).
        ("exact_distance", 1609.344, "1 mile", "2 km"),
        ("exact_distance", 160_934.4, "100 miles", "161 km"),
        ("small_length", 0.0000508, "2 thou", "0.051 mm"),
        # 1 imperial pint is 0.56826125 l (Weights and Measures Act 1985, schedule 1).
        ("volume", 0.00056826125, "1 pint", "0.57 litres"),
        # 353.15 K is 80 °C by definition of the Celsius scale, and 176 °F.
        ("temperature", 353.15, "176 °F", "80 °C"),
        ("running_time", 7200.0, "2 hours", "2 hours"),
    ],
)
def test_quantity_is_written_in_the_units_of_the_reader(
    filter_: str, value: float, imperial: str, metric: str
) -> None:
    assert shown(f"value|{filter_}:prefs", IMPERIAL, value=value) == imperial
    assert shown(f"value|{filter_}:prefs", METRIC, value=value) == metric


@pytest.mark.parametrize(
    "filter_",
    ["distance", "exact_distance", "small_length", "volume", "temperature", "running_time"],
)
def test_quantity_that_nobody_told_is_not_known(filter_: str) -> None:
    assert "not known" in shown(f"value|{filter_}:prefs", METRIC, value=None)


def test_computed_distance_is_rounded_to_what_a_reader_can_use() -> None:
    assert shown("value|distance:prefs", IMPERIAL, value=1609.344 * 1234.0) == "1,200 miles"
