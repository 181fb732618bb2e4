"""What was done with a unit's oil on a day."""

from datetime import date
from functools import partial

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Question, Refused
from advisory.common.quantities import in_words
from advisory.lubrication.actions.reading import record_unit_reading
from advisory.lubrication.enums import ServiceKind
from advisory.lubrication.models import Lubricant, OilService
from advisory.lubrication.queries import lubricant_in_use, oil_of
from advisory.lubrication.signals import oil_changed
from advisory.people import rules
from advisory.people.clock import require_past_day
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.rules import Permission
from advisory.register.models import Unit
from advisory.register.since_built import require_since_built

LEAST_FILL, MOST_FILL = 1e-6, 0.1  # m3
# A change that takes so many times what the sump holds is asked about. Common practice, no source.
UNUSUAL_FILL = 2.0


@transaction.atomic
def record_oil_service(
    *,
    unit: Unit,
    date: date,
    kind: str,
    by: Person,
    shown: int | None = None,
    lubricant: Lubricant | None = None,
    volume: float | None = None,
    note: str = "",
    confirm: bool = False,
    went_round: bool = False,
) -> OilService:
    """Write down what was done with the oil on `date`, and the odometer's number as a reading.

    `volume` in m3 is what was filled in. The same service sent twice is written once. `confirm`
    answers a question of figure or reading; `went_round`: the odometer passed its last number.
    """
    rules.require(by, Permission.KEEP_USE, unit)
    if kind not in ServiceKind.values:
        raise Refused(_("Choose what was done from the list."), field="kind")
    require_past_day(date, by=by)
    require_since_built(unit, date)
    _believe_volume(unit, kind, volume, date, by=by, confirm=confirm)
    if (
        lubricant is not None
        and not rules.may(by, Permission.VIEW_LUBRICANT, lubricant)
        and lubricant_in_use(unit, date) != lubricant
    ):
        raise Refused(_("Choose an oil from the list."), field="lubricant")
    if shown is not None:
        record_unit_reading(
            unit=unit, date=date, shown=shown, by=by, confirm=confirm, went_round=went_round
        )
    service, added = OilService.objects.get_or_create(
        unit=unit,
        date=date,
        kind=kind,
        shown=shown,
        lubricant=lubricant,
        volume=volume,
        note=note.strip(),
        defaults={"entered_by": by},
    )
    if added:
        audit.record(
            "record_oil_service",
            service,
            by=by,
            unit=unit.pk,
            kind=str(kind),
            date=date.isoformat(),
            shown=shown,
            lubricant=lubricant.pk if lubricant else None,
            volume=volume,
        )
        transaction.on_commit(partial(oil_changed.send, sender=OilService, unit=unit))
    return service


@transaction.atomic
def strike_oil_service(*, service: OilService, by: Person) -> None:
    """Take out a service that was written down by mistake; the trail keeps what it said."""
    unit = service.unit
    rules.require(by, Permission.KEEP_USE, unit)
    audit.record(
        "strike_oil_service",
        service,
        by=by,
        unit=unit.pk,
        kind=service.kind,
        date=service.date.isoformat(),
        shown=service.shown,
        lubricant=service.lubricant_id,
        volume=service.volume,
    )
    service.delete()
    transaction.on_commit(partial(oil_changed.send, sender=OilService, unit=unit))


def _believe_volume(
    unit: Unit, kind: str, volume: float | None, on: date, *, by: Person, confirm: bool
) -> None:
    if volume is None:
        return
    if not LEAST_FILL <= volume <= MOST_FILL:
        raise Refused(
            _("Give what you filled in, more than nothing and at most %(most)s.")
            % {"most": in_words(MOST_FILL, "volume", preferences_of(by))},
            field="volume",
            code="out_of_range",
        )
    sump = oil_of(unit, on).sump_volume
    if confirm or sump is None or kind == ServiceKind.FLUSH:
        return
    if volume > UNUSUAL_FILL * sump:
        raise Question(
            _("That is more than twice what the sump holds. Check the figure, or say it is so."),
            field="volume",
            code="unusual_volume",
        )
