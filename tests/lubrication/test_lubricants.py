"""Oils: the catalogue as rows, and data sheets."""

import pytest
from django.core.management import call_command

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.common.models import AuditEntry
from advisory.lubrication.actions import add_lubricant, sync_catalogue
from advisory.lubrication.adapters import catalogue, grades_of
from advisory.lubrication.enums import OilFamily
from advisory.lubrication.models import Lubricant
from advisory.lubrication.queries import lubricants_for
from advisory.people.models import Organisation, Person

pytestmark = pytest.mark.django_db

MM2 = 1e-6
# A data sheet's figures; the index of such an oil is 92 (ASTM D2270's worked example, R).
SHEET = {
    "name": "  Brown can,  SAE 30 ",
    "family": OilFamily.ENGINE,
    "kinematic_viscosity_40": 100 * MM2,
    "kinematic_viscosity_100": 11.2 * MM2,
}


def test_migration_brings_the_generic_oils() -> None:
    rows = {row.code: row for row in Lubricant.objects.exclude(code="")}
    assert set(rows) == {oil.code for oil in catalogue()}
    assert rows["sae-30"].kinematic_viscosity_100 == pytest.approx(11.2 * MM2)
    assert rows["gear-90"].active_sulphur
    assert not rows["gear-90-straight"].active_sulphur


def test_sync_changes_nothing_the_second_time_and_mends_what_was_changed() -> None:
    before = dict(Lubricant.objects.values_list("code", "pk"))
    Lubricant.objects.filter(code="sae-30").update(kinematic_viscosity_100=1.0, name="Treacle")
    sync_catalogue()
    call_command("migrate", verbosity=0)
    assert dict(Lubricant.objects.values_list("code", "pk")) == before
    assert Lubricant.objects.get(code="sae-30").name == "SAE 30"


def test_own_oil_is_kept_and_its_grades_follow_from_its_figures(owner: Person) -> None:
    oil = add_lubricant(by=owner, density_15=886.0, **SHEET)
    assert (oil.name, oil.owner, oil.workshop) == ("Brown can, SAE 30", owner, None)
    # J300: 9.3 to 12.5 is SAE 30; J306: 11.0 to 13.5 is 85; ISO 3448: 100 +-10 %. All R.
    assert grades_of(oil) == ["SAE 30", "SAE 85 gear", "ISO VG 100"]
    assert AuditEntry.objects.get(action="add_lubricant").target_id == oil.pk


def test_same_can_twice_is_one_oil(owner: Person) -> None:
    assert add_lubricant(by=owner, **SHEET) == add_lubricant(by=owner, **SHEET)
    assert AuditEntry.objects.filter(action="add_lubricant").count() == 1


@pytest.mark.parametrize(
    ("change", "field", "code"),
    [
        ({"kinematic_viscosity_100": 100 * MM2}, "kinematic_viscosity_100", "not_thinner"),
        (
            {"kinematic_viscosity_40": 11.2 * MM2, "kinematic_viscosity_100": 100 * MM2},
            "kinematic_viscosity_100",
            "not_thinner",
        ),
        ({"kinematic_viscosity_40": 100.0}, "kinematic_viscosity_40", "out_of_range"),
        ({"kinematic_viscosity_40": float("nan")}, "kinematic_viscosity_40", "out_of_range"),
        ({"kinematic_viscosity_100": -1 * MM2}, "kinematic_viscosity_100", "out_of_range"),
        ({"density_15": 0.88}, "density_15", "out_of_range"),
        ({"name": "   "}, "name", "invalid"),
        ({"family": "olive"}, "family", "invalid"),
    ],
)
def test_nonsense_is_refused_at_its_field(
    owner: Person, change: dict[str, object], field: str, code: str
) -> None:
    with pytest.raises(Refused) as refused:
        add_lubricant(by=owner, **{**SHEET, **change})
    assert (refused.value.field, refused.value.code) == (field, code)
    assert not Lubricant.objects.filter(code="").exists()


def test_unusual_viscosity_index_is_asked_about_and_taken_when_confirmed(owner: Person) -> None:
    thick = {**SHEET, "kinematic_viscosity_40": 500 * MM2}
    with pytest.raises(Question) as question:
        add_lubricant(by=owner, **thick)
    assert question.value.code == "unusual_viscosity_index"
    assert add_lubricant(by=owner, confirm=True, **thick).pk


def test_own_oil_is_nobody_elses(owner: Person, stranger: Person, fitter: Person) -> None:
    oil = add_lubricant(by=owner, **SHEET)
    assert oil in lubricants_for(owner)
    assert oil not in lubricants_for(stranger)
    assert oil not in lubricants_for(fitter)
    generic = Lubricant.objects.exclude(code="").count()
    assert lubricants_for(stranger).count() == generic


def test_workshops_oil_is_for_its_members(
    workshop: Organisation, fitter: Person, manager: Person, other_fitter: Person, owner: Person
) -> None:
    oil = add_lubricant(by=fitter, workshop=workshop, **SHEET)
    assert oil.owner is None
    assert oil in lubricants_for(manager)
    assert oil not in lubricants_for(other_fitter)
    assert oil not in lubricants_for(owner)
    with pytest.raises(NotAllowed):
        add_lubricant(by=other_fitter, workshop=workshop, **SHEET)
