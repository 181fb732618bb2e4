"""Work that was done, in one tap, and taking it back."""

from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.lubrication.actions import record_oil_service, record_unit_reading
from advisory.lubrication.models import Lubricant
from advisory.people import rules
from advisory.people.clock import require_past_day
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.plans.actions.refresh import refresh_plan, together
from advisory.plans.bulletins.asked import asked_by_bulletins
from advisory.plans.computation import Due
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.models.bulletins import BulletinUnit
from advisory.plans.reckoning import work_done
from advisory.plans.work import WORKS, AskedByBulletin
from advisory.register.enums import WorkKind
from advisory.register.models import Unit
from advisory.register.since_built import require_since_built
from advisory.usage.queries import unit_use


def mark_done(
    *,
    unit: Unit,
    work: str,
    date: date,
    by: Person,
    shown: int | None = None,
    note: str = "",
    lubricant: Lubricant | None = None,
    volume: float | None = None,
    cycle: int | None = None,
    confirm: bool = False,
    went_round: bool = False,
    at: datetime | None = None,
    bulletin: BulletinUnit | None = None,
) -> WorkDone:
    """Write down that work of the plan was done, with its reading and, for oil work, its service.

    `cycle` is the one that the person saw; where it was done already, that stands and nothing is
    written: a second tap changes nothing. Without it, the same work on the same day is the same.
    `at` is when it was written down, for records brought over from elsewhere. `bulletin` is the one
    whose work was done, else it is the most pressing. The plan is reckoned
    anew before this returns.

    Raises
    ------
    Refused, Question
        Nothing was written; the message says what to do.
    """
    with together(reckoned=[unit.pk]), transaction.atomic():
        return _mark_done(
            unit=unit,
            work=work,
            date=date,
            by=by,
            shown=shown,
            note=note,
            lubricant=lubricant,
            volume=volume,
            cycle=cycle,
            confirm=confirm,
            went_round=went_round,
            at=at,
            bulletin=bulletin,
        )


def _mark_done(
    *,
    unit: Unit,
    work: str,
    date: date,
    by: Person,
    shown: int | None,
    note: str,
    lubricant: Lubricant | None,
    volume: float | None,
    cycle: int | None,
    confirm: bool,
    went_round: bool,
    at: datetime | None,
    bulletin: BulletinUnit | None,
) -> WorkDone:
    rules.require(by, Permission.KEEP_USE, unit)
    if work not in WorkKind.values:
        raise Refused(_("Choose what was done from the list."), field="work")
    kind = WORKS[WorkKind(work)]
    require_past_day(date, by=by)
    unit = Unit.objects.select_for_update(no_key=True).get(pk=unit.pk)
    written = WorkDone.objects.filter(unit=unit, work=work)
    if bulletin is not None:
        same = written.filter(bulletin_unit=bulletin)
    else:
        same = written.filter(date=date) if cycle is None else written.filter(cycle=cycle)
    if (there := same.first()) is not None:
        return there
    require_since_built(unit, date)
    item = _item(unit, work)
    service = None
    if kind.oil_service is not None:
        service = record_oil_service(
            unit=unit,
            date=date,
            kind=kind.oil_service,
            by=by,
            shown=shown,
            lubricant=lubricant,
            volume=volume,
            note=note,
            confirm=confirm,
            went_round=went_round,
        )
    elif shown is not None:
        record_unit_reading(
            unit=unit, date=date, shown=shown, by=by, confirm=confirm, went_round=went_round
        )
    asked = _asked(unit, bulletin) if work == WorkKind.BULLETIN else None
    interval = None
    if item.due_distance is not None and item.anchor_distance is not None:
        interval = item.due_distance - item.anchor_distance
    row = work_done(
        item,
        Due(item.due_distance, item.due_date, interval)
        if asked is None
        else Due(None, asked.due_on, None),
        day=date,
        shown=shown,
        distance=_distance(unit, date, shown),
        by_id=by.pk,
        service_id=None if service is None else service.pk,
        note=note.strip(),
    )
    if at is not None:
        row.created_at = at
    row.save()
    if asked is not None:
        BulletinUnit.objects.filter(pk=asked.row, work_done=None).update(work_done=row)
    audit.record(
        "mark_done", row, by=by, unit=unit.pk, work=work, cycle=row.cycle, date=date.isoformat()
    )
    refresh_plan(unit=unit)
    return row


def _item(unit: Unit, work: str) -> PlanItem:
    """Return the item as it stands, reckoned now where it never was."""
    item = PlanItem.objects.filter(unit=unit, work=work).first()
    if item is None:
        refresh_plan(unit=unit)
        item = PlanItem.objects.filter(unit=unit, work=work).first()
    if item is None:
        raise Refused(_("This unit doesn't need that."), field="work", code="does_not_apply")
    return item


def _asked(unit: Unit, bulletin: BulletinUnit | None) -> AskedByBulletin:
    """Return what a bulletin asks of a unit: the one named, else the most pressing."""
    for one in asked_by_bulletins([unit]).get(unit.pk, ()):
        if bulletin is None or one.row == bulletin.pk:
            return one
    raise Refused(
        _("That bulletin asks nothing of this unit any more."), field="work", code="does_not_apply"
    )


def _distance(unit: Unit, day: date, shown: int | None) -> float | None:
    use = unit_use(unit)
    now, since = use.distance(), use.since(day, shown)
    return None if now is None or since is None else now - since


@transaction.atomic
def take_back(*, done: WorkDone, by: Person) -> None:
    """Take back what was written down by mistake within the last day; its reading stays.

    The cycle is open again, so that nothing of it is said twice.
    """
    unit = done.unit
    rules.require(by, Permission.KEEP_USE, unit)
    if not done.can_be_taken_back:
        raise Refused(
            _("That is more than a day old and stands. Tell the workshop if it is wrong."),
            code="too_old",
        )
    Unit.objects.select_for_update(no_key=True).get(pk=unit.pk)
    if WorkDone.objects.filter(unit=unit, work=done.work, cycle__gt=done.cycle).exists():
        raise Refused(
            _("It was written down once more since then. Take that back first."), code="done_again"
        )
    audit.record(
        "take_back",
        done,
        by=by,
        unit=unit.pk,
        work=done.work,
        cycle=done.cycle,
        date=done.date.isoformat(),
    )
    together = WorkDone.objects.filter(pk=done.pk)
    if done.service is not None:
        together = WorkDone.objects.filter(service=done.service)
    for row in together:
        PlanItem.everything.filter(unit=unit, work=row.work, cycle=row.cycle + 1).update(
            cycle=row.cycle
        )
    service = done.service
    together.delete()
    if service is not None:
        service.delete()
    refresh_plan(unit=unit)
