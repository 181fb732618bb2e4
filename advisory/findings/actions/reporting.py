"""What an owner does: writes down what was seen, with photos, and sends it."""

import math
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, datetime

from django.core.files.base import File
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.findings.actions.photographed import check_waiting, content_of, prepared_photos
from advisory.findings.actions.steps import checked_text, digest_of, move
from advisory.findings.believed import ask_if_not_believed
from advisory.findings.enums import FindingState
from advisory.findings.judgement import HeldAgainst, judge
from advisory.findings.marks import DamageMark, marks_at
from advisory.findings.models import Finding, FindingPhoto, WaitingPhoto
from advisory.findings.photos import files_kept
from advisory.findings.queries import held_against, quantity_at, reaches_workshop
from advisory.findings.signals import finding_kept, finding_reported
from advisory.lubrication.actions import record_unit_reading
from advisory.people import rules
from advisory.people.clock import require_past_day
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Position, Unit


def report_finding(
    *,
    unit: Unit,
    by: Person,
    text: str,
    seen_on: date,
    position: Position | None = None,
    mark: str = "",
    value: float | None = None,
    as_typed: str = "",
    off: float | None = None,
    shown: int | None = None,
    photos: Sequence["File[bytes]"] = (),
    waiting: Sequence[WaitingPhoto] = (),
    client_key: str = "",
    confirm: bool = False,
    confirm_shown: bool = False,
    went_round: bool = False,
    at: datetime | None = None,
) -> Finding:
    """Write down what an owner saw, and send it to the workshop where the owner consents to that.

    `mark` is what the trade calls it (`DamageMark`), `value` the figure in metres, `as_typed` how
    it was typed and `off` by how much it may be off, `shown` the odometer's number, which is kept
    as a reading as well; `waiting` are photos that `keep_photos` has kept already. `client_key` is
    made once for each form: the same form sent twice makes one finding. `confirm` answers a
    question about the figure, `confirm_shown` and `went_round` one about the reading.
    `at` is for records brought over from elsewhere.

    Raises
    ------
    Refused, Question
        Nothing was saved; the message says what to do.
    """
    rules.require(by, Permission.REPORT_FINDING, unit)
    text = checked_text(text, _("Write what you saw, in your own words."))
    require_past_day(seen_on, by=by, field="seen_on")
    _check_position(unit, position)
    _check_mark(position, mark)
    quantity = _checked_quantity(position, value)
    against = held_against(unit, position, quantity) if position and quantity else HeldAgainst()
    if value is not None and not confirm:
        ask_if_not_believed(value, against, as_typed)
    check_waiting(unit, waiting, by)
    digest = digest_of(
        client_key,
        text,
        seen_on,
        position and position.pk,
        value,
        shown,
        content_of(photos),
        *(photo.pk for photo in waiting),
        *([mark] if mark else []),
    )
    if digest and (known := Finding.objects.filter(reported_by=by, digest=digest).first()):
        return known
    prepared = prepared_photos(photos, waiting)
    verdict = judge(value, quantity, against, mark, off)
    at = at or timezone.now()
    try:
        with files_kept(prepared) as names, transaction.atomic():
            if shown is not None:
                record_unit_reading(
                    unit=unit,
                    date=seen_on,
                    shown=shown,
                    by=by,
                    confirm=confirm_shown,
                    went_round=went_round,
                )
            sent = reaches_workshop(unit)
            finding = Finding.objects.create(
                unit=unit,
                position=position,
                seen_on=seen_on,
                text=text,
                mark=mark,
                shown=shown,
                quantity=quantity if value is not None else "",
                value=value,
                as_typed=as_typed if value is not None else "",
                judgement=verdict.judgement,
                state=FindingState.SENT if sent else FindingState.KEPT,
                sent_at=at if sent else None,
                reported_by=by,
                digest=digest,
                created_at=at,
            )
            for name, photo in zip(names, prepared, strict=True):
                FindingPhoto.objects.create(
                    finding=finding, file=name, width=photo.width, height=photo.height
                )
            audit.record(
                "report_finding",
                finding,
                by=by,
                sent=sent,
                photos=len(names),
                judgement=verdict.judgement,
                because=verdict.because,
                held_against=asdict(against),
            )
            told = finding_reported if sent else finding_kept
            told.send(sender=Finding, finding=finding)
    except IntegrityError:
        # the same form came twice at the same moment; the other one was first
        first = Finding.objects.filter(reported_by=by, digest=digest).exclude(digest="").first()
        if first is None:
            raise
        return first
    return finding


def send_finding(*, finding: Finding, by: Person) -> None:
    """Send what was only written down so far, now that the owner consents; once."""
    rules.require(by, Permission.REPORT_FINDING, finding)
    if not reaches_workshop(finding.unit):
        raise Refused(
            _(
                "It can't go to a workshop: none is named for this unit, or you have not let it "
                "see the unit's records. Give your consent first."
            ),
            code="no_consent",
        )
    with transaction.atomic():
        kept = [FindingState.KEPT]
        if move(finding, FindingState.SENT, only_from=kept, sent_at=timezone.now()):
            audit.record("send_finding", finding, by=by)
            finding_reported.send(sender=Finding, finding=finding)


def _check_position(unit: Unit, position: Position | None) -> None:
    if position is not None and position.design_id != unit.design_id:
        raise Refused(_("Choose a position of this unit from the list."), field="position")


def _check_mark(position: Position | None, mark: str) -> None:
    if not mark:
        return
    if mark not in DamageMark.values:
        raise Refused(_("Choose a mark from the list, or none."), field="mark")
    if position is not None and mark not in marks_at([position.kind]):
        raise Refused(
            _("%(mark)s is not a mark of this place. Choose where you saw it, or another mark.")
            % {"mark": DamageMark(mark).label},
            field="mark",
        )


def _checked_quantity(position: Position | None, value: float | None) -> str:
    quantity = quantity_at(position) if position else ""
    if value is None:
        return quantity
    if position is None:
        raise Refused(
            _("Choose the position at which you measured it, so that it can be judged."),
            field="position",
        )
    if not quantity:
        raise Refused(
            _("Nothing is measured at this position. Write the figure with what you saw."),
            field="measurement",
        )
    if not (math.isfinite(value) and value >= 0):
        raise Refused(_("Write the figure as a number, zero or more."), field="measurement")
    return quantity
