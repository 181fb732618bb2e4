"""How near to a row the ways to a person are asked; what they open is held by the rules' matrix."""

import pytest
from django.db.models import F, Model

from advisory.findings.models import AskedMeasurement, Finding
from advisory.people.models import Organisation, Person
from advisory.people.ways_in import WayIn, any_open
from advisory.plans.models import BulletinUnit
from advisory.register.models import Car, Design, Unit
from tests.cast import make_car, make_unit

pytestmark = pytest.mark.django_db


def tables_asked(model: type[Model], *ways: WayIn) -> list[str]:
    """Return the tables that a narrowing names, in their order, the model's own first."""
    sql = str(model._base_manager.filter(any_open(model, ways)).values("pk").query)
    words = sql.replace("(", " ").split()
    return [
        words[at + 1].strip('"')
        for at, word in enumerate(words)
        if word in ("FROM", "JOIN")
    ]  # fmt: skip


def test_no_way_is_none() -> None:
    assert any_open(Unit, []) is None


def test_what_a_row_tells_itself_joins_nothing() -> None:
    assert tables_asked(Unit, WayIn({"owner": 1}), WayIn({"owner": None, "workshop__in": [1]})) == [
        "register_unit"
    ]


def test_a_way_over_a_unit_asks_the_unit_and_not_the_row_again() -> None:
    way = WayIn({"unit__workshop__in": [1]}, ("unit__workshop", "unit__owner"))
    assert tables_asked(Finding, way) == [
        "findings_finding", "register_unit", "people_consent", "people_person",
    ]  # fmt: skip


def test_a_long_way_is_gone_step_by_step() -> None:
    assert tables_asked(AskedMeasurement, WayIn({"answer__finding__unit__owner": 1})) == [
        "findings_askedmeasurement", "findings_answer", "findings_finding", "register_unit",
    ]  # fmt: skip


def test_what_stays_on_the_row_keeps_its_ways_apart() -> None:
    """Else an owner's own row would open only where it was sent, or the workshop's always."""
    ways = WayIn({"unit__owner": 1}), WayIn({"unit__workshop__in": [1], "state__in": ["sent"]})
    assert tables_asked(Finding, *ways).count("register_unit") == 2


def test_what_is_compared_stays_together() -> None:
    """The bulletin's own organisation is held against the unit's workshop: no step parts them."""
    way = WayIn({"unit__workshop__in": [1], "bulletin__organisation": F("unit__workshop")})
    asked = tables_asked(BulletinUnit, way)
    assert asked[0] == asked[1] == "plans_bulletinunit"
    assert {"register_unit", "plans_bulletin"} < set(asked)


def test_a_way_over_many_rows_means_one_of_them(
    workshop: Organisation, other_workshop: Organisation, owner: Person, design: Design
) -> None:
    way = WayIn({"fittings__unit__workshop__in": [workshop.pk], "fittings__until_date": None})
    car = make_car(owner)
    for built_by, until in ((workshop, "2024-01-01"), (other_workshop, None)):
        unit = make_unit(owner, design, serial=built_by.name, workshop=built_by)
        car.fittings.create(unit=unit, from_date="2023-01-01", until_date=until)
    theirs = Car.objects.filter(any_open(Car, [way]))
    assert not theirs.exists()
    car.fittings.filter(unit__workshop=workshop).update(until_date=None)
    assert list(theirs.all()) == [car]
