"""Photos of a build sheet: drawn anew, without metadata, and under the sheet's digest."""

import hashlib
from collections.abc import Sequence
from functools import partial

from django.core.files.base import File
from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.common.photos import files_kept, prepare_photo, remove_files
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.actions.drafts import still_written
from advisory.register.models import Build, BuildPhoto, Position
from advisory.register.sheet import design_of

MOST_PHOTOS = 24
FOLDER = "builds"
LONGEST_WORDS = 120


def add_photos(
    *,
    build: Build,
    by: Person,
    photos: "Sequence[File[bytes]]",
    position: Position | None = None,
    words: str = "",
) -> list[BuildPhoto]:
    """Put photos onto a sheet that is still being written.

    Raises
    ------
    Refused
        For what is no photo, for too many, or for a sheet that is signed.
    """
    rules.require(by, Permission.BUILD_UNIT, build)
    if not photos:
        raise Refused(_("Choose a photo first."), field="photos")
    if position is not None and position.design_id != design_of(build).pk:
        raise Refused(_("This unit has no such position."), field="position")
    words = words.strip()
    if len(words) > LONGEST_WORDS:
        raise Refused(_("Use at most 120 letters."), field="words")
    prepared = [prepare_photo(photo) for photo in photos]
    with files_kept(prepared, FOLDER) as names, transaction.atomic():
        build = still_written(build, by)
        if build.photos.count() + len(prepared) > MOST_PHOTOS:
            raise Refused(_("A sheet takes at most 24 photos."), field="photos")
        made = [
            BuildPhoto.objects.create(
                build=build,
                position=position,
                file=name,
                width=photo.width,
                height=photo.height,
                digest=hashlib.sha256(photo.data).hexdigest(),
                words=words,
            )
            for name, photo in zip(names, prepared, strict=True)
        ]
        audit.record("add_photos", build, by=by, photos=[one.pk for one in made])
    return made


@transaction.atomic
def remove_photo(*, photo: BuildPhoto, by: Person) -> None:
    """Take a photo off a sheet that is still being written."""
    build = still_written(photo.build, by)
    name = photo.file.name or ""
    audit.record("remove_photo", build, by=by, photo=photo.pk)
    photo.delete()
    drop_files([name])


def drop_files(names: Sequence[str]) -> None:
    """Take files out of the store once the transaction stands, unless another sheet shows them."""
    shown = set(BuildPhoto.objects.filter(file__in=names).values_list("file", flat=True))
    gone = [name for name in names if name not in shown]
    transaction.on_commit(partial(remove_files, gone))
