"""What the owner does while a finding is open: writes back, measures once more, picks a way."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django.core.files.base import File
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.findings.actions.measuring import Size, record_measuring
from advisory.findings.actions.photographed import check_waiting, content_of, prepared_photos
from advisory.findings.actions.steps import checked_length, digest_of, move
from advisory.findings.enums import FindingState, Said
from advisory.findings.models import (
    Answer,
    AskedMeasurement,
    Finding,
    FindingPhoto,
    WaitingPhoto,
    Way,
)
from advisory.findings.photos import files_kept
from advisory.findings.queries import reaches_workshop
from advisory.findings.signals import finding_replied, way_picked
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission


def write_back(
    *,
    finding: Finding,
    by: Person,
    text: str = "",
    photos: Sequence["File[bytes]"] = (),
    waiting: Sequence[WaitingPhoto] = (),
    client_key: str = "",
    at: datetime | None = None,
) -> Answer:
    """Say more on the same matter, in words, photos or both; a closed finding is open again.

    Sent twice with one `client_key`, it is kept once.
    """
    rules.require(by, Permission.REPORT_FINDING, finding)
    text = checked_length(text)
    if not (text or photos or waiting):
        raise Refused(_("Write something, or choose a photo."), field="text", code="required")
    check_waiting(finding.unit, waiting, by)
    pks = [photo.pk for photo in waiting]
    digest = digest_of(client_key, "back", finding.pk, text, content_of(photos), *pks)
    if digest and (known := Answer.objects.filter(by=by, digest=digest).first()):
        return known
    prepared = prepared_photos(photos, waiting)
    try:
        with files_kept(prepared) as names, transaction.atomic():
            locked = _locked(finding)
            answer = _say(locked, Said.WRITTEN, by, text, digest, at)
            for name, photo in zip(names, prepared, strict=True):
                FindingPhoto.objects.create(
                    finding=finding,
                    answer=answer,
                    file=name,
                    width=photo.width,
                    height=photo.height,
                )
            _make_new(locked)
            audit.record("write_back", finding, by=by, answer=answer.pk, photos=len(names))
            finding_replied.send(sender=Answer, answer=answer)
    except IntegrityError:
        first = Answer.objects.filter(by=by, digest=digest).exclude(digest="").first()
        if first is None:
            raise
        return first
    finding.refresh_from_db()
    return answer


def bring_measurement(
    *,
    asked: AskedMeasurement,
    by: Person,
    value: float,
    as_typed: str = "",
    measured_on: date,
    text: str = "",
    uncertainty: float | None = None,
    confirm: bool = False,
    at: datetime | None = None,
) -> Answer:
    """Answer the workshop's question with a value (m): kept as a measuring, judged as any other.

    It belongs to this finding and makes no further one. Brought twice, the first one stands.
    """
    finding = asked.answer.finding
    rules.require(by, Permission.REPORT_FINDING, finding)
    text = checked_length(text)
    with transaction.atomic():
        locked = _locked(finding)
        row = AskedMeasurement.objects.select_for_update(of=("self",)).get(pk=asked.pk)
        if row.brought_by is not None:
            return row.brought_by
        if not locked.is_open:
            raise Refused(_("This finding is closed: nobody waits for the value any more."))
        size = Size(position=row.position, value=value, as_typed=as_typed, uncertainty=uncertainty)
        measuring = record_measuring(
            unit=finding.unit,
            by=by,
            measured_on=measured_on,
            sizes=[size],
            client_key=f"asked-{row.pk}",
            confirm=confirm,
            for_finding=finding,
        )
        answer = _say(locked, Said.MEASURED, by, text, "", at)
        row.value, row.brought_by = measuring.values.get(), answer
        row.save(update_fields=["value", "brought_by"])
        _make_new(locked)
        audit.record("bring_measurement", finding, by=by, answer=answer.pk,
                     judgement=row.value.judgement)  # fmt: skip
        finding_replied.send(sender=Answer, answer=answer)
    finding.refresh_from_db()
    return answer


def pick_way(*, way: Way, by: Person, text: str = "", at: datetime | None = None) -> Answer:
    """Agree to one of the ways that the workshop offers; a later pick takes its place."""
    finding = way.finding
    rules.require(by, Permission.REPORT_FINDING, finding)
    text = checked_length(text)
    with transaction.atomic():
        locked = _locked(finding)
        if locked.agreed_id == way.pk and locked.state == FindingState.AGREED:
            known = Answer.objects.filter(finding=finding, picked=way).first()
            if known is not None:
                return known
        way = Way.objects.select_for_update(of=("self",)).get(pk=way.pk)
        _check_can_be_picked(locked, way)
        answer = _say(locked, Said.PICKED, by, text, "", at)
        Way.objects.filter(pk=way.pk).update(picked_by=answer)
        move(locked, FindingState.AGREED, agreed=way.pk)
        audit.record("pick_way", finding, by=by, way=way.pk, price=str(way.price),
                     currency=way.currency)  # fmt: skip
        finding_replied.send(sender=Answer, answer=answer)
        way_picked.send(sender=Way, finding=locked, way=way)
    finding.refresh_from_db()
    return answer


def _check_can_be_picked(finding: Finding, way: Way) -> None:
    if not finding.is_open:
        raise Refused(_("This finding is closed. Write back if you want the work done after all."))
    if way.price is None:
        raise Refused(
            _("This was offered to a former owner. Write back and ask for a price of your own.")
        )
    if not reaches_workshop(finding.unit):
        raise Refused(
            _(
                "Nobody would hear of it: you no longer let the workshop see this unit. Give your"
                " consent first, or ring them."
            ),
            code="no_consent",
        )


def _locked(finding: Finding) -> Finding:
    rows = Finding.objects.select_for_update(of=("self",), no_key=True)
    return rows.select_related("unit__workshop").get(pk=finding.pk)


def _say(
    finding: Finding, kind: Said, by: Person, text: str, digest: str, at: datetime | None
) -> Answer:
    return Answer.objects.create(
        finding=finding, kind=kind, by=by, text=text, digest=digest, at=at or timezone.now()
    )


def _make_new(finding: Finding) -> None:
    """Let it be the workshop's turn; what was agreed stays so, what was closed is open again."""
    if finding.sent_at is None:
        if not finding.is_open:
            move(finding, FindingState.KEPT, **REOPENED)
    elif not finding.is_open:
        move(finding, FindingState.SENT, **REOPENED)
    elif finding.agreed_id is not None:
        move(finding, FindingState.AGREED)
    else:
        move(finding, FindingState.SENT)


REOPENED: dict[str, Any] = {
    "closed_at": None,
    "closed_by": None,
    "cause": "",
    "cause_found": "",
    "agreed": None,
}
