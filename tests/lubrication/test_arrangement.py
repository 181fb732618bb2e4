"""How a unit is oiled, with dates."""

from datetime import date, timedelta

import pytest

from advisory.common.errors import NotAllowed, Refused
from advisory.common.models import AuditEntry
from advisory.lubrication.actions import add_lubricant, record_oil_service, set_oil_arrangement
from advisory.lubrication.enums import Feed, Filtration, OilFamily, ServiceKind
from advisory.lubrication.models import Lubricant, OilArrangement
from advisory.lubrication.queries import lubricants_for, oil_of, oils_of
from advisory.lubrication.signals import oil_changed
from advisory.people.models import Consent, Person
from advisory.register.models import Unit
from tests.cast import make_unit

pytestmark = pytest.mark.django_db


def sae(grade: int) -> Lubricant:
    return Lubricant.objects.get(code=f"sae-{grade}")


def test_nothing_told_is_nothing_known(today: date, unit: Unit) -> None:
    oil = oil_of(unit)
    assert oil.arrangement is None
    assert oil.filtration == Filtration.UNKNOWN
    assert oil.lubricant is None
    assert oil.sump_volume == unit.design.sump_volume  # what the design says


def test_arrangement_counts_from_its_day_and_the_one_before_stays(
    today: date, unit: Unit, owner: Person
) -> None:
    set_oil_arrangement(unit=unit, from_date=date(2023, 4, 1), by=owner, sump_volume=1.1e-3)
    set_oil_arrangement(
        unit=unit, from_date=date(2024, 5, 1), by=owner, filtration=Filtration.BYPASS
    )
    assert oil_of(unit, date(2024, 4, 30)).filtration == Filtration.UNKNOWN
    assert oil_of(unit, date(2024, 4, 30)).sump_volume == 1.1e-3
    assert oil_of(unit, date(2024, 5, 1)).filtration == Filtration.BYPASS
    assert oil_of(unit, date(2023, 3, 31)).arrangement is None


def test_same_day_again_puts_it_right(today: date, unit: Unit, owner: Person) -> None:
    set_oil_arrangement(unit=unit, from_date=today, by=owner, filtration=Filtration.FULL_FLOW)
    set_oil_arrangement(unit=unit, from_date=today, by=owner, filtration=Filtration.STRAINER)
    assert OilArrangement.objects.get(unit=unit).filtration == Filtration.STRAINER
    said = AuditEntry.objects.filter(action="set_oil_arrangement").order_by("pk")
    assert [entry.data["filtration"] for entry in said] == ["full-flow", "strainer"]


def test_others_hear_of_it_once_it_stands(
    today: date, unit: Unit, owner: Person, django_capture_on_commit_callbacks
) -> None:
    heard: list[Unit] = []

    def listen(unit: Unit, **kwargs: object) -> None:
        heard.append(unit)

    oil_changed.connect(listen)
    with django_capture_on_commit_callbacks(execute=True):
        set_oil_arrangement(unit=unit, from_date=today, by=owner)
        assert heard == []
    assert heard == [unit]
    oil_changed.disconnect(listen)


@pytest.mark.parametrize(
    ("figures", "field"),
    [
        ({"sump_volume": 4.5}, "sump_volume"),
        ({"sump_volume": 0.0}, "sump_volume"),
        ({"sump_volume": float("nan")}, "sump_volume"),
        ({"filtration": Filtration.BYPASS, "beta_ratio": 0.5}, "beta_ratio"),
        ({"filtration": Filtration.BYPASS, "filter_flow": 0.5}, "filter_flow"),
        ({"filtration": Filtration.BYPASS, "dirt_capacity": 10.0}, "dirt_capacity"),
        ({"filtration": Filtration.NONE, "beta_ratio": 10.0}, "beta_ratio"),
        ({"filtration": Filtration.STRAINER, "dirt_capacity": 1e-3}, "dirt_capacity"),
        ({"filter_flow": 1e-5}, "filter_flow"),
        ({"feed_pipe_bore": 5.0}, "feed_pipe_bore"),
        ({"sump_temperature": 80.0}, "sump_temperature"),
        ({"feed": "by hand"}, "feed"),
        ({"filtration": "sieve"}, "filtration"),
        ({"from_date": date(2024, 6, 11)}, "from_date"),
    ],
)
def test_nonsense_is_refused_at_its_field_and_nothing_is_kept(
    today: date, unit: Unit, owner: Person, figures: dict[str, object], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        set_oil_arrangement(**{"unit": unit, "from_date": today, "by": owner, **figures})
    assert refused.value.field == field
    assert not OilArrangement.objects.exists()


def test_only_owner_and_consented_workshop_may_say(
    today: date, unit: Unit, fitter: Person, other_fitter: Person, stranger: Person, officer: Person
) -> None:
    for person in (fitter, other_fitter, stranger, officer):
        with pytest.raises(NotAllowed):
            set_oil_arrangement(unit=unit, from_date=today, by=person)


def test_workshop_may_say_while_the_owner_consents(
    today: date, unit: Unit, fitter: Person, consent: Consent
) -> None:
    assert set_oil_arrangement(unit=unit, from_date=today, by=fitter, feed=Feed.PRESSURE).pk


def test_somebody_elses_can_is_refused_unless_it_is_in_the_unit(
    today: date, unit: Unit, owner: Person, fitter: Person, consent: Consent, stranger: Person
) -> None:
    figures = {
        "family": OilFamily.ENGINE,
        "kinematic_viscosity_40": 100e-6,
        "kinematic_viscosity_100": 11e-6,
    }
    owners = add_lubricant(by=owner, name="Owner's can", **figures)
    strangers = add_lubricant(by=stranger, name="Stranger's can", **figures)
    with pytest.raises(Refused) as refused:
        set_oil_arrangement(unit=unit, from_date=today, by=owner, lubricant=strangers)
    assert refused.value.field == "lubricant"
    yesterday = today - timedelta(days=1)
    set_oil_arrangement(unit=unit, from_date=yesterday, by=owner, lubricant=owners)
    # the workshop leaves in the unit what is in it
    assert owners in lubricants_for(fitter, unit, today)
    assert set_oil_arrangement(unit=unit, from_date=today, by=fitter, lubricant=owners).pk


def test_oil_filled_in_last_is_the_oil_in_use(today: date, unit: Unit, owner: Person) -> None:
    set_oil_arrangement(unit=unit, from_date=date(2023, 5, 1), by=owner, lubricant=sae(30))
    assert oil_of(unit).lubricant == sae(30)
    for day, kind, oil in (
        (date(2023, 9, 1), ServiceKind.CHANGE, sae(40)),
        (date(2023, 10, 1), ServiceKind.TOP_UP, sae(60)),
    ):
        record_oil_service(unit=unit, date=day, kind=kind, lubricant=oil, by=owner)
    assert oil_of(unit).lubricant == sae(40)
    set_oil_arrangement(unit=unit, from_date=date(2024, 1, 1), by=owner, lubricant=sae(50))
    assert oil_of(unit).lubricant == sae(50)
    assert oil_of(unit, date(2023, 12, 31)).lubricant == sae(40)


def test_prescribed_oil_stands_beside_the_one_in_use(
    today: date, unit: Unit, owner: Person
) -> None:
    unit.design.lubricant_code = "sae-40"
    unit.design.save()
    set_oil_arrangement(unit=unit, from_date=today, by=owner, lubricant=sae(30))
    oil = oil_of(unit)
    assert (oil.lubricant, oil.prescribed, oil.wanted) == (sae(30), sae(40), sae(40))


def test_oil_of_many_units_costs_no_more_queries(
    today: date, unit: Unit, owner: Person, django_assert_max_num_queries
) -> None:
    units = [unit, *(make_unit(owner, unit.design, serial=str(n)) for n in range(2))]
    with django_assert_max_num_queries(4) as one:
        oils_of(units[:1])
    with django_assert_max_num_queries(4) as three:
        oils_of(units)
    assert len(one.captured_queries) == len(three.captured_queries)
