"""How sure a forecast is, and when a reading is asked for instead of naming a day."""

from datetime import date, timedelta

import pytest

from advisory.plans.computation import Due, Standing
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.plans.spread import Spread, spread_of
from advisory.plans.words import sure_words
from advisory.usage.forecasts import ForecastDates

pytestmark = pytest.mark.one_database

TODAY = date(2024, 5, 1)
LEAD = timedelta(days=21)
FORECAST = ForecastDates(date(2023, 10, 1), date(2024, 5, 10), date(2024, 8, 1), None)
DUE = Due(4_000e3, None, 4_000e3)
STANDING = Standing(TODAY, 3_000e3, still=False)


@pytest.mark.parametrize(
    ("limit", "first", "last"),
    [
        (None, date(2024, 5, 10), None),
        (date(2025, 1, 1), date(2024, 5, 10), date(2025, 1, 1)),
        (date(2024, 7, 1), date(2024, 5, 10), date(2024, 7, 1)),
        (date(2024, 4, 1), date(2024, 4, 1), date(2024, 4, 1)),
    ],
)
def test_calendar_cuts_the_days_off_exactly(
    limit: date | None, first: date, last: date | None
) -> None:
    spread = spread_of(DUE._replace(date=limit), FORECAST)
    assert (spread.first, spread.last) == (first, last)


def test_without_a_forecast_the_calendar_s_day_is_certain() -> None:
    day = date(2024, 9, 1)
    assert spread_of(Due(None, day, None), None) == Spread(first=day, last=day)
    assert spread_of(Due(None, None, None), None) == Spread()


def test_wide_forecast_that_may_be_near_asks_for_a_reading() -> None:
    assert spread_of(DUE, FORECAST).asks_for_reading(DUE, STANDING, LEAD)


@pytest.mark.parametrize(
    ("forecast", "due", "standing"),
    [
        # read lately
        (FORECAST._replace(since=TODAY - timedelta(days=20)), DUE, STANDING),
        # not near by any means
        (FORECAST._replace(p10=date(2024, 6, 1)), DUE, STANDING),
        # sure enough
        (FORECAST._replace(p90=date(2024, 9, 1)), DUE, STANDING),
        # the calendar says it anyhow
        (FORECAST, DUE._replace(date=TODAY), STANDING),
        (FORECAST, DUE._replace(date=date(2024, 5, 5)), STANDING),
        # reached for certain
        (FORECAST, DUE, STANDING._replace(distance=4_000e3)),
        (FORECAST, Due(None, None, None), STANDING),
        (FORECAST, DUE, STANDING._replace(distance=None)),
    ],
)
def test_reading_is_not_asked_for_where_it_tells_nothing_new(
    forecast: ForecastDates, due: Due, standing: Standing
) -> None:
    assert not spread_of(due, forecast).asks_for_reading(due, standing, LEAD)


@pytest.mark.parametrize(
    ("first", "likely", "last", "asks", "words"),
    [
        (date(2024, 5, 3), date(2024, 5, 24), date(2024, 6, 20), False,
         "between 3 May 2024 and 20 June 2024, most likely 24 May 2024"),
        (date(2024, 4, 3), date(2024, 5, 24), date(2024, 11, 20), False,
         "between 1 May 2024 and November 2024, most likely 24 May 2024"),
        (date(2024, 8, 3), date(2024, 8, 9), date(2024, 8, 20), False, "about August 2024"),
        (date(2024, 5, 3), date(2024, 5, 24), None, False,
         "hardly before 3 May 2024, most likely 24 May 2024"),
        (date(2024, 5, 3), date(2024, 5, 24), None, True, "not to be told without a reading"),
        (None, date(2024, 5, 24), None, False, "about 24 May 2024"),
        (None, None, None, False, None),
    ],
)  # fmt: skip
def test_page_says_how_sure_it_is(
    first: date | None, likely: date | None, last: date | None, asks: bool, words: str | None
) -> None:
    item = PlanItem(
        state=DueState.AHEAD,
        forecast_first=first,
        forecast_date=likely,
        forecast_last=last,
        asks_for_reading=asks,
    )
    assert sure_words(item, TODAY) == words
