"""Every change of a finding: reported, sent, seen, answered."""

import hashlib
import math
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, datetime

from django.core.files.base import File
from django.db import IntegrityError, transaction
from django.db.models.functions import Coalesce
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Question, Refused
from advisory.findings.enums import FindingState, states_before
from advisory.findings.judgement import HeldAgainst, judge
from advisory.findings.models import Answer, Finding, FindingPhoto
from advisory.findings.photos import MOST_PHOTOS, PreparedPhoto, files_kept, prepare_photo
from advisory.findings.queries import held_against, quantity_at, reaches_workshop
from advisory.findings.signals import finding_answered, finding_reported
from advisory.people import rules
from advisory.people.clock import require_past_day
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Position, Unit

LONGEST_TEXT = 5000
LARGEST_READING = 9_999_999
# Beyond this a clearance, float or gap is a wrong unit more often than a true figure; beyond ten
# times a known limit as well. Common practice, no source: it only asks, it refuses nothing.
LARGEST_BELIEVED = 3e-3
TIMES_THE_LIMIT = 10


def report_finding(
    *,
    unit: Unit,
    by: Person,
    text: str,
    seen_on: date,
    position: Position | None = None,
    value: float | None = None,
    as_typed: str = "",
    shown: int | None = None,
    photos: Sequence["File[bytes]"] = (),
    client_key: str = "",
    confirm: bool = False,
    at: datetime | None = None,
) -> Finding:
    """Write down what an owner saw, and send it to the workshop where the owner consents to that.

    `value` is the figure in metres and `as_typed` how it was typed, `shown` the odometer's number.
    `client_key` is made once for each form: the same form sent twice makes one finding. `at` is for
    records brought over from elsewhere.

    Raises
    ------
    Refused, Question
        Nothing was saved; the message says what to do.
    """
    rules.require(by, Permission.REPORT_FINDING, unit)
    text = _checked_text(text, _("Write what you saw, in your own words."))
    require_past_day(seen_on, by=by, field="seen_on")
    _check_position(unit, position)
    quantity = _checked_quantity(position, value)
    if shown is not None and not 0 <= shown <= LARGEST_READING:
        raise Refused(_("Write the odometer's number as it stands there."), field="shown")
    against = held_against(unit, position, quantity) if position and quantity else HeldAgainst()
    if value is not None and not confirm:
        _ask_if_not_believed(value, against, as_typed)
    digest = _digest(
        client_key, text, seen_on, position and position.pk, value, shown, _digest_of(photos)
    )
    if digest and (known := Finding.objects.filter(reported_by=by, digest=digest).first()):
        return known
    prepared = _prepared(photos)
    verdict = judge(value, quantity, against)
    at = at or timezone.now()
    try:
        with files_kept(prepared) as names, transaction.atomic():
            sent = reaches_workshop(unit)
            finding = Finding.objects.create(
                unit=unit,
                position=position,
                seen_on=seen_on,
                text=text,
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
            if sent:
                finding_reported.send(sender=Finding, finding=finding)
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
        if _moved(finding, FindingState.SENT, sent_at=timezone.now()):
            audit.record("send_finding", finding, by=by)
            finding_reported.send(sender=Finding, finding=finding)


def mark_seen(*, finding: Finding, by: Person) -> None:
    """Note that the workshop has opened a finding; only the first time counts."""
    rules.require(by, Permission.ANSWER_FINDING, finding)
    if finding.state != FindingState.SENT:
        return
    with transaction.atomic():
        if _moved(finding, FindingState.SEEN, seen_by_workshop_at=timezone.now()):
            audit.record("mark_seen", finding, by=by)


def answer_finding(
    *,
    finding: Finding,
    text: str,
    by: Person,
    client_key: str = "",
    at: datetime | None = None,
) -> Answer:
    """Say to the owner what the workshop thinks; the same form sent twice makes one answer."""
    rules.require(by, Permission.ANSWER_FINDING, finding)
    text = _checked_text(text, _("Write the answer that the owner is to read."))
    digest = _digest(client_key, text, finding.pk)
    at = at or timezone.now()
    try:
        with transaction.atomic():
            if digest and (known := Answer.objects.filter(by=by, digest=digest).first()):
                return known
            answer = Answer.objects.create(finding=finding, by=by, text=text, digest=digest, at=at)
            moved = _moved(
                finding,
                FindingState.ANSWERED,
                seen_by_workshop_at=Coalesce("seen_by_workshop_at", at),
            )
            if not moved:
                raise Refused(_("The owner has not sent this finding; it can't be answered."))
            audit.record("answer_finding", finding, by=by, answer=answer.pk)
            finding_answered.send(sender=Answer, answer=answer)
    except IntegrityError:
        known = Answer.objects.filter(by=by, digest=digest).exclude(digest="").first()
        if known is None:
            raise
        return known
    return answer


def _moved(finding: Finding, to: FindingState, **fields: object) -> bool:
    """Move a finding where the table allows it; of two at once, one does it."""
    moved = Finding.objects.filter(pk=finding.pk, state__in=states_before(to)).update(
        state=to, **fields
    )
    finding.refresh_from_db(fields=["state", *fields])
    return bool(moved)


def _checked_text(text: str, message: str) -> str:
    text = text.strip()
    if not text:
        raise Refused(message, field="text", code="required")
    if len(text) > LONGEST_TEXT:
        raise Refused(
            _("Write at most %(most)d characters; these are %(count)d.")
            % {"most": LONGEST_TEXT, "count": len(text)},
            field="text",
        )
    return text


def _check_position(unit: Unit, position: Position | None) -> None:
    if position is not None and position.design_id != unit.design_id:
        raise Refused(_("Choose a position of this unit from the list."), field="position")


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


def _ask_if_not_believed(value: float, against: HeldAgainst, as_typed: str) -> None:
    limit = against.wear_limit
    if value <= LARGEST_BELIEVED and (limit is None or value <= TIMES_THE_LIMIT * limit):
        return
    raise Question(
        _(
            "%(typed)s is very much here. Look at the unit, thou or mm; if it is right, "
            "say so and send it again."
        )
        % {"typed": as_typed or f"{value * 1e3:g} mm"},
        field="measurement",
        code="measurement_large",
    )


def _prepared(photos: "Sequence[File[bytes]]") -> list[PreparedPhoto]:
    if len(photos) > MOST_PHOTOS:
        raise Refused(
            _("Send at most %(most)d photos; these are %(count)d.")
            % {"most": MOST_PHOTOS, "count": len(photos)},
            field="photos",
        )
    return [prepare_photo(photo) for photo in photos]


def _digest(client_key: str, *parts: object) -> str:
    """Return what tells one form, filled in one way, from every other; "" without a key."""
    if not client_key:
        return ""
    digest = hashlib.sha256(client_key.encode())
    for part in parts:
        digest.update(b"\x00" + str(part).encode())
    return digest.hexdigest()


def _digest_of(photos: "Sequence[File[bytes]]") -> str:
    digest = hashlib.sha256()
    for photo in photos:
        for chunk in photo.chunks():
            digest.update(chunk)
        photo.seek(0)
    return digest.hexdigest()
