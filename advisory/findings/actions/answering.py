"""What the workshop does with a finding: it reads it, asks, instructs, offers ways, answers."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.core.files.base import File
from django.db import IntegrityError, transaction
from django.db.models import F
from django.db.models.functions import Coalesce
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.findings.actions.photographed import check_waiting, content_of, prepared_photos
from advisory.findings.actions.steps import checked_text, digest_of, move
from advisory.findings.enums import Currency, FindingState, Instruction, PartOrigin, Said
from advisory.findings.models import (
    Answer,
    AskedMeasurement,
    Finding,
    FindingPhoto,
    WaitingPhoto,
    Way,
)
from advisory.findings.photos import PreparedPhoto, files_kept
from advisory.findings.queries import quantity_at
from advisory.findings.signals import finding_answered
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Position

MOST_WAYS = 5
LONGEST_LINE = 500
MOST_DAYS = 999
MOST_PRICE = Decimal(9_999_999)


@dataclass(frozen=True, kw_only=True)
class Measure:
    """One more measurement to ask the owner for, and how it is taken."""

    position: Position
    how: str = ""


@dataclass(frozen=True, kw_only=True)
class Offer:
    """One way to put it right: what is done, what the part is, price, days in the workshop."""

    text: str
    part: PartOrigin
    price: Decimal
    currency: Currency
    days: int


def mark_seen(*, finding: Finding, by: Person) -> None:
    """Note that the workshop has opened what is new in a finding."""
    rules.require(by, Permission.ANSWER_FINDING, finding)
    if finding.state != FindingState.SENT:
        return
    with transaction.atomic():
        now = timezone.now()
        seen_first = Coalesce("seen_by_workshop_at", now)
        if move(finding, FindingState.SEEN, seen_by_workshop_at=seen_first):
            audit.record("mark_seen", finding, by=by)


def answer_finding(
    *,
    finding: Finding,
    text: str,
    by: Person,
    asks: bool = False,
    measure: Measure | None = None,
    instruction: str = "",
    ways: Sequence[Offer] = (),
    photos: Sequence["File[bytes]"] = (),
    waiting: Sequence[WaitingPhoto] = (),
    client_key: str = "",
    at: datetime | None = None,
) -> Answer:
    """Say to the owner what the workshop thinks; the same form sent twice makes one answer.

    `asks` says that the owner is to answer first, as does `measure`, one more measurement.
    `instruction` stands from now on, in place of an earlier one; `ways` are for the owner to pick
    one; `waiting` are photos that `keep_photos` has kept already. `at` is for records brought over
    from elsewhere.

    Raises
    ------
    Refused
        Nothing was saved; the field says which part.
    """
    rules.require(by, Permission.ANSWER_FINDING, finding)
    text = checked_text(text, _("Write the answer that the owner is to read."))
    _check_measure(finding, measure)
    _check_instruction(finding, instruction)
    _check_ways(ways)
    check_waiting(finding.unit, waiting, by)
    pictured = [content_of(photos), *(photo.pk for photo in waiting)] if photos or waiting else []
    digest = digest_of(client_key, text, finding.pk, asks, measure, instruction, *ways, *pictured)
    if digest and (known := Answer.objects.filter(by=by, digest=digest).first()):
        return known
    prepared = prepared_photos(photos, waiting)
    at = at or timezone.now()
    asks = asks or measure is not None
    try:
        with files_kept(prepared) as names, transaction.atomic():
            locked = Finding.objects.select_for_update(of=("self",), no_key=True).get(pk=finding.pk)
            if not locked.is_open:
                raise Refused(
                    _(
                        "This finding is closed. If it is not over, its owner writes back, and it"
                        " is open again."
                    )
                )
            answer = Answer.objects.create(
                finding=finding,
                kind=Said.QUESTION if asks else Said.ANSWER,
                by=by,
                text=text,
                instruction=instruction,
                digest=digest,
                at=at,
            )
            if measure is not None:
                AskedMeasurement.objects.create(
                    answer=answer, position=measure.position, how=measure.how.strip()
                )
            _offer(answer, ways)
            _show(answer, names, prepared)
            if not _move_on(locked, asks, bool(ways), instruction, at):
                raise Refused(_("The owner has not sent this finding; it can't be answered."))
            finding.refresh_from_db()
            audit.record("answer_finding", finding, by=by, answer=answer.pk, asks=asks,
                         instruction=instruction, ways=len(ways), photos=len(names))  # fmt: skip
            finding_answered.send(sender=Answer, answer=answer)
    except IntegrityError:
        known = Answer.objects.filter(by=by, digest=digest).exclude(digest="").first()
        if known is None:
            raise
        return known
    return answer


def _move_on(finding: Finding, asks: bool, offers: bool, instruction: str, at: datetime) -> bool:
    """Turn the course: to the owner, unless work was agreed and nothing new is offered."""
    to = FindingState.ANSWERED
    if asks:
        to = FindingState.QUESTION
    elif finding.agreed_id is not None and not offers:
        to = FindingState.AGREED
    standing: dict[str, Any] = {}
    if instruction == Instruction.LIFTED:
        standing = {"instruction": "", "instructed_at": None}
    elif instruction:
        standing = {"instruction": instruction, "instructed_at": at}
    return move(
        finding,
        to,
        seen_by_workshop_at=Coalesce("seen_by_workshop_at", at),
        first_answered_at=Coalesce(F("first_answered_at"), at),
        **standing,
    )


def _show(answer: Answer, names: Sequence[str], prepared: Sequence[PreparedPhoto]) -> None:
    for name, photo in zip(names, prepared, strict=True):
        FindingPhoto.objects.create(
            finding=answer.finding,
            answer=answer,
            file=name,
            width=photo.width,
            height=photo.height,
        )


def _offer(answer: Answer, ways: Sequence[Offer]) -> None:
    Way.objects.bulk_create(
        Way(
            answer=answer,
            finding=answer.finding,
            text=way.text.strip(),
            part=way.part,
            price=way.price,
            currency=way.currency,
            days=way.days,
        )
        for way in ways
    )


def _check_measure(finding: Finding, measure: Measure | None) -> None:
    if measure is None:
        return
    if measure.position.design_id != finding.unit.design_id:
        raise Refused(_("Choose a position of this unit from the list."), field="measure_at")
    if not quantity_at(measure.position):
        raise Refused(
            _("Nothing is measured at this position. Ask for it in words."), field="measure_at"
        )
    if len(measure.how) > LONGEST_LINE:
        raise Refused(_("Use at most 500 letters."), field="measure_how")


def _check_instruction(finding: Finding, instruction: str) -> None:
    if instruction and instruction not in Instruction:
        raise Refused(_("Choose one of the instructions."), field="instruction")
    if instruction == Instruction.LIFTED and not finding.instruction:
        raise Refused(
            _("You have told the owner nothing that could be taken back."), field="instruction"
        )


def way_field(number: int, part: str) -> str:
    """Return the name of a field of one way, on the page and in what is refused."""
    return f"way{number}_{part}"


def _check_ways(ways: Sequence[Offer]) -> None:
    if len(ways) > MOST_WAYS:
        raise Refused(_("Offer at most %(most)d ways.") % {"most": MOST_WAYS}, field="ways")
    for number, way in enumerate(ways, start=1):
        if not way.text.strip():
            raise Refused(_("Write what is done."), field=way_field(number, "text"))
        if len(way.text) > LONGEST_LINE:
            raise Refused(_("Use at most 500 letters."), field=way_field(number, "text"))
        if not (way.price.is_finite() and 0 <= way.price <= MOST_PRICE):
            raise Refused(
                _("Write the price as a number, zero or more."), field=way_field(number, "price")
            )
        if not 0 <= way.days <= MOST_DAYS:
            raise Refused(
                _("Write the days as a whole number, up to 999."), field=way_field(number, "days")
            )
        if way.part not in PartOrigin or way.currency not in Currency:
            raise Refused(_("Choose one from the list."), field=way_field(number, "part"))
