"""Photos as they come from a phone: checked, turned upright, made smaller, stripped of metadata.

Nothing of the file that was sent is kept: what it shows is drawn anew into a fresh picture, so that
neither metadata nor anything hidden in or behind the picture survives.
"""

import io
import struct
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from uuid import uuid4

from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage
from django.utils.translation import gettext as _
from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

from advisory.common.errors import Refused

MOST_BYTES = 20 * 1024 * 1024
# Today's telephones reach 50 megapixels; decoding needs four bytes for each.
MOST_PIXELS = 50_000_000
LONGEST_SIDE = 1600
JPEG_QUALITY = 85
FORMATS = ("JPEG", "PNG", "WEBP")
# Two pictures in one JPEG (MPO) is what many telephones write; the first one is the photo.
STILL = frozenset({"JPEG", "MPO"})

# Where a file that is two things at once shows the other one, and by what a page shows itself.
_EDGE = 64 * 1024
_PAGES = (b"<script", b"<html", b"<!doctype", b"<?php", b"<svg")

# Everything that Pillow is known to raise for a file that is broken or made to harm.
BROKEN = (
    OSError,
    ValueError,
    TypeError,
    KeyError,
    IndexError,
    SyntaxError,
    EOFError,
    OverflowError,
    MemoryError,
    struct.error,
    zlib.error,
)


@dataclass(frozen=True)
class PreparedPhoto:
    """A photo ready to be kept: JPEG, upright, without metadata."""

    data: bytes
    width: int
    height: int


def prepare_photo(photo: "File[bytes]") -> PreparedPhoto:
    """Check a photo and draw it anew, its longest side at most `LONGEST_SIDE`.

    Raises
    ------
    Refused
        When it is too large, no photo, moving, or broken; the message names the file.
    """
    name = photo.name or _("photo")
    if photo.size > MOST_BYTES:
        raise _refusal(
            _(
                "“%(name)s” has %(size)d MB; a photo may have %(most)d MB. Send it smaller: "
                "a telephone offers that when sharing a photo."
            ),
            name,
            "photo_too_large",
            size=round(photo.size / 1024 / 1024),
            most=MOST_BYTES // 1024 // 1024,
        )
    more = _is_something_else_as_well(photo)
    photo.seek(0)
    try:
        with Image.open(photo.file or io.BytesIO(), formats=FORMATS) as image:
            if more:
                raise _refusal(
                    _(
                        "“%(name)s” is something else besides a photo. Open it and keep it anew as "
                        "a JPEG, or take the photo again."
                    ),
                    name,
                    "photo_and_more",
                )
            _check_before_decoding(image, name)
            return _drawn_anew(image)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise _too_many_pixels(name) from error
    except UnidentifiedImageError as error:
        raise _refusal(
            _("“%(name)s” is no photo that can be read here. Send a JPEG, PNG or WebP photo."),
            name,
            "not_a_photo",
        ) from error
    except Refused:
        raise
    except BROKEN as error:
        raise _refusal(
            _("“%(name)s” is damaged or was cut off on its way. Choose it again, or another."),
            name,
            "photo_damaged",
        ) from error


@contextmanager
def files_kept(photos: Sequence[PreparedPhoto], folder: str) -> Iterator[list[str]]:
    """Write photos to the store and give their names; if what follows fails, take them out again.

    They are written before the transaction that names them begins, so that it stays short.
    """
    names: list[str] = []
    try:
        for photo in photos:
            name = f"{folder}/{uuid4().hex}.jpg"
            names.append(default_storage.save(name, ContentFile(photo.data)))
        yield names
    except BaseException:
        remove_files(names)
        raise


def remove_files(names: Sequence[str]) -> None:
    """Take photos out of the store; one that is gone already is no fault."""
    for name in names:
        default_storage.delete(name)


def _is_something_else_as_well(photo: "File[bytes]") -> bool:
    """Say whether a file opens as an archive, a document or a page too.

    What is drawn anew holds none of it; a file that was made so was not made by a camera. A film
    or a second picture behind the first one, as many telephones write it, is none of these.
    """
    content = photo.file or io.BytesIO()
    photo.seek(0)
    head = content.read(_EDGE).lower()
    content.seek(max(photo.size - _EDGE, 0))
    tail = content.read().lower()
    # readers look for a document's head in the first kilobyte (common practice, no source)
    if b"%pdf-" in head[:1024] or any(word in edge for word in _PAGES for edge in (head, tail)):
        return True
    photo.seek(0)
    return zipfile.is_zipfile(content)


def _check_before_decoding(image: Image.Image, name: str) -> None:
    """Look at what the head of the file says; nothing is unpacked yet."""
    if image.width * image.height > MOST_PIXELS:
        raise _too_many_pixels(name)
    if image.format not in STILL and getattr(image, "is_animated", False):
        raise _refusal(
            _("“%(name)s” moves. Send a still photo."),
            name,
            "photo_moves",
        )


def _drawn_anew(image: Image.Image) -> PreparedPhoto:
    profile = image.info.get("icc_profile")
    # A JPEG is decoded at a fraction of its size where that is still large enough.
    image.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
    image.load()
    upright = _in_plain_levels(_turned_upright(image))
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
    picture = Image.new("RGB", upright.size, "white")
    if upright.mode == "RGBA":
        picture.paste(upright, mask=upright)
    else:
        picture.paste(_in_common_colours(upright, profile))
    kept = io.BytesIO()
    picture.save(kept, "JPEG", quality=JPEG_QUALITY, optimize=True, progressive=True)
    return PreparedPhoto(kept.getvalue(), picture.width, picture.height)


def _turned_upright(image: Image.Image) -> Image.Image:
    try:
        return ImageOps.exif_transpose(image)
    except BROKEN:
        return image  # notes about the photo that can't be read cost its turn, not the photo


def _in_plain_levels(image: Image.Image) -> Image.Image:
    """Bring what can't be made smaller as it is (a palette, 16 bits a level) to 8 bits."""
    if image.mode.startswith("I"):
        return image.point(lambda level: level / 256).convert("L")
    return image.convert("RGBA") if image.has_transparency_data else image.convert("RGB")


def _in_common_colours(image: Image.Image, profile: bytes | None) -> Image.Image:
    """Bring a telephone's wide colours to sRGB: the colour of a flake tells what it is of."""
    if not profile or image.mode != "RGB":
        return image
    try:
        from_profile = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        converted = ImageCms.profileToProfile(
            image, from_profile, ImageCms.createProfile("sRGB"), outputMode="RGB"
        )
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return image  # a profile that can't be read costs a shade, not the photo
    return converted or image


def _too_many_pixels(name: str) -> Refused:
    return _refusal(
        _("“%(name)s” has more than %(most)d megapixels. Send it smaller."),
        name,
        "photo_too_many_pixels",
        most=MOST_PIXELS // 1_000_000,
    )


def _refusal(message: str, name: str, code: str, **figures: int) -> Refused:
    return Refused(message % {"name": name[:80], **figures}, field="photos", code=code)
