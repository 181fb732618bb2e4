"""Single matters of the access rules, where a mistake would be easy and dear."""

from datetime import UTC, date, datetime

import pytest
from django.utils.functional import SimpleLazyObject

from advisory.common.errors import NotAllowed
from advisory.lubrication.enums import ServiceKind
from advisory.lubrication.models import OilService
from advisory.people import rules
from advisory.people.enums import ConsentScope
from advisory.people.models import Consent, Membership, Organisation, Person
from advisory.people.rules import Permission
from advisory.register.models import Car, Design, Unit
from advisory.usage.models import Reading
from tests.cast import (
    make_consent,
    make_design,
    make_unit,
)

P = Permission


def test_row_not_saved_yet_is_refused(owner: Person) -> None:
    assert not rules.may(owner, P.VIEW_USE, Car(owner=owner, maker="x"))


def test_lazy_person_of_a_request_counts_as_the_person(owner: Person, unit: Unit) -> None:
    lazy = SimpleLazyObject(lambda: owner)
    assert rules.may(lazy, P.VIEW_USE, unit)  # type: ignore[arg-type]
    assert rules.may(lazy, P.KEEP_ACCOUNT, lazy)  # type: ignore[arg-type]


def test_require_goes_on_or_raises(owner: Person, stranger: Person, unit: Unit) -> None:
    rules.require(owner, P.VIEW_USE, unit)
    with pytest.raises(NotAllowed):
        rules.require(stranger, P.VIEW_USE, unit)


def test_consent_of_the_new_owner_counts_after_a_sale(
    unit: Unit, consent: Consent, fitter: Person, second_owner: Person, owner: Person
) -> None:
    service = OilService.objects.create(unit=unit, date=date(2024, 1, 1), kind=ServiceKind.CHANGE)
    assert rules.may(fitter, P.VIEW_USE, service)
    unit.owner = second_owner
    unit.save()
    assert not rules.may(fitter, P.VIEW_USE, service)
    assert not rules.may(owner, P.VIEW_USE, service)
    assert rules.may(second_owner, P.VIEW_USE, service)


def test_consent_ends_with_the_owners_account(
    unit: Unit, consent: Consent, fitter: Person, owner: Person
) -> None:
    assert rules.may(fitter, P.VIEW_USE, unit)
    owner.is_active = False
    owner.save()
    assert not rules.may(fitter, P.VIEW_USE, unit)


def test_word_for_figures_is_none_for_records(
    unit: Unit, fitter: Person, owner: Person, workshop: Organisation
) -> None:
    make_consent(owner, workshop, ConsentScope.UNNAMED)
    assert not rules.may(fitter, P.VIEW_USE, unit)


def test_fitter_who_left_sees_nothing_more(unit: Unit, consent: Consent, fitter: Person) -> None:
    Membership.objects.filter(person=fitter).delete()
    assert not rules.may(fitter, P.VIEW_USE, unit)
    assert not rules.may(fitter, P.VIEW_UNIT, unit)


def test_car_is_shown_while_a_unit_of_the_workshop_is_in_it(
    unit: Unit, car: Car, consent: Consent, fitter: Person
) -> None:
    assert rules.may(fitter, P.VIEW_USE, car)
    unit.fittings.update(until_date=date(2024, 1, 1))
    assert not rules.may(fitter, P.VIEW_USE, car)


def test_unit_of_another_workshop_in_the_same_car_opens_nothing(
    unit: Unit,
    car: Car,
    consent: Consent,
    owner: Person,
    other_workshop: Organisation,
    other_fitter: Person,
    fitter: Person,
) -> None:
    """Two workshops' units in one car, consent to one of them: the joins must not be mixed up."""
    theirs = make_unit(owner, make_design(other_workshop, "Gearbox"), serial="1", car=car)
    reading = Reading.objects.create(
        odometer=car.odometers.get(), date=date(2024, 1, 1), shown=42_000
    )
    assert rules.may(fitter, P.VIEW_USE, reading)
    for row in (car, reading, theirs, unit):
        assert not rules.may(other_fitter, P.VIEW_USE, row)
    assert not rules.may(fitter, P.VIEW_USE, theirs)


def test_scope_names_each_row_once(
    owner: Person, unit: Unit, car: Car, design: Design, consent: Consent, fitter: Person
) -> None:
    make_unit(owner, design, serial="2", car=car)
    make_unit(owner, design, serial="3", car=car)
    for person in (owner, fitter):
        assert rules.scope(person, P.VIEW_USE, Car.objects.all()).count() == 1
        designs = Design.objects.exclude(workshop=None)
        assert rules.scope(person, P.VIEW_DESIGN, designs).count() == 1


def test_consenting_names_those_whose_word_stands(
    club: Organisation, workshop: Organisation, owner: Person, second_owner: Person
) -> None:
    make_consent(owner, club, ConsentScope.UNNAMED)
    named = make_consent(second_owner, club, ConsentScope.NAMED)
    make_consent(second_owner, workshop, ConsentScope.RECORDS)
    both = (ConsentScope.UNNAMED, ConsentScope.NAMED)
    assert set(rules.consenting(club, *both)) == {owner, second_owner}
    assert set(rules.consenting(club, ConsentScope.NAMED)) == {second_owner}
    named.withdrawn_at = datetime(2024, 1, 1, tzinfo=UTC)
    named.save()
    owner.is_active = False
    owner.save()
    assert not rules.consenting(club, *both).exists()
