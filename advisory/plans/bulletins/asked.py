"""What bulletins ask of units, as plans read it."""

import zoneinfo
from collections import defaultdict
from collections.abc import Sequence
from datetime import date

from django.db.models import QuerySet
from django.utils import timezone

from advisory.common.keys import among
from advisory.plans.models.bulletins import BulletinUnit
from advisory.plans.work.base import AskedByBulletin
from advisory.register.models import Unit


def open_rows(units: Sequence[int]) -> "QuerySet[BulletinUnit]":
    """Return what bulletins still ask of these units."""
    return (
        BulletinUnit.objects.filter(
            unit__in=among(units),
            work_done=None,
            bulletin__sent_at__isnull=False,
            bulletin__withdrawn_at=None,
        )
        .exclude(bulletin__asks="")
        .select_related("bulletin__organisation")
    )


def asked_of(row: BulletinUnit, unit: Unit) -> AskedByBulletin:
    """Return what a bulletin asks of a unit; its days are those of the owner's zone."""
    bulletin = row.bulletin
    assert bulletin.sent_at is not None
    zone = zoneinfo.ZoneInfo("UTC" if unit.owner is None else unit.owner.zone)
    return AskedByBulletin(
        row=row.pk,
        bulletin=bulletin.pk,
        who=str(bulletin.organisation),
        title=bulletin.title,
        what=bulletin.asks,
        sent_on=timezone.localdate(bulletin.sent_at, zone),
        until=bulletin.until,
        before_it_runs=bulletin.before_it_runs,
    )


def first_asked(one: AskedByBulletin) -> tuple[bool, date, int]:
    """Return what orders them: what stops a unit first, then by day."""
    return not one.before_it_runs, one.due_on, one.row


def asked_by_bulletins(units: Sequence[Unit]) -> dict[int, list[AskedByBulletin]]:
    """Return what bulletins ask of each unit, the most pressing first, in one query."""
    by_key = {unit.pk: unit for unit in units}
    found: dict[int, list[AskedByBulletin]] = defaultdict(list)
    for row in open_rows(list(by_key)):
        found[row.unit_id].append(asked_of(row, by_key[row.unit_id]))
    return {pk: sorted(those, key=first_asked) for pk, those in found.items()}
