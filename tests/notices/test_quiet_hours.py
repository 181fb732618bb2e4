"""When a mail may go, by the clock of the person who gets it.

Zone rules as the tz database has them: London is UTC+1 from 31 March to 27 October 2024, New York
UTC-4, Auckland UTC+12 in May and UTC+13 in January, Lord Howe half an hour off the others.
"""

from datetime import UTC, datetime

import pytest

from advisory.notices.quiet_hours import next_opening

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
