"""The cast itself holds together, so that a test that uses it doesn't fail for its sake."""

from advisory.people.models import Consent, Person
from advisory.register.enums import BuildState
from advisory.register.models import Build, Unit


def test_whole_unit_has_what_the_cast_promises(
    whole_unit: Unit, build: Build, owner: Person, consent: Consent, club_consent: Consent
) -> None:
    assert whole_unit.owner == owner
    assert whole_unit.fittings.get(until_date=None).car.owner == owner
    assert build.state == BuildState.SIGNED
    assert build.measurements.count() == 3
    assert whole_unit.oil_arrangements.count() == 1
    assert consent.organisation == whole_unit.workshop
    assert club_consent.withdrawn_at is None
    assert whole_unit.design.positions.count() == 6
