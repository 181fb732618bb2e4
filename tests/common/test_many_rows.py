"""Rows by the thousand are the rows that would have been written one by one."""

from datetime import date
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from advisory.common import many_rows
from advisory.common.many_rows import MANY, write_rows, write_rows_anew
from advisory.plans.models import PlanItem
from advisory.register.enums import WorkKind
from advisory.register.models import Build, Odometer, Unit
from advisory.usage.enums import ReadingSource
from advisory.usage.models import Reading
from tests.databases import on_postgresql

pytestmark = pytest.mark.django_db

HARD = ("", "a\tb", "two\nlines\r", "back\\slash \\N \\.", 'it\'s "so"', "élan 日本 🔧", "{1,2}")
REASONS: list[dict[str, Any]] = [
    {"code": "dirt", "distance": 0.1 + 0.2, "months": None, "said": 'a\\b\t\n"c" é'},
    {"code": "calendar", "list": [1, 2.5, [True, None]]},
]


def readings_on(odometer: Odometer, first: int = 0, last: int = MANY + 20) -> list[Reading]:
    return [
        Reading(
            odometer=odometer,
            date=date(2024, 1, 1 + number % 28),
            shown=1000 + number,
            source=ReadingSource.TYPED,
            confirmed=number % 3 == 0,
            note=HARD[number % len(HARD)],
        )
        for number in range(first, last)
    ]


def told(rows: Any) -> list[tuple[Any, ...]]:
    names = [field.attname for field in Reading._meta.concrete_fields if not field.primary_key]
    return sorted(tuple(getattr(row, name) for name in names) for row in rows)


@pytest.fixture
def items(unit: Unit) -> list[PlanItem]:
    """Return one plan item of each kind of work, on as many units as make them many."""
    PlanItem.everything.all().delete()
    units = [unit]
    while len(units) * len(WorkKind.values) < MANY:
        copy = Unit.objects.get(pk=unit.pk)
        copy.pk, copy.serial = None, f"copy {len(units)}"
        copy.save(force_insert=True)
        units.append(copy)
    return [
        PlanItem(
            unit=one,
            work=WorkKind(work),
            anchor_date=date(2024, 2, 29),
            anchor_distance=0.1 + 0.2,
            reasons=REASONS,
            asks_for_reading=True,
        )
        for one in units
        for work in WorkKind.values
    ]


def test_many_are_written_as_few_are(odometer: Odometer, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = readings_on(odometer)
    write_rows(Reading, rows)
    streamed = told(Reading.objects.all())
    Reading.objects.all().delete()
    monkeypatch.setattr(many_rows, "MANY", len(rows) + 1)
    write_rows(Reading, rows)
    assert streamed == told(Reading.objects.all()) == told(rows)


@on_postgresql
def test_no_value_stands_in_a_statement(odometer: Odometer) -> None:
    with CaptureQueriesContext(connection) as queries:
        write_rows(Reading, readings_on(odometer))
    said = [query["sql"] for query in queries]
    assert any("COPY" in one for one in said)
    assert not any("élan" in one for one in said)


def test_figures_and_structures_are_kept_to_the_last_bit(items: list[PlanItem]) -> None:
    write_rows(PlanItem, items)
    kept = PlanItem.everything.order_by("unit", "work")
    assert len(kept) == len(items) >= MANY
    for row in kept:
        assert (row.reasons, row.anchor_distance) == (REASONS, 0.1 + 0.2)
        assert (row.anchor_date, row.due_date) == (date(2024, 2, 29), None)
        assert row.asks_for_reading is True
        assert row.updated_at.tzinfo is not None
    assert {row.work for row in kept} == set(WorkKind.values)


def test_what_is_there_already_is_refused_whole(odometer: Odometer) -> None:
    write_rows(Reading, readings_on(odometer, 0, 1))
    with pytest.raises(IntegrityError), transaction.atomic():
        write_rows(Reading, readings_on(odometer))
    assert Reading.objects.count() == 1


def test_what_is_there_already_stays_where_that_is_asked(odometer: Odometer) -> None:
    write_rows(Reading, readings_on(odometer, 0, 5))
    kept = list(Reading.objects.values_list("pk", flat=True))
    Reading.objects.update(note="as it was")
    write_rows(Reading, readings_on(odometer), leave_those_there=True)
    assert Reading.objects.count() == MANY + 20
    assert Reading.objects.filter(pk__in=kept, note="as it was").count() == 5


def test_named_fields_are_written_anew_and_no_others(items: list[PlanItem]) -> None:
    write_rows(PlanItem, items)
    rows = list(PlanItem.everything.order_by("pk"))
    for row in rows:
        row.reasons, row.changes_on, row.cycle = [{"code": row.work}], date(2025, 1, 1), 7
        row.updated_at = timezone.now()
    write_rows_anew(PlanItem, rows, ["reasons", "changes_on"])
    for row, now in zip(rows, PlanItem.everything.order_by("pk"), strict=True):
        assert (now.pk, now.work, now.reasons) == (row.pk, row.work, [{"code": row.work}])
        assert (now.changes_on, now.cycle) == (date(2025, 1, 1), 1)
        assert now.updated_at != row.updated_at


def test_two_times_in_one_transaction(odometer: Odometer) -> None:
    with transaction.atomic():
        write_rows(Reading, readings_on(odometer, 0, MANY))
        write_rows(Reading, readings_on(odometer, MANY, 2 * MANY))
    assert Reading.objects.count() == 2 * MANY


def test_none_at_all_is_nothing() -> None:
    write_rows(Reading, [])
    write_rows_anew(PlanItem, [], ["reasons"])
    assert not Reading.objects.exists()


@pytest.mark.parametrize("many", [1, MANY + 1])
def test_rows_that_are_watched_over_are_not_written_past_their_guard(many: int) -> None:
    sheets = [Build() for _number in range(many)]
    with pytest.raises(TypeError, match="watches over"):
        write_rows(Build, sheets)
    with pytest.raises(TypeError, match="watches over"):
        write_rows_anew(Build, sheets, ["state"])
