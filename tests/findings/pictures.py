"""Photos for the tests, made here: good ones, broken ones, and ones made to harm."""

import io
import struct
import zlib

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, TiffImagePlugin

ORIENTATION = 0x0112
GPS = 0x8825
MAKER = 0x010F


def picture(width: int = 64, height: int = 48, mode: str = "RGB") -> Image.Image:
    """Left half dark, right half light, so that a turn shows."""
    image = Image.new(mode, (width, height), 0)
    light = {"RGB": (250, 240, 20), "RGBA": (250, 240, 20, 255), "CMYK": (0, 0, 255, 0)}.get(
        mode, 255
    )
    image.paste(light, (width // 2, 0, width, height))
    return image


def upload(data: bytes, name: str = "cover.jpg", kind: str = "image/jpeg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, content_type=kind)


def encoded(image: Image.Image, form: str = "JPEG", **options: object) -> bytes:
    file = io.BytesIO()
    image.save(file, form, **options)
    return file.getvalue()


def jpeg(width: int = 64, height: int = 48) -> SimpleUploadedFile:
    return upload(encoded(picture(width, height)))


def with_metadata(width: int = 64, height: int = 48, turn: int = 6) -> bytes:
    """As a telephone writes it: EXIF with the place, the maker and a turn; XMP; a comment."""
    exif = Image.Exif()
    exif[ORIENTATION] = turn
    exif[MAKER] = "Telephone of a person"
    place = exif.get_ifd(GPS)
    place[1] = "N"
    place[2] = (TiffImagePlugin.IFDRational(51), TiffImagePlugin.IFDRational(7), 0)
    return encoded(
        picture(width, height),
        exif=exif.tobytes(),
        comment=b"said-by-the-owner",
        xmp=b"<x:xmpmeta>secret-xmp</x:xmpmeta>",
    )


def png_of_claimed_size(width: int, height: int) -> bytes:
    """A few bytes that say they are a huge picture: what a decompression bomb looks like."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        check = zlib.crc32(kind + content)
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", check)

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = zlib.compress(b"\x00" * 1000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")
