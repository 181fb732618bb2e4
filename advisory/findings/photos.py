"""Photos of findings: how many, and where they are kept."""

from collections.abc import Sequence
from contextlib import AbstractContextManager

from django.utils.translation import gettext as _

from advisory.common import photos
from advisory.common.photos import (
    LONGEST_SIDE,
    MOST_BYTES,
    PreparedPhoto,
    prepare_photo,
    remove_files,
)

MOST_PHOTOS = 6
FOLDER = "findings"


def files_kept(prepared: Sequence[PreparedPhoto]) -> AbstractContextManager[list[str]]:
    """Write photos to the store and give their names; if what follows fails, take them out again.

    They are written before the transaction that names them begins, so that it stays short.
    """
    return photos.files_kept(prepared, FOLDER)


def too_many_photos(count: int) -> str:
    """Say that a finding takes no more of them."""
    return _("Send at most %(most)d photos; these are %(count)d.") % {
        "most": MOST_PHOTOS,
        "count": count,
    }


__all__ = [
    "LONGEST_SIDE",
    "MOST_BYTES",
    "MOST_PHOTOS",
    "PreparedPhoto",
    "files_kept",
    "prepare_photo",
    "remove_files",
    "too_many_photos",
]
