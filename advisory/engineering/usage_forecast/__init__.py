"""When a car will have covered a distance, from few and irregular readings.

Season and spread are learnt over the fleet; what is believed of one car is shrunk toward it. All
cars are reckoned together. Days are proleptic ordinals, distances metres.
"""

from advisory.engineering.usage_forecast.asking import ReadingWorth, reading_worth
from advisory.engineering.usage_forecast.assumptions import (
    ASSUMPTIONS,
    DEFAULT_ANNUAL_DISTANCE,
    FEW_CARS,
    HORIZON,
)
from advisory.engineering.usage_forecast.belief import Belief, believe
from advisory.engineering.usage_forecast.dates import days_reached, days_reached_by, too_wide
from advisory.engineering.usage_forecast.fleet import DEFAULT_FLEET, Fleet
from advisory.engineering.usage_forecast.learning import learn_fleet
from advisory.engineering.usage_forecast.one_car import (
    AnnualDistance,
    ForecastDays,
    annual_distance,
    day_reached,
    expected_distance,
)
from advisory.engineering.usage_forecast.uses import Use, Uses, lay_up_ends

__all__ = [
    "ASSUMPTIONS",
    "DEFAULT_ANNUAL_DISTANCE",
    "DEFAULT_FLEET",
    "FEW_CARS",
    "HORIZON",
    "AnnualDistance",
    "Belief",
    "Fleet",
    "ForecastDays",
    "ReadingWorth",
    "Use",
    "Uses",
    "annual_distance",
    "believe",
    "day_reached",
    "days_reached",
    "days_reached_by",
    "expected_distance",
    "lay_up_ends",
    "learn_fleet",
    "reading_worth",
    "too_wide",
]
