"""Putting a unit into the register, naming it, handing it to its owner."""

from functools import partial

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import NotAllowed, Refused
from advisory.people import rules
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.register.models import Design, Unit
from advisory.register.signals import unit_changed


@transaction.atomic
def add_unit(
    *,
    by: Person,
    design: Design,
    workshop: Organisation | None = None,
    serial: str = "",
    name: str = "",
) -> Unit:
    """Put a unit into the register: the acting person's own, or on a workshop's books.

    A workshop's unit has no owner until it is handed over.

    Raises
    ------
    Refused
        For a serial number that the workshop has used already.
    """
    rules.require(by, Permission.VIEW_DESIGN, design)
    if workshop is not None:
        rules.require(by, Permission.REGISTER_UNIT, workshop)
        if design.workshop_id not in (None, workshop.pk):
            raise NotAllowed("another workshop's design")
    unit = Unit(
        design=design,
        workshop=workshop,
        owner=by if workshop is None else None,
        serial=serial.strip(),
        name=name.strip(),
    )
    _save(unit)
    audit.record("add_unit", unit, by=by, design=design.pk, serial=unit.serial)
    transaction.on_commit(partial(unit_changed.send, Unit, unit=unit))
    return unit


@transaction.atomic
def change_unit(*, unit: Unit, by: Person, name: str, serial: str) -> Unit:
    """Change a unit's name and serial number."""
    rules.require(by, Permission.CHANGE_UNIT, unit)
    before = {"name": unit.name, "serial": unit.serial}
    unit.name, unit.serial = name.strip(), serial.strip()
    _save(unit)
    audit.record("change_unit", unit, by=by, name=unit.name, serial=unit.serial, before=before)
    transaction.on_commit(partial(unit_changed.send, Unit, unit=unit))
    return unit


def _save(unit: Unit) -> None:
    if len(unit.serial) > 60:
        raise Refused(_("Use at most 60 letters."), field="serial")
    if len(unit.name) > 120:
        raise Refused(_("Use at most 120 letters."), field="name")
    taken = Refused(
        _("Your workshop has a unit with this serial number already. Find it under that number."),
        field="serial",
        code="serial_taken",
    )
    if unit.workshop_id is not None and unit.serial:
        same = Unit.objects.filter(workshop_id=unit.workshop_id, serial=unit.serial)
        if same.exclude(pk=unit.pk).exists():
            raise taken
    try:
        with transaction.atomic():
            unit.save()
    except IntegrityError:
        # another fitter was quicker by a moment
        raise taken from None
