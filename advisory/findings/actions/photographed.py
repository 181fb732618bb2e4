"""Photos that come with what an owner or a workshop writes."""

import hashlib
from collections.abc import Sequence

from django.core.files.base import File
from django.utils.translation import gettext as _

from advisory.common.errors import Refused
from advisory.findings.models import WaitingPhoto
from advisory.findings.photos import MOST_PHOTOS, PreparedPhoto, prepare_photo, too_many_photos
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Unit


def check_waiting(unit: Unit, waiting: Sequence[WaitingPhoto], by: Person) -> None:
    """Refuse photos that are another unit's, or not this person's."""
    for photo in waiting:
        rules.require(by, Permission.REPORT_FINDING, photo)
        if photo.unit_id != unit.pk:
            raise Refused(_("Choose this unit's own photos."), field="photos")


def prepared_photos(
    photos: "Sequence[File[bytes]]", waiting: Sequence[WaitingPhoto]
) -> list[PreparedPhoto]:
    """Return the photos as they are kept; what is no photo, or too many, is refused."""
    count = len(photos) + len(waiting)
    if count > MOST_PHOTOS:
        raise Refused(too_many_photos(count), field="photos")
    try:
        ready = [photo.prepared() for photo in waiting]
    except FileNotFoundError as error:
        raise Refused(_("A photo got lost. Choose your photos again."), field="photos") from error
    return ready + [prepare_photo(photo) for photo in photos]


def content_of(photos: "Sequence[File[bytes]]") -> str:
    """Return what tells these photos from others."""
    digest = hashlib.sha256()
    for photo in photos:
        for chunk in photo.chunks():
            digest.update(chunk)
        photo.seek(0)
    return digest.hexdigest()
