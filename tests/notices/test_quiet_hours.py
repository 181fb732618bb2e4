"""When a mail may go, by the clock of the person who gets it.

Zone rules as the tz database has them: London is UTC+1 from 31 March to 27 October 2024, New York
UTC-4, Auckland UTC+12 in May and UTC+13 in January, Lord Howe half an hour off the others.
"""

import zoneinfo
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, strategies

from advisory.notices.quiet_hours import USUAL, Window, next_opening

pytestmark = pytest.mark.one_database


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.mark.parametrize(
    ("now", "zone", "opens"),
    [
        ("2024-05-15T06:00", "Europe/London", "2024-05-15T06:00"),  # 07:00 there
        ("2024-05-15T05:59", "Europe/London", "2024-05-15T06:00"),
        ("2024-05-15T19:59", "Europe/London", "2024-05-15T19:59"),  # 20:59
        ("2024-05-15T20:00", "Europe/London", "2024-05-16T06:00"),  # 21:00
        ("2024-05-15T23:30", "Europe/London", "2024-05-16T06:00"),  # 00:30 of the next day
        ("2024-01-15T06:30", "Europe/London", "2024-01-15T07:00"),  # winter
        ("2024-05-15T02:20", "America/New_York", "2024-05-15T11:00"),  # 22:20 of the day before
        ("2024-05-15T18:00", "Pacific/Auckland", "2024-05-15T19:00"),  # 06:00 of the 16th
        ("2024-05-15T20:15", "Australia/Lord_Howe", "2024-05-15T20:30"),  # 06:45, UTC+10:30
        ("2024-03-30T22:00", "Europe/London", "2024-03-31T06:00"),  # the clocks go on that night
        ("2024-10-26T21:00", "Europe/London", "2024-10-27T07:00"),  # and back that night
    ],
)
def test_by_night_it_waits_for_seven_in_the_morning(now: str, zone: str, opens: str) -> None:
    assert next_opening(at(now), zone) == at(opens)


MONDAY, SATURDAY = 0b0000001, 0b0100000


@pytest.mark.parametrize(
    ("window", "now", "zone", "opens"),
    [
        # Wednesday 15 May 2024; the next Saturday is the 18th
        (Window(SATURDAY), "2024-05-15T09:00", "Europe/London", "2024-05-18T06:00"),
        (Window(SATURDAY), "2024-05-18T09:00", "Europe/London", "2024-05-18T09:00"),
        (Window(SATURDAY), "2024-05-18T20:00", "Europe/London", "2024-05-25T06:00"),
        # it is Monday in Auckland while it is Sunday in London
        (Window(MONDAY), "2024-05-19T20:00", "Pacific/Auckland", "2024-05-19T20:00"),
        (Window(MONDAY), "2024-05-19T20:00", "Europe/London", "2024-05-20T06:00"),
        # 01:00 is left out on 31 March in London: it opens when the clocks go on, 01:00 UTC
        (
            Window(from_hour=1, until_hour=5),
            "2024-03-31T00:30",
            "Europe/London",
            "2024-03-31T01:00",
        ),
        # 01:00 comes twice on 27 October: it opens at the first and stays open at the second
        (
            Window(from_hour=1, until_hour=2),
            "2024-10-26T23:30",
            "Europe/London",
            "2024-10-27T00:00",
        ),
        (
            Window(from_hour=1, until_hour=2),
            "2024-10-27T01:30",
            "Europe/London",
            "2024-10-27T01:30",
        ),
        (Window(until_hour=24), "2024-05-15T22:59", "Europe/London", "2024-05-15T22:59"),
        (Window(until_hour=24), "2024-05-15T23:00", "Europe/London", "2024-05-16T06:00"),
        # no day at all would mean never: what is due must be told some day
        (Window(0), "2024-05-15T09:00", "Europe/London", "2024-05-15T09:00"),
    ],
)
def test_days_and_hours_of_ones_own(window: Window, now: str, zone: str, opens: str) -> None:
    assert window.opening(at(now), zone) == at(opens)


@pytest.mark.parametrize(
    ("told", "now", "opens"),
    [
        (None, "2024-05-15T09:00", "2024-05-15T09:00"),
        ("2024-05-14T19:00", "2024-05-15T09:00", "2024-05-15T09:00"),  # in the window before
        ("2024-05-15T06:00", "2024-05-15T09:00", "2024-05-16T06:00"),  # in this one
        ("2024-05-15T06:00", "2024-05-15T22:00", "2024-05-16T06:00"),
        ("2024-05-16T06:00", "2024-05-15T22:00", "2024-05-17T06:00"),  # waits for the next already
    ],
)
def test_one_mail_a_window(told: str | None, now: str, opens: str) -> None:
    before = None if told is None else at(told)

    assert USUAL.opening_after(before, at(now), "Europe/London") == at(opens)


@given(
    now=strategies.integers(0, 366 * 24 * 4).map(
        lambda quarters: datetime(2024, 1, 1, tzinfo=UTC) + timedelta(minutes=15 * quarters)
    ),
    zone=strategies.sampled_from(
        ["Europe/London", "Australia/Lord_Howe", "Pacific/Auckland", "America/New_York"]
    ),
    window=strategies.builds(
        Window,
        strategies.integers(1, 127),
        strategies.integers(0, 11),
        strategies.integers(12, 24),
    ),
)
def test_it_opens_within_a_week_inside_the_window_and_once_open_stays(now, zone, window) -> None:
    opens = window.opening(now, zone)

    local = opens.astimezone(zoneinfo.ZoneInfo(zone))
    assert now <= opens <= now + timedelta(days=8)
    assert window.days >> local.weekday() & 1
    assert window.from_hour <= local.hour < window.until_hour
    assert window.opening(opens, zone) == opens
