"""No mail at night, by the clock of the person who gets it; reminders on the days they chose."""

import zoneinfo
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

FIRST_HOUR = 7
LAST_HOUR = 21
ALL_DAYS = 0b1111111  # a bit for each day of the week, Monday first


@dataclass(frozen=True)
class Window:
    """The hours of the days of a week in which mail may come; the last hour is no longer in it.

    Hours are of the wall clock, so that one which a change of the clocks leaves out begins at the
    next that there is.
    """

    days: int = ALL_DAYS
    from_hour: int = FIRST_HOUR
    until_hour: int = LAST_HOUR

    def opening(self, now: datetime, zone: str) -> datetime:
        """Return `now` inside the window, else when it opens next, in the person's zone."""
        local = now.astimezone(zoneinfo.ZoneInfo(zone))
        if self._takes(local.date()) and self._opens(local.date(), zone) <= now < self._closes(
            local.date(), zone
        ):
            return now
        day = local.date()
        if now >= self._opens(day, zone):
            day += timedelta(days=1)
        while not self._takes(day):
            day += timedelta(days=1)
        return self._opens(day, zone).astimezone(now.tzinfo)

    def opening_after(self, told: datetime | None, now: datetime, zone: str) -> datetime:
        """Return when a next mail may go where one went, or goes, at `told`: one a window."""
        opening = self.opening(now, zone)
        if told is None:
            return opening
        day = opening.astimezone(zoneinfo.ZoneInfo(zone)).date()
        if told < self._opens(day, zone):
            return opening
        return self.opening(self._closes(day, zone), zone).astimezone(now.tzinfo)

    def _takes(self, day: date) -> bool:
        return bool(self.days >> day.weekday() & 1) or not self.days & ALL_DAYS

    def _opens(self, day: date, zone: str) -> datetime:
        return _at(day, self.from_hour, zone)

    def _closes(self, day: date, zone: str) -> datetime:
        if self.until_hour >= 24:
            return _at(day + timedelta(days=1), 0, zone)
        return _at(day, self.until_hour, zone)


USUAL = Window()


def _at(day: date, hour: int, zone: str) -> datetime:
    """Return the moment of an hour of a day, in UTC: two moments of one zone compare by the wall.

    Where the clocks skip the hour, it is the moment at which they do (PEP 495, `fold=0`).
    """
    return datetime.combine(day, time(hour), tzinfo=zoneinfo.ZoneInfo(zone)).astimezone(UTC)


def next_opening(now: datetime, zone: str, window: Window = USUAL) -> datetime:
    """Return `now` inside the window, else its next first hour, in the person's zone."""
    return window.opening(now, zone)
