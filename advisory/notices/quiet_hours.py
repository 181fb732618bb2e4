"""No mail at night, by the clock of the person who gets it."""

import zoneinfo
from datetime import datetime, time, timedelta

FIRST_HOUR = 7
LAST_HOUR = 21


def next_opening(now: datetime, zone: str) -> datetime:
    """Return `now` by day, else the next morning's first hour, in the person's zone."""
    local = now.astimezone(zoneinfo.ZoneInfo(zone))
    if FIRST_HOUR <= local.hour < LAST_HOUR:
        return now
    day = local.date() if local.hour < FIRST_HOUR else local.date() + timedelta(days=1)
    morning = datetime.combine(day, time(FIRST_HOUR), tzinfo=local.tzinfo)
    return morning.astimezone(now.tzinfo)
