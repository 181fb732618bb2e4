"""A unit's hour counter: what is believed, and what is asked about."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.people.models import Person
from advisory.register.models import Unit
from advisory.usage.actions import record_hours, strike_hours
from advisory.usage.models import HourReading, Reading
from advisory.usage.queries import unit_use

pytestmark = pytest.mark.usefixtures("today")
HOUR = 3600.0


def test_hours_are_kept_once(unit: Unit, owner: Person) -> None:
    first = record_hours(unit=unit, date=date(2024, 5, 1), running_time=412.5 * HOUR, by=owner)
    again = record_hours(unit=unit, date=date(2024, 5, 1), running_time=412.5 * HOUR, by=owner)
    assert first == again == HourReading.objects.get()


def test_number_that_goes_back_is_refused_unless_the_counter_is_another(
    unit: Unit, owner: Person
) -> None:
    record_hours(unit=unit, date=date(2024, 5, 1), running_time=412 * HOUR, by=owner)
    with pytest.raises(Refused, match="412") as refused:
        record_hours(unit=unit, date=date(2024, 6, 1), running_time=3 * HOUR, by=owner)
    assert refused.value.field == "hours"
    record_hours(unit=unit, date=date(2024, 6, 1), running_time=3 * HOUR, by=owner, anew=True)
    record_hours(unit=unit, date=date(2024, 6, 9), running_time=9 * HOUR, by=owner)
    assert unit_use(unit).hours.since(date(2024, 6, 1).toordinal()) == 6 * HOUR


def test_late_number_is_held_against_the_one_after(unit: Unit, owner: Person) -> None:
    record_hours(unit=unit, date=date(2024, 5, 1), running_time=100 * HOUR, by=owner)
    with pytest.raises(Refused, match="only 100"):
        record_hours(unit=unit, date=date(2024, 4, 1), running_time=120 * HOUR, by=owner)


def test_more_than_a_day_has_is_refused_and_very_much_is_asked_about(
    unit: Unit, owner: Person
) -> None:
    record_hours(unit=unit, date=date(2024, 6, 1), running_time=100 * HOUR, by=owner)
    with pytest.raises(Refused):
        record_hours(unit=unit, date=date(2024, 6, 2), running_time=149 * HOUR, by=owner)
    with pytest.raises(Question):
        record_hours(unit=unit, date=date(2024, 6, 2), running_time=120 * HOUR, by=owner)
    record_hours(unit=unit, date=date(2024, 6, 2), running_time=120 * HOUR, by=owner, confirm=True)
    assert HourReading.objects.count() == 2


def test_stranger_and_workshop_write_no_hours(
    whole_unit: Unit, stranger: Person, fitter: Person, owner: Person
) -> None:
    for person in (stranger, fitter):
        with pytest.raises(NotAllowed):
            record_hours(unit=whole_unit, date=date(2024, 5, 1), running_time=HOUR, by=person)
    row = record_hours(unit=whole_unit, date=date(2024, 5, 1), running_time=HOUR, by=owner)
    with pytest.raises(NotAllowed):
        strike_hours(reading=row, by=stranger)


def test_mean_speed_follows_from_counter_and_odometer(
    unit: Unit, owner: Person, readings: list[Reading]
) -> None:
    assert unit_use(unit).mean_speed is None
    record_hours(unit=unit, date=date(2023, 10, 20), running_time=50 * HOUR, by=owner)
    record_hours(unit=unit, date=date(2024, 6, 1), running_time=60 * HOUR, by=owner)
    assert unit_use(unit).mean_speed == pytest.approx(300 * 1609.344 / (10 * HOUR))


def test_page_takes_a_number_and_says_what_is_wrong_with_it(
    client: Client, unit: Unit, owner: Person
) -> None:
    client.force_login(owner)
    url = reverse("usage:hours", args=[unit.pk])
    said = {"hours": "412.5", "date": "2024-05-01"}
    assert client.post(url, said).status_code == 302
    assert HourReading.objects.get().shown == 412.5 * HOUR
    assert "412.5 hours" in client.get(url).content.decode()
    answer = client.post(url, {"hours": "4l2", "date": "2024-06-01"})
    assert answer.status_code == 422
    assert 'value="4l2"' in answer.content.decode()
    client.post(reverse("usage:hours_strike", args=[HourReading.objects.get().pk]))
    assert not HourReading.objects.exists()
