"""Many keys in one condition find what a list of them finds."""

from datetime import date, timedelta

import pytest

from advisory.common.keys import among
from advisory.common.together import FEW
from advisory.register.models import Odometer
from advisory.usage.models import Reading

pytestmark = pytest.mark.django_db


@pytest.fixture
def keys(odometer: Odometer) -> list[int]:
    first = date(2023, 1, 1)
    rows = [
        Reading(odometer=odometer, date=first + timedelta(days=number), shown=number)
        for number in range(3 * FEW)
    ]
    return [row.pk for row in Reading.objects.bulk_create(rows)]


@pytest.mark.parametrize("many", [0, 1, FEW, FEW + 1, 2 * FEW])
def test_the_same_rows_are_found(keys: list[int], many: int) -> None:
    wanted = set(keys[:many])
    found = Reading.objects.filter(pk__in=among(wanted)).values_list("pk", flat=True)
    assert set(found) == wanted
    assert Reading.objects.exclude(pk__in=among(wanted)).count() == len(keys) - many


def test_it_works_on_what_a_row_points_to(keys: list[int], odometer: Odometer) -> None:
    strangers = range(10**9, 10**9 + 2 * FEW)
    rows = Reading.objects.filter(odometer__in=among([odometer.pk, *strangers]))
    assert rows.count() == len(keys)
    assert not Reading.objects.filter(odometer__in=among(strangers)).exists()
    cars = Odometer.objects.filter(pk__in=rows.values("odometer"))
    assert [one.pk for one in cars] == [odometer.pk]


def test_more_than_a_database_takes_one_by_one(keys: list[int]) -> None:
    wanted = [*keys, *range(10**9, 10**9 + 300_000)]
    assert Reading.objects.filter(pk__in=among(wanted)).count() == len(keys)


def test_what_is_no_key_is_refused() -> None:
    with pytest.raises(ValueError, match="invalid literal"):
        among(["1); DROP TABLE usage_reading; --"] * (FEW + 1))  # type: ignore[list-item]
