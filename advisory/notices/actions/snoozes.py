"""Putting a reminder off, with a reason and an end, and taking that back."""

import zoneinfo
from datetime import date, datetime, time

from django.db import transaction
from django.utils import formats, timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.notices.enums import SnoozeReason
from advisory.notices.models import Snooze
from advisory.notices.queries import longest_snoozes, snoozes_holding
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.plans.models import PlanItem
from advisory.register.models import Unit


@transaction.atomic
def snooze_item(
    *,
    item: PlanItem,
    reason: str,
    by: Person,
    until: date | None = None,
    until_reading: bool = False,
    note: str = "",
    cycle: int | None = None,
) -> Snooze | None:
    """Hold back the reminders of an item until a day, or until the next reading if that is sooner.

    Without a day it is the last one that may be. `cycle` is the one that the person saw; where it
    was done meanwhile nothing is written, and None comes back. The same once more changes nothing,
    another takes the place of the one that holds.

    Raises
    ------
    Refused
        For a day that is past or too far, and for what must not be put off.
    """
    rules.require(by, Permission.KEEP_USE, item)
    if reason not in SnoozeReason.values:
        raise Refused(_("Say why, so that you know it again later."), field="reason")
    if until is None and not until_reading:
        raise Refused(_("Choose a day, or the next reading."), field="until")
    Unit.objects.select_for_update(no_key=True).get(pk=item.unit_id)
    item = PlanItem.objects.select_related("unit").get(pk=item.pk)
    if cycle is not None and cycle != item.cycle:
        return None
    until = _require_day(item, until, by)
    fields = {
        "reason": reason,
        "until": until,
        "until_reading": until_reading,
        "note": note.strip()[:200],
    }
    now = timezone.now()
    mine = Snooze.objects.filter(item=item, cycle=item.cycle, person=by)
    holding = mine.filter(pk__in=snoozes_holding(now).values("pk")).first()
    if holding is not None:
        if all(getattr(holding, name) == value for name, value in fields.items()):
            return holding
        mine.filter(pk=holding.pk).update(lifted_at=now)
    begins = datetime.combine(until, time(), tzinfo=zoneinfo.ZoneInfo(by.zone))
    snooze = Snooze.objects.create(item=item, cycle=item.cycle, person=by, ends_at=begins, **fields)
    audit.record(
        "snooze_item", snooze, by=by, unit=item.unit_id, work=item.work, until=until.isoformat()
    )
    return snooze


def _require_day(item: PlanItem, until: date | None, by: Person) -> date:
    latest = longest_snoozes([item], by)[item.pk]
    if latest is None:
        raise Refused(
            _("This can't be put off: left past its day it may cost the unit. Do it, or stop."),
            field="until",
            code="stop_matter",
        )
    if until is None:
        return latest
    if until <= today_of(by):
        raise Refused(_("Choose a day that is still to come."), field="until", code="past_day")
    if until > latest:
        raise Refused(
            _("That is too late. The last day to which this may be put off is %(day)s.")
            % {"day": formats.date_format(latest, "j F Y")},
            field="until",
            code="too_late",
        )
    return until


def strip_snoozes(*, unit: Unit) -> None:
    """End what was put off on a unit that has another owner now, and drop the words to it."""
    snoozes = Snooze.objects.filter(item__unit=unit)
    snoozes.filter(lifted_at=None).update(lifted_at=timezone.now())
    snoozes.exclude(note="").update(note="")


def lift_snooze(*, snooze: Snooze, by: Person) -> None:
    """Take back that an item was put off; what comes next is told as if it had not been."""
    rules.require(by, Permission.KEEP_ACCOUNT, snooze)
    with transaction.atomic():
        lifted = Snooze.objects.filter(pk=snooze.pk, lifted_at=None).update(
            lifted_at=timezone.now()
        )
        if lifted:
            audit.record("lift_snooze", snooze, by=by)
