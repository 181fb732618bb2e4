"""How sure a forecast is: the days between which it lies, cut off by the calendar."""

from datetime import date, timedelta
from typing import NamedTuple

from advisory.engineering.usage_forecast import too_wide
from advisory.plans.computation import Due, Standing
from advisory.usage.forecasts import ForecastDates

# A reading so young leaves little to ask. Common practice, no source.
YOUNG_READING = timedelta(days=28)


class Spread(NamedTuple):
    """When the first of the limits is hardly met before, most likely met, hardly met after.

    `middle` is the forecast by distance alone; `since` the day of the last reading.
    """

    first: date | None = None
    middle: date | None = None
    last: date | None = None
    since: date | None = None

    def asks_for_reading(self, due: Due, standing: Standing, lead: timedelta) -> bool:
        """Say whether a reading is worth more now than anything that could be said.

        That is when it may be near (the first day has come within the lead), the days are too far
        apart to plan by, the last reading is not fresh, and the distance isn't reached for certain.
        """
        if self.since is None or self.first is None or due.distance is None:
            return False
        if standing.distance is None or standing.distance >= due.distance:
            return False
        today = standing.today
        if today - self.since <= YOUNG_READING or self.first - today > lead:
            return False
        if due.date is not None and due.date <= max(self.first, today):
            return False  # the calendar says it anyhow
        last = self.last or date.max
        middle = min(self.middle or date.max, last)
        return too_wide((middle - self.since).days, (last - self.first).days)


def spread_of(due: Due, forecast: ForecastDates | None) -> Spread:
    """Return the days of a forecast, none of them after the day that the calendar sets.

    Whichever limit comes first counts: before the calendar's day nothing changes, and on that day
    it is certain. So each of the days is cut off exactly there.
    """
    if forecast is None:
        return Spread(first=due.date, last=due.date)

    def cut(day: date | None) -> date | None:
        return min((one for one in (day, due.date) if one is not None), default=None)

    return Spread(cut(forecast.p10), forecast.p50, cut(forecast.p90), forecast.since)
