"""Which half of the world a zone lies in, against places whose latitude anybody can look up."""

import zoneinfo
from datetime import timedelta

import pytest

from advisory.people.seasons import HALF_A_YEAR, season_ahead, southern_zones


# Latitudes of these cities: any atlas.
@pytest.mark.parametrize(
    "zone",
    [
        "Pacific/Auckland",
        "Australia/Hobart",
        "Africa/Johannesburg",
        "America/Argentina/Ushuaia",
        "America/Santiago",
        "Africa/Maseru",
        # older names of the same places
        "NZ",
        "Australia/ACT",
        "Brazil/East",
    ],
)
def test_south_of_the_equator_is_half_a_year_ahead(zone: str) -> None:
    assert season_ahead(zone) == HALF_A_YEAR


@pytest.mark.parametrize(
    "zone", ["Europe/London", "America/New_York", "Asia/Tokyo", "Asia/Singapore", "GB", "UTC", ""]
)
def test_north_of_it_and_without_a_place_nothing_moves(zone: str) -> None:
    assert season_ahead(zone) == timedelta(0)


def test_every_southern_zone_is_one_that_can_be_chosen() -> None:
    assert southern_zones() < zoneinfo.available_timezones()
