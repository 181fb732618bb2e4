"""A day in the season, and what the cast's odometer had shown by then."""

from collections.abc import Iterator
from datetime import date

import pytest
import time_machine

from advisory.register.models import Odometer
from advisory.usage.models import Reading

TODAY = date(2024, 6, 10)


@pytest.fixture
def today() -> Iterator[date]:
    """A day in the season; the unit of the cast has been in its car for a year and two months."""
    with time_machine.travel("2024-06-10 09:00:00+00:00", tick=False):
        yield TODAY


@pytest.fixture
def readings(odometer: Odometer) -> list[Reading]:
    """Some readings: 1800 miles in the first season, 300 in this one so far."""
    rows = ((date(2023, 4, 1), 41_200), (date(2023, 10, 20), 43_000), (date(2024, 6, 1), 43_300))
    return [Reading.objects.create(odometer=odometer, date=day, shown=at) for day, at in rows]
