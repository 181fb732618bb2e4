"""What an owner measures: kept as a record of its own, judged, counted, told where it must be."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.findings.actions import Size, record_measuring
from advisory.findings.enums import Judgement
from advisory.findings.models import Finding, MeasuredValue, Measuring
from advisory.findings.queries import found_on, last_measured
from advisory.lubrication.measured import clearances_measured
from advisory.people.models import Consent, Person
from advisory.plans.queries import halts_of
from advisory.plans.wear import wear_of_unit
from advisory.register.models import Build, Car, Position, Unit
from advisory.usage.models import Reading
from advisory.usage.queries import unit_use
from tests.cast import make_unit
from tests.season import readings, today

__all__ = ["readings", "today"]
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("today")]
MM = 1e-3


def place(unit: Unit, name: str = "Floating thrust washer") -> Position:
    return Position.objects.get(design=unit.design, name=name)


def measure(unit: Unit, by: Person, value: float, day: date = date(2024, 5, 1)) -> Measuring:
    size = Size(position=place(unit), value=value, as_typed=f"{value / MM:g} mm")
    return record_measuring(unit=unit, by=by, measured_on=day, sizes=[size])


@pytest.fixture
def unknown(owner: Person, starter_design: object, car: Car) -> Unit:
    """Give a unit that no workshop built: its owner's alone."""
    return make_unit(owner, starter_design, serial="", car=car)


def test_it_is_no_signed_build_and_changes_none(whole_unit: Unit, owner: Person) -> None:
    before = list(Build.objects.values())
    measure(whole_unit, owner, 0.12 * MM)
    assert list(Build.objects.values()) == before
    assert Measuring.objects.count() == 1


def test_size_at_the_limit_becomes_a_finding_and_a_halt(
    whole_unit: Unit, owner: Person, fitter: Person
) -> None:
    limit = place(whole_unit).wear_limit
    measure(whole_unit, owner, limit * 1.1)
    value = MeasuredValue.objects.get()
    assert value.judgement == Judgement.STOP
    assert value.finding == Finding.objects.get()
    assert halts_of([whole_unit], owner)[whole_unit.pk][0].stop
    assert halts_of([whole_unit], fitter)  # it was sent: the owner consents
    assert len(wear_points(whole_unit, owner)) <= 2  # not counted twice


def test_measured_again_and_well_takes_the_halt_back(whole_unit: Unit, owner: Person) -> None:
    measure(whole_unit, owner, place(whole_unit).wear_limit * 1.1, date(2024, 5, 1))
    measure(whole_unit, owner, place(whole_unit).as_built_most, date(2024, 5, 9))
    assert whole_unit.pk not in halts_of([whole_unit], owner)


def wear_points(unit: Unit, by: Person) -> list[tuple[float, float]]:
    shown = wear_of_unit(unit, unit_use(unit), by)
    return list(shown[0].chart.series[0].points) if shown else []


def test_unit_of_unknown_history_is_followed_from_its_first_measuring(
    unknown: Unit, owner: Person, readings: list[Reading]
) -> None:
    measure(unknown, owner, 0.10 * MM, date(2023, 10, 20))
    assert wear_points(unknown, owner) == []
    measure(unknown, owner, 0.13 * MM, date(2024, 6, 1))
    points = wear_points(unknown, owner)
    assert points[0][0] == 0
    assert points[1][0] == pytest.approx(300, rel=1e-3)  # miles since
    assert last_measured(found_on([unknown], owner), None)[place(unknown).pk].day == date(
        2024, 6, 1
    )


def test_clearance_that_was_measured_is_what_the_oil_is_chosen_for(
    whole_unit: Unit, owner: Person, stranger: Person
) -> None:
    bearing = place(whole_unit, "Front bearing")
    size = Size(position=bearing, value=0.05 * MM)
    record_measuring(unit=whole_unit, by=owner, measured_on=date(2024, 5, 1), sizes=[size])
    key = (whole_unit.pk, bearing.pk)
    assert clearances_measured([whole_unit], owner)[key].value == pytest.approx(0.05 * MM)
    assert key not in clearances_measured([whole_unit], stranger)


def test_sent_twice_is_kept_once(whole_unit: Unit, owner: Person) -> None:
    said = {"unit": whole_unit, "by": owner, "measured_on": date(2024, 5, 1), "client_key": "k",
            "sizes": [Size(position=place(whole_unit), value=1e-4)]}  # fmt: skip
    assert record_measuring(**said) == record_measuring(**said)
    assert MeasuredValue.objects.count() == 1


def test_what_cannot_be_is_refused_and_what_hardly_can_is_asked_about(
    whole_unit: Unit, owner: Person, design: object
) -> None:
    with pytest.raises(Question) as asked:
        measure(whole_unit, owner, 4 * MM)
    assert asked.value.field == f"value-{place(whole_unit).pk}"
    with pytest.raises(Refused, match="one size"):
        record_measuring(unit=whole_unit, by=owner, measured_on=date(2024, 5, 1), sizes=[])
    with pytest.raises(Refused, match="not come yet"):
        measure(whole_unit, owner, 1e-4, date(2024, 6, 11))
    assert not Measuring.objects.exists()


def test_stranger_measures_nothing_and_the_workshop_reads_with_consent(
    client: Client, whole_unit: Unit, owner: Person, fitter: Person, stranger: Person
) -> None:
    for person in (stranger, fitter):
        with pytest.raises(NotAllowed):
            measure(whole_unit, person, 1e-4)
    url = reverse("findings:measured", args=[measure(whole_unit, owner, 1e-4).pk])
    client.force_login(fitter)
    assert client.get(url).status_code == 200
    Consent.objects.all().delete()
    assert client.get(url).status_code == 404
    client.force_login(stranger)
    assert client.get(url).status_code == 404


def test_page_keeps_what_was_typed_and_asks_about_it(
    client: Client, whole_unit: Unit, owner: Person
) -> None:
    client.force_login(owner)
    url = reverse("findings:measure", args=[whole_unit.pk])
    page = client.get(url).content.decode()
    assert "Dial gauge" in page
    assert "Never under a car" in page
    name = f"value-{place(whole_unit).pk}"
    said = {"date": "2024-05-01", "unit_of_sizes": "thou", "client_key": "k", name: "lots"}
    answer = client.post(url, said)
    assert answer.status_code == 422
    assert 'value="lots"' in answer.content.decode()
    answer = client.post(url, said | {name: "4 mm"})
    assert "very much here" in answer.content.decode()
    assert 'name="confirm"' in answer.content.decode()
    # millimetres typed for thou: nothing wears to a fortieth of what was built
    answer = client.post(url, said | {name: "0.12"})
    assert "very little here" in answer.content.decode()
    answer = client.post(url, said | {name: "5"})
    assert answer.status_code == 302
    assert MeasuredValue.objects.get().value == pytest.approx(5 * 25.4e-6)
    shown = client.get(answer.headers["Location"]).content.decode()
    assert "not a signed build record" in shown


def test_programs_measure_as_well(client: Client, whole_unit: Unit, owner: Person) -> None:
    client.force_login(owner)
    body = {"unit": whole_unit.pk, "measured_on": "2024-05-01",
            "values": [{"position": place(whole_unit).pk, "value": "0.12 mm"}]}  # fmt: skip
    answer = client.post("/api/v1/measurings/", body, "application/json")
    assert answer.status_code == 201, answer.content
    assert answer.json()["values"][0]["judgement"] == "good"
