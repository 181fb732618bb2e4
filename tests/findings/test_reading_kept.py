"""The odometer's number of a finding is a reading as well, and is asked about like one."""

from datetime import date

import pytest

from advisory.common.errors import Question, Refused
from advisory.findings.actions import report_finding
from advisory.findings.models import Finding
from advisory.register.models import Fitting
from advisory.usage.actions import record_reading
from advisory.usage.models import Reading
from tests.findings.conftest import SEEN_ON, filled, new_url
from tests.findings.pictures import jpeg
from tests.findings.test_actions import stored_photos

pytestmark = pytest.mark.django_db


def test_number_is_kept_as_a_reading_of_its_day(as_owner, whole_unit) -> None:
    for _tap in range(2):
        as_owner.post(new_url(whole_unit), filled(whole_unit))

    reading = Reading.objects.get()
    assert (reading.date, reading.shown) == (SEEN_ON, 41_900)
    assert Finding.objects.get().shown == 41_900


def test_jump_is_asked_about_and_taken_with_a_word(as_owner, whole_unit, car, owner) -> None:
    record_reading(car=car, date=date(2024, 4, 20), shown=41_800, by=owner)
    typed = filled(whole_unit, shown="14 900", photos=[jpeg()])
    asked = as_owner.post(new_url(whole_unit), typed)
    assert asked.status_code == 422
    assert "Is that right?" in asked.text
    assert "It has gone past its last number" not in asked.text  # nobody drove so far
    assert 'value="14 900"' in asked.text
    assert Reading.objects.count() == 1
    assert not Finding.objects.exists()

    asked_about = asked.context["form"].asked_about
    answered = filled(whole_unit, shown="14 900", asked=asked_about, answer="right")
    as_owner.post(new_url(whole_unit), answered)

    assert Reading.objects.get(shown=14_900).confirmed
    assert Finding.objects.get().shown == 14_900


def test_answer_to_a_reading_says_nothing_of_the_figure(as_owner, whole_unit, car, owner) -> None:
    record_reading(car=car, date=date(2024, 4, 20), shown=41_800, by=owner)
    typed = filled(whole_unit, shown="14 900", measurement="17", measurement_unit="mm")
    both = typed | {"asked": f"{SEEN_ON}|14900", "answer": "right"}

    answer = as_owner.post(new_url(whole_unit), both)

    assert "17 mm is very much here" in answer.text
    assert not Finding.objects.exists()


def test_nothing_is_kept_of_a_finding_whose_reading_is_refused(whole_unit, car, owner) -> None:
    said = {"unit": whole_unit, "by": owner, "text": "Weeps.", "seen_on": SEEN_ON}
    record_reading(car=car, date=date(2024, 4, 20), shown=41_800, by=owner)
    with pytest.raises(Question) as asked:
        report_finding(**said, shown=14_900, photos=[jpeg()], confirm=True)
    assert (asked.value.field, asked.value.code) == ("shown", "goes_backwards")
    with pytest.raises(Refused, match="5 figures"):
        report_finding(**said, shown=10**12)
    Fitting.objects.all().delete()
    with pytest.raises(Refused, match="no car on that day"):
        report_finding(**said, shown=41_900)

    assert not Finding.objects.exists()
    assert Reading.objects.count() == 1
    assert stored_photos() == []
