"""A unit's use as it would be if its car were driven otherwise; nothing of it is kept."""

import copy
from dataclasses import dataclass, field, replace
from datetime import date

from advisory.engineering import usage_forecast as forecasting
from advisory.usage.forecasts import Forecasts
from advisory.usage.use import CarUse, UnitUse


@dataclass(frozen=True)
class Driven:
    """How a car might be driven: metres a year, roads, share of short runs; None is as now."""

    annual_distance: float | None = None
    roads: str | None = None
    short_run_share: float | None = None


@dataclass(frozen=True)
class SupposedUse(CarUse):
    """A car's use from its last reading on, at a yearly distance that somebody supposes."""

    annual: float = field(kw_only=True)

    def use(self, today: date) -> forecasting.Use | None:
        """Return the last reading and the supposed distance: the readings before tell another."""
        told = super().use(today)
        if told is None:
            return None
        return replace(
            told, days=told.days[-1:], metres=told.metres[-1:], expected_annual=self.annual
        )


def suppose(use: UnitUse, driven: Driven) -> UnitUse:
    """Return the use of a unit whose car is driven otherwise from now on."""
    car = use.current
    if car is None or driven == Driven():
        return use
    row = copy.copy(car.car)
    row.roads = driven.roads or row.roads
    if driven.short_run_share is not None:
        row.short_run_share = driven.short_run_share
    forecasts = Forecasts()
    parts = (row, car.odometers, car.rows, car.told, car.lay_ups, forecasts)
    if driven.annual_distance is None:
        supposed = CarUse(*parts)
    else:
        row.expected_annual_distance = driven.annual_distance
        supposed = SupposedUse(*parts, annual=driven.annual_distance)
    forecasts.cars.append(supposed)
    *before, (fitting, _car) = use.stays
    return replace(use, stays=(*before, (fitting, supposed)))
