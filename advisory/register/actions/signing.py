"""Signing a sheet, looking through it before, and putting a signed one right by a new revision."""

from datetime import datetime
from functools import partial

from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.common import audit
from advisory.common.errors import Question, Refused
from advisory.people import rules
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.register.actions.drafts import signed_already, still_written
from advisory.register.digest import draft_digest, signed_digest
from advisory.register.enums import QUANTITY_OF, BuildState
from advisory.register.models import (
    Build,
    BuildMeasurement,
    BuildPhoto,
    SheetEntry,
    Unit,
    WorkshopPractice,
)
from advisory.register.sheet import design_of, sheet_of
from advisory.register.signals import build_signed

LONGEST_REASON = 300


@transaction.atomic
def sign_build(
    *, build: Build, by: Person, confirm: bool = False, at: datetime | None = None
) -> Build:
    """Sign a sheet; from then on it stands as it is, under a digest of all that stands on it.

    `at` is for a record that is taken over: when it was signed.

    Raises
    ------
    Refused
        For a sheet without a figure, with something on it that makes no sense, that is signed, or
        that nobody else has looked through where the workshop wants it; `Question` while positions
        are not measured.
    """
    build = still_written(build, by)
    measured = set(build.measurements.values_list("position_id", flat=True))
    if not measured:
        raise Refused(
            _("There is no figure on this sheet yet. Enter at least one before signing."),
            code="nothing_measured",
        )
    if faults := sheet_of(build).faults:
        place, message = faults[0]
        raise Refused(
            _("%(place)s: %(message)s")
            % {
                "place": f"{place.position or _('Head of the sheet')}, {place.field.label}",
                "message": message,
            },
            code="in_doubt",
        )
    wanted = design_of(build).positions.filter(kind__in=QUANTITY_OF)
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
    _require_second_look(build, by)
    build.signed_by, build.signed_at = by, at or timezone.now()
    signed = Build.objects.filter(pk=build.pk, state=BuildState.DRAFT).update(
        state=BuildState.SIGNED,
        signed_by=by,
        signed_at=build.signed_at,
        digest=signed_digest(build),
    )
    if not signed:
        raise signed_already()
    build.refresh_from_db()
    audit.record("sign_build", build, by=by, unit=build.unit_id, not_measured=missing,
                 digest=build.digest)  # fmt: skip
    transaction.on_commit(partial(build_signed.send, Build, build=build))
    return build


@transaction.atomic
def check_build(*, build: Build, by: Person) -> Build:
    """Say that one has looked through a sheet that somebody else is going to sign.

    It counts for what stands on the sheet now: whoever changes it afterwards takes it away.
    """
    build = still_written(build, by)
    build.checked_by, build.checked_at = by, timezone.now()
    build.checked_digest = draft_digest(build)
    build.save(update_fields=["checked_by", "checked_at", "checked_digest"])
    audit.record("check_build", build, by=by, digest=build.checked_digest)
    return build


def second_look_missing(build: Build, signer: Person) -> str:
    """Say what the workshop still wants before this person signs; "" where it wants nothing."""
    if not WorkshopPractice.objects.filter(workshop=build.workshop_id, second_look=True).exists():
        return ""
    if build.checked_by_id is None:
        return _("Your workshop wants somebody else to look through a sheet before it is signed.")
    if build.checked_digest != draft_digest(build):
        return _("The sheet was changed since it was looked through. Have it looked through again.")
    if build.checked_by_id == signer.pk:
        return _("You looked through it yourself; somebody else of your workshop has to sign.")
    return ""


@transaction.atomic
def correct_build(*, build: Build, by: Person, reason: str) -> Build:
    """Begin a new revision of a signed sheet, with all that stands on it and why it is made.

    Raises
    ------
    Refused
        Without a reason; for a sheet that is not signed, or is corrected already; while another
        sheet of the unit is being written.
    """
    rules.require(by, Permission.BUILD_UNIT, build)
    unit = Unit.objects.select_for_update(of=("self",)).get(pk=build.unit_id)
    build = Build.objects.select_related("unit__design", "design").get(pk=build.pk)
    reason = reason.strip()
    if not reason:
        raise Refused(_("Say what is wrong on the signed sheet, and why."), field="reason")
    if len(reason) > LONGEST_REASON:
        raise Refused(_("Use at most 300 letters."), field="reason")
    if build.state != BuildState.SIGNED:
        raise Refused(_("This sheet is still being written: change it as it is."))
    if unit.builds.filter(state=BuildState.DRAFT).exists():
        raise Refused(
            _("A sheet for this unit is being written already. Finish that one first."),
            code="draft_exists",
        )
    if build.corrections.exists():
        raise Refused(_("This sheet is corrected already. Correct the newer one."))
    last = unit.builds.filter(built_on=build.built_on).aggregate(last=Max("revision"))["last"]
    made = Build.objects.create(
        unit=unit,
        workshop=build.workshop,
        design=design_of(build),
        built_on=build.built_on,
        revision=(last or 0) + 1,
        new_white_metal=build.new_white_metal,
        notes=build.notes,
        corrects=build,
        reason=reason,
    )
    for model in (SheetEntry, BuildMeasurement, BuildPhoto):
        rows = list(model._default_manager.filter(build=build))
        for row in rows:
            row.pk, row.build = None, made
        model._default_manager.bulk_create(rows)  # type: ignore[arg-type]
    audit.record("correct_build", made, by=by, corrects=build.pk, reason=reason)
    return made


@transaction.atomic
def set_practice(*, workshop: Organisation, by: Person, second_look: bool) -> WorkshopPractice:
    """Say whether somebody else looks through a workshop's sheets before they are signed."""
    rules.require(by, Permission.MANAGE_ORGANISATION, workshop)
    # a club's officer may manage it too, but it signs no sheets
    rules.require(by, Permission.REGISTER_UNIT, workshop)
    practice, _new = WorkshopPractice.objects.update_or_create(
        workshop=workshop, defaults={"second_look": second_look}
    )
    audit.record("set_practice", workshop, by=by, second_look=second_look)
    return practice


def _require_second_look(build: Build, by: Person) -> None:
    if missing := second_look_missing(build, by):
        raise Refused(missing, code="second_look")
