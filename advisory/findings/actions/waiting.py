"""Photos of a finding whose form was not accepted: kept, so that nobody chooses them again."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from django.core.files.base import File
from django.db import transaction
from django.utils import timezone

from advisory.common.errors import Refused
from advisory.findings.models import Finding, WaitingPhoto
from advisory.findings.photos import (
    MOST_PHOTOS,
    PreparedPhoto,
    files_kept,
    prepare_photo,
    too_many_photos,
)
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Unit

KEPT_FOR = timedelta(days=1)


@dataclass(frozen=True)
class KeptPhotos:
    """The photos that were kept, and why the others were not."""

    kept: Sequence[WaitingPhoto]
    refusals: Sequence[str]


def keep_photos(
    *,
    unit: Unit,
    by: Person,
    client_key: str,
    photos: "Sequence[File[bytes]]",
    answered: Finding | None = None,
) -> KeptPhotos:
    """Keep the photos of a form until it is put right and sent again, for a day at most.

    `client_key` is that of the form, `answered` the finding that a workshop answers with it. Each
    photo is checked and drawn anew as it would be for the finding; one that can't be kept takes
    none of the others with it.
    """
    if answered is None:
        rules.require(by, Permission.REPORT_FINDING, unit)
    else:
        rules.require(by, Permission.ANSWER_FINDING, answered)
        unit = answered.unit
    there = WaitingPhoto.objects.filter(unit=unit, by=by, client_key=client_key).count()
    refusals: list[str] = []
    taken: list[tuple[str, PreparedPhoto]] = []
    for photo in photos:
        if there + len(taken) >= MOST_PHOTOS:
            refusals.append(too_many_photos(there + len(photos)))
            break
        try:
            taken.append((photo.name or "", prepare_photo(photo)))
        except Refused as refused:
            refusals.append(refused.message)
    with files_kept([photo for _name, photo in taken]) as names, transaction.atomic():
        kept = [
            WaitingPhoto.objects.create(
                unit=unit,
                by=by,
                client_key=client_key,
                name=name[: WaitingPhoto.LONGEST_NAME],
                file=file,
                width=photo.width,
                height=photo.height,
            )
            for file, (name, photo) in zip(names, taken, strict=True)
        ]
    return KeptPhotos(kept, refusals)


def drop_waiting_photos() -> int:
    """Delete what nobody came back for; return how many photos that were."""
    old = WaitingPhoto.objects.filter(created_at__lt=timezone.now() - KEPT_FOR)
    with transaction.atomic():
        return old.delete()[1].get(WaitingPhoto._meta.label, 0)
