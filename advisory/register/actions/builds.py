"""Beginning a build sheet, and writing a figure of the record onto it."""

from datetime import date
from functools import partial

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.common.quantities import LENGTH, QuantityError, read_typed
from advisory.people import rules
from advisory.people.clock import require_past_day
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.actions.drafts import still_written
from advisory.register.actions.entries import write_entry
from advisory.register.actions.photos import drop_files
from advisory.register.enums import QUANTITY_OF, BuildState, MeasuredQuantity, PositionKind
from advisory.register.models import Build, BuildMeasurement, Position, Unit
from advisory.register.queries import newer_version
from advisory.register.sheet import design_of
from advisory.register.sheet_fields import Entry, SheetField, fields_at
from advisory.register.sheet_reading import LARGEST, read_entry
from advisory.register.signals import unit_changed


@transaction.atomic
def start_build(
    *,
    unit: Unit,
    by: Person,
    built_on: date,
    new_white_metal: bool = True,
    notes: str = "",
    to_newest: bool = False,
) -> Build:
    """Begin a build sheet for a unit on the workshop's books.

    With `to_newest` it is built to the newest version of its design, which the unit keeps from then
    on; sheets before keep the version that they were built to.

    Raises
    ------
    Refused
        While another sheet of the unit is being written.
    """
    rules.require(by, Permission.BUILD_UNIT, unit)
    require_past_day(built_on, by=by, field="built_on")
    unit = Unit.objects.select_for_update(of=("self",)).get(pk=unit.pk)
    if unit.workshop is None:
        raise Refused(_("This unit is on no workshop's books, so there is no sheet to write."))
    if unit.builds.filter(state=BuildState.DRAFT).exists():
        raise Refused(
            _("A sheet for this unit is being written already. Finish that one first."),
            code="draft_exists",
        )
    if to_newest and (newer := newer_version(unit.design)) is not None:
        audit.record("take_newer_design", unit, by=by, before=unit.design_id, design=newer.pk)
        unit.design = newer
        unit.save(update_fields=["design"])
        transaction.on_commit(partial(unit_changed.send, Unit, unit=unit))
    last = unit.builds.filter(built_on=built_on).aggregate(last=Max("revision"))["last"] or 0
    build = Build.objects.create(
        unit=unit,
        workshop=unit.workshop,
        design=unit.design,
        built_on=built_on,
        revision=last + 1,
        new_white_metal=new_white_metal,
        notes=notes.strip(),
    )
    audit.record("start_build", build, by=by, unit=unit.pk, revision=build.revision)
    return build


@transaction.atomic
def change_build(
    *, build: Build, by: Person, built_on: date, new_white_metal: bool, notes: str
) -> Build:
    """Change what stands at the head of a sheet that is still being written."""
    build = still_written(build, by)
    require_past_day(built_on, by=by, field="built_on")
    build.built_on, build.new_white_metal, build.notes = built_on, new_white_metal, notes.strip()
    build.save(update_fields=["built_on", "new_white_metal", "notes"])
    build.entries.filter(position=None, name__in=("built_on", "new_white_metal", "notes")).delete()
    audit.record("change_build", build, by=by, built_on=str(built_on),
                 new_white_metal=new_white_metal)  # fmt: skip
    return build


@transaction.atomic
def discard_build(*, build: Build, by: Person) -> None:
    """Throw away a sheet that is still being written."""
    build = still_written(build, by)
    audit.record("discard_build", build, by=by, unit=build.unit_id)
    last = build.unit.builds.filter(state=BuildState.SIGNED).order_by("built_on", "revision").last()
    if last is not None and last.design_id not in (None, build.unit.design_id):
        # it was not built to the newer version after all
        Unit.objects.filter(pk=build.unit_id).update(design=last.design_id)
        transaction.on_commit(partial(unit_changed.send, Unit, unit=build.unit))
    photos = list(build.photos.values_list("file", flat=True))
    build.delete()
    drop_files(photos)


@transaction.atomic
def record_measurement(
    *,
    build: Build,
    position: Position,
    by: Person,
    typed: str,
    quantity: str | None = None,
    uncertainty: str = "",
    instrument: str = "",
    confirm: bool = False,
) -> BuildMeasurement | None:
    """Write one figure onto a sheet, as it is typed: "1.5 thou", "0.04 mm".

    Nothing typed clears it. Without a unit it is in the one that the acting person reads clearances
    in. `uncertainty` is one standard deviation.

    Raises
    ------
    Refused
        For what is no length; `Question` for one far off what the design has as built.
    """
    build = still_written(build, by)
    if position.design_id != design_of(build).pk:
        raise Refused(_("This unit has no such position."), field="position")
    quantity = quantity or QUANTITY_OF.get(PositionKind(position.kind))
    if quantity not in MeasuredQuantity.values:
        raise Refused(_("Nothing is measured at this position."), field="quantity")
    place = next((one for one in fields_at(position) if one.quantity == quantity), None)
    spread = _spread(uncertainty, by)
    try:
        if place is not None:
            write_entry(
                build=build, by=by, position=position, name=place.name, text=typed, confirm=confirm
            )
        else:
            _write_beside(build, position, by, MeasuredQuantity(quantity), typed, confirm)
    except Refused as refused:
        refused.field = "typed"
        raise
    there = BuildMeasurement.objects.filter(build=build, position=position, quantity=quantity)
    row = there.first()
    if row is None:
        return None
    row.uncertainty = spread if spread is not None else row.uncertainty
    row.instrument = instrument.strip()[:80] or row.instrument
    row.save()
    audit.record("record_measurement", build, by=by, position=position.pk, quantity=quantity,
                 value=row.value, as_typed=row.as_typed)  # fmt: skip
    return row


def _write_beside(
    build: Build,
    position: Position,
    by: Person,
    quantity: MeasuredQuantity,
    typed: str,
    confirm: bool,
) -> None:
    """Write a figure into the record for which the sheet has no place."""
    there = BuildMeasurement.objects.filter(build=build, position=position, quantity=quantity)
    if not typed.strip():
        there.delete()
        return
    field = SheetField(quantity.value, quantity.label, Entry.SMALL, quantity=quantity)
    # its limits are another quantity's
    of_design = QUANTITY_OF.get(PositionKind(position.kind)) == quantity
    read = read_entry(
        field, typed, by=by, position=position if of_design else None, confirm=confirm
    )
    assert read.value is not None  # of a figure that is typed
    BuildMeasurement.objects.update_or_create(
        build=build,
        position=position,
        quantity=quantity,
        defaults={"value": read.value, "as_typed": read.text, "reckoned": False},
    )


def _spread(uncertainty: str, by: Person) -> float | None:
    if not uncertainty.strip():
        return None
    try:
        spread = read_typed(uncertainty, LENGTH, by.small_length_unit).si
    except QuantityError as error:
        raise Refused(error.message, field="uncertainty", code=error.code) from error
    if not 0 < spread < LARGEST:
        raise Refused(
            _("Enter how far the instrument may be off, more than nought, or leave it empty."),
            field="uncertainty",
        )
    return spread
