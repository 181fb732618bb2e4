"""Rows made without their class are what their class makes."""

from datetime import date

import pytest
from django.db import connection
from django.utils import timezone

from advisory.common.bare_rows import new_row, read_row
from advisory.plans.models import PlanItem
from advisory.register.enums import WorkKind
from advisory.register.models import Unit

pytestmark = pytest.mark.django_db
COLUMNS = [field.attname for field in PlanItem._meta.concrete_fields]


def test_a_new_row_is_what_its_class_makes(unit: Unit) -> None:
    values = {"unit_id": unit.pk, "work": WorkKind.OIL_CHANGE, "anchor_date": date(2024, 2, 29)}
    moment = timezone.now()
    ours = new_row(PlanItem, **values, updated_at=moment)
    djangos = PlanItem(**values, updated_at=moment)
    names = [field.attname for field in PlanItem._meta.concrete_fields]
    assert [getattr(ours, name) for name in names] == [getattr(djangos, name) for name in names]
    assert (ours._state.adding, ours.unit) == (True, unit)
    ours.save()
    assert PlanItem.everything.get(pk=ours.pk).anchor_date == date(2024, 2, 29)


def test_what_is_made_for_each_row_is_its_own() -> None:
    one, other = new_row(PlanItem), new_row(PlanItem)
    one.reasons.append({"code": "dirt"})
    assert other.reasons == []
    assert one.updated_at <= other.updated_at <= timezone.now()


@pytest.mark.parametrize("name", ["unit", "pace"])
def test_a_row_has_no_other_columns(name: str) -> None:
    with pytest.raises(TypeError, match=name):
        new_row(PlanItem, **{name: 1})


def test_a_row_that_was_read_is_what_its_class_reads(unit: Unit) -> None:
    PlanItem.objects.create(unit=unit, work=WorkKind.OIL_CHANGE, anchor_date=date(2024, 2, 29))
    djangos = PlanItem.everything.get()
    (values,) = PlanItem.everything.values_list(*COLUMNS)
    ours = read_row(PlanItem, values)
    assert [getattr(ours, name) for name in COLUMNS] == [getattr(djangos, name) for name in COLUMNS]
    assert (ours, ours._state.adding, ours._state.db) == (djangos, False, connection.alias)
    assert ours.unit == unit
    ours.unit_id = None
    assert not PlanItem.unit.is_cached(ours), "the unit at hand is that of the key"
    ours.refresh_from_db()
    ours.work = WorkKind.COOLANT_STRENGTH
    ours.save()
    assert PlanItem.everything.get().work == WorkKind.COOLANT_STRENGTH


def test_a_row_that_was_read_has_all_its_columns() -> None:
    with pytest.raises(ValueError, match="zip"):
        read_row(PlanItem, [1, 2, 3])
