"""Writing a build sheet, and signing it: from then on it is never changed."""

from datetime import date
from functools import partial

from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.common import audit
from advisory.common.errors import Question, Refused
from advisory.common.quantities import LENGTH, QuantityError, read_typed
from advisory.people import rules
from advisory.people.clock import require_past_day
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.enums import QUANTITY_OF, BuildState, MeasuredQuantity, PositionKind
from advisory.register.models import Build, BuildMeasurement, Position, Unit
from advisory.register.signals import build_signed

LARGEST = 0.05  # m: no clearance, float or depth of wear is measured in more than this
# A figure so many times off the as-built limits was most likely typed in another unit: thou for
# hundredths of a millimetre are 2.54 off, thou for mm 25.4, inches for mm likewise.
UNLIKELY = 8.0
NEVER_NOUGHT = (MeasuredQuantity.RUNNING_CLEARANCE, MeasuredQuantity.END_FLOAT)


@transaction.atomic
def start_build(
    *,
    unit: Unit,
    by: Person,
    built_on: date,
    new_white_metal: bool = True,
    notes: str = "",
) -> Build:
    """Begin a build sheet for a unit on the workshop's books.

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
    last = unit.builds.filter(built_on=built_on).aggregate(last=Max("revision"))["last"] or 0
    build = Build.objects.create(
        unit=unit,
        workshop=unit.workshop,
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
    build = _still_written(build, by)
    require_past_day(built_on, by=by, field="built_on")
    build.built_on, build.new_white_metal, build.notes = built_on, new_white_metal, notes.strip()
    build.save(update_fields=["built_on", "new_white_metal", "notes"])
    audit.record("change_build", build, by=by, built_on=str(built_on),
                 new_white_metal=new_white_metal)  # fmt: skip
    return build


@transaction.atomic
def discard_build(*, build: Build, by: Person) -> None:
    """Throw away a sheet that is still being written."""
    build = _still_written(build, by)
    audit.record("discard_build", build, by=by, unit=build.unit_id)
    build.delete()


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
    in.

    Raises
    ------
    Refused
        For what is no length; `Question` for one far off what the design has as built.
    """
    build = _still_written(build, by)
    if position.design_id != build.unit.design_id:
        raise Refused(_("This unit has no such position."), field="position")
    quantity = quantity or QUANTITY_OF.get(PositionKind(position.kind))
    if quantity not in MeasuredQuantity.values:
        raise Refused(_("Nothing is measured at this position."), field="quantity")
    there = BuildMeasurement.objects.filter(build=build, position=position, quantity=quantity)
    if not typed.strip():
        if there.exists():
            there.delete()
            audit.record("clear_measurement", build, by=by, position=position.pk)
        return None
    value, kept = _length(typed, by, "typed")
    if value < 0 or (value == 0 and quantity in NEVER_NOUGHT):
        raise Refused(_("It must be more than nought."), field="typed", code="not_positive")
    if value > LARGEST:
        raise Refused(
            _("That is more than 50 mm. Check the number and its unit."),
            field="typed",
            code="too_large",
        )
    if not confirm:
        _ask_if_unlikely(position, value)
    spread = _length(uncertainty, by, "uncertainty")[0] if uncertainty.strip() else None
    if spread is not None and not 0 < spread < LARGEST:
        raise Refused(
            _("Enter how far the instrument may be off, more than nought, or leave it empty."),
            field="uncertainty",
        )
    measurement, _new = BuildMeasurement.objects.update_or_create(
        build=build,
        position=position,
        quantity=quantity,
        defaults={
            "value": value,
            "as_typed": kept,
            "uncertainty": spread,
            "instrument": instrument.strip()[:80],
        },
    )
    audit.record("record_measurement", build, by=by, position=position.pk, quantity=quantity,
                 value=value, as_typed=kept)  # fmt: skip
    return measurement


@transaction.atomic
def sign_build(*, build: Build, by: Person, confirm: bool = False) -> Build:
    """Sign a sheet; from then on it stands as it is.

    Raises
    ------
    Refused
        For a sheet without a figure, or one that is signed; `Question` while positions are not
        measured.
    """
    build = _still_written(build, by)
    measured = set(build.measurements.values_list("position_id", flat=True))
    if not measured:
        raise Refused(
            _("There is no figure on this sheet yet. Enter at least one before signing."),
            code="nothing_measured",
        )
    wanted = build.unit.design.positions.filter(kind__in=QUANTITY_OF)
    missing = [position.name for position in wanted if position.pk not in measured]
    if missing and not confirm:
        raise Question(
            ngettext(
                "%(names)s is not measured. Sign without it?",
                "These are not measured: %(names)s. Sign without them?",
                len(missing),
            )
            % {"names": ", ".join(missing)},
            code="not_all_measured",
        )
    signed = Build.objects.filter(pk=build.pk, state=BuildState.DRAFT).update(
        state=BuildState.SIGNED, signed_by=by, signed_at=timezone.now()
    )
    if not signed:
        raise _signed_already()
    build.refresh_from_db()
    audit.record("sign_build", build, by=by, unit=build.unit_id, not_measured=missing)
    transaction.on_commit(partial(build_signed.send, Build, build=build))
    return build


def _still_written(build: Build, by: Person) -> Build:
    rules.require(by, Permission.BUILD_UNIT, build)
    locked = Build.objects.select_for_update(of=("self",)).select_related("unit__design")
    build = locked.get(pk=build.pk)
    if build.state == BuildState.SIGNED:
        raise _signed_already()
    return build


def _signed_already() -> Refused:
    return Refused(
        _("This sheet is signed and stands as it is. Write a new one to correct it."),
        code="signed",
    )


def _length(typed: str, by: Person, field: str) -> tuple[float, str]:
    """Read a length, and return it in metres and as it is kept: with its unit."""
    try:
        read = read_typed(typed, LENGTH, by.small_length_unit)
    except QuantityError as error:
        raise Refused(error.message, field=field, code=error.code) from error
    kept = typed.strip()
    if not any(letter.isalpha() or letter in '"″' for letter in kept):
        kept = f"{kept} {read.unit}"
    return read.si, kept[:40]


def _ask_if_unlikely(position: Position, value: float) -> None:
    least, most = position.as_built_least, position.as_built_most
    far_above = most is not None and most > 0 and value > UNLIKELY * most
    far_below = least is not None and 0 < value < least / UNLIKELY
    if far_above or far_below:
        raise Question(
            _("That is far off what this design has as built. Is the unit right?"),
            field="typed",
            code="unlikely_size",
        )
