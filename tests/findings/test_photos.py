"""Photos: what comes in, what is kept of it, and what is refused."""

import io
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageCms

from advisory.common.errors import Refused
from advisory.findings.photos import (
    LONGEST_SIDE,
    MOST_BYTES,
    PreparedPhoto,
    files_kept,
    prepare_photo,
)
from tests.findings.pictures import (
    encoded,
    jpeg,
    picture,
    png_of_claimed_size,
    upload,
    with_metadata,
)

pytestmark = pytest.mark.one_database


def opened(photo: PreparedPhoto) -> Image.Image:
    return Image.open(io.BytesIO(photo.data))


def is_light(pixel: tuple[int, ...]) -> bool:
    return pixel[0] > 150


def test_twelve_megapixels_come_out_with_a_longest_side_of_1600() -> None:
    photo = prepare_photo(jpeg(4000, 3000))

    assert (photo.width, photo.height) == (1600, 1200)
    assert opened(photo).size == (1600, 1200)
    assert opened(photo).format == "JPEG"


def test_an_upright_photo_keeps_its_longest_side_upright() -> None:
    photo = prepare_photo(jpeg(1500, 3000))

    assert (photo.width, photo.height) == (800, LONGEST_SIDE)


def test_a_small_photo_is_not_blown_up() -> None:
    photo = prepare_photo(jpeg(64, 48))

    assert (photo.width, photo.height) == (64, 48)


def test_no_metadata_is_left() -> None:
    data = with_metadata()
    assert b"Telephone" in data
    assert b"secret-xmp" in data

    photo = prepare_photo(upload(data))

    kept = opened(photo)
    assert not kept.getexif()
    assert not kept.info.keys() & {"exif", "xmp", "comment", "icc_profile", "photoshop"}
    for word in (b"Telephone", b"secret-xmp", b"said-by-the-owner", b"Exif", b"adobe"):
        assert word not in photo.data


def test_the_turn_that_the_telephone_noted_is_applied() -> None:
    # EXIF 6: the picture must be turned a quarter clockwise; its left (dark) half comes to the top.
    photo = prepare_photo(upload(with_metadata(64, 48, turn=6)))

    assert (photo.width, photo.height) == (48, 64)
    assert not is_light(opened(photo).getpixel((24, 8)))
    assert is_light(opened(photo).getpixel((24, 56)))


@pytest.mark.filterwarnings("ignore:Corrupt EXIF data")
def test_broken_notes_about_the_turn_cost_the_turn_and_not_the_photo() -> None:
    data = encoded(picture(), exif=b"Exif\x00\x00II*\x00\x08\x00\x00\x00\xff\xff\x12")

    assert prepare_photo(upload(data)).width == 64


@pytest.mark.parametrize(
    ("form", "mode"),
    [
        ("PNG", "RGB"), ("PNG", "RGBA"), ("PNG", "P"), ("PNG", "L"), ("PNG", "1"), ("PNG", "LA"),
        ("PNG", "I;16"), ("WEBP", "RGB"), ("WEBP", "RGBA"), ("JPEG", "L"), ("JPEG", "CMYK"),
    ],
)  # fmt: skip
def test_each_kind_of_picture_comes_out_as_a_jpeg_in_colour(form: str, mode: str) -> None:
    image = picture(2000, 1000, mode) if mode not in {"P", "LA"} else picture(2000, 1000)
    if mode == "I;16":
        image = Image.new("I;16", (2000, 1000), 0)
        image.paste(65535, (1000, 0, 2000, 1000))
    image = image.convert(mode) if mode in {"P", "LA"} else image

    photo = prepare_photo(upload(encoded(image, form), f"cover.{form.lower()}"))

    kept = opened(photo)
    assert (kept.format, kept.mode, kept.size) == ("JPEG", "RGB", (1600, 800))
    assert is_light(kept.getpixel((1200, 400)))


def test_what_is_transparent_comes_out_white() -> None:
    photo = prepare_photo(
        upload(encoded(Image.new("RGBA", (20, 20), (0, 0, 0, 0)), "PNG"), "a.png")
    )

    assert min(opened(photo).getpixel((10, 10))) > 250


def srgb_with_red_and_green_exchanged() -> bytes:
    """A colour profile in which (255, 0, 0) means the green of sRGB (ICC.1: a table of tags)."""
    data = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return data.replace(b"rXYZ", b"?", 1).replace(b"gXYZ", b"rXYZ", 1).replace(b"?", b"gXYZ", 1)


def test_colours_are_brought_to_the_common_ones() -> None:
    red = Image.new("RGB", (16, 16), (255, 0, 0))
    data = encoded(red, icc_profile=srgb_with_red_and_green_exchanged())

    kept = opened(prepare_photo(upload(data)))

    assert kept.getpixel((8, 8)) == pytest.approx((0, 255, 0), abs=12)
    assert "icc_profile" not in kept.info


def test_a_colour_profile_that_cannot_be_read_costs_a_shade_and_not_the_photo() -> None:
    red = Image.new("RGB", (16, 16), (255, 0, 0))

    kept = opened(prepare_photo(upload(encoded(red, icc_profile=b"no profile at all"))))

    assert kept.getpixel((8, 8)) == pytest.approx((255, 0, 0), abs=12)


def test_the_first_of_two_pictures_in_one_file_is_the_photo() -> None:
    data = encoded(
        picture(64, 48), "MPO", save_all=True, append_images=[Image.new("RGB", (32, 24))]
    )

    assert (prepare_photo(upload(data)).width, prepare_photo(upload(data)).height) == (64, 48)


def refusal(file: SimpleUploadedFile) -> Refused:
    with pytest.raises(Refused) as caught:
        prepare_photo(file)
    assert caught.value.field == "photos"
    return caught.value


def test_thirty_megabytes_are_refused_unread_with_what_to_do() -> None:
    file = upload(b"")
    file.size = 30 * 1024 * 1024

    error = refusal(file)

    assert error.code == "photo_too_large"
    assert "30 MB" in error.message
    assert "Send it smaller" in error.message
    assert file.size > MOST_BYTES


@pytest.mark.parametrize(
    "data",
    [
        b"Dear workshop, the cover is wet.",
        b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
        b"%PDF-1.7 not a photo",
        b"GIF89a\x01\x00\x01\x00\x00\x00\x00;",
        b"",
        b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic",
    ],
    ids=["text", "svg", "pdf", "gif", "empty", "heic"],
)
def test_what_is_no_photo_is_refused_whatever_it_is_called(data: bytes) -> None:
    error = refusal(upload(data, "cover.jpg"))

    assert error.code == "not_a_photo"
    assert "cover.jpg" in error.message


@pytest.mark.parametrize(("width", "height"), [(8000, 8000), (12000, 9000), (60000, 60000)])
def test_a_picture_that_would_unpack_to_too_much_is_refused_before_it_is_unpacked(
    width: int, height: int
) -> None:
    error = refusal(upload(png_of_claimed_size(width, height), "bomb.png"))

    assert error.code == "photo_too_many_pixels"
    assert "50 megapixels" in error.message


@pytest.mark.parametrize("form", ["PNG", "WEBP"])
def test_a_moving_picture_is_refused(form: str) -> None:
    frames = [Image.new("RGB", (20, 20), colour) for colour in ("red", "green")]
    data = encoded(frames[0], form, save_all=True, append_images=frames[1:], duration=100)

    assert refusal(upload(data, "moves")).code == "photo_moves"


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_photo_that_was_cut_off_is_refused(form: str) -> None:
    noise = Image.effect_noise((400, 300), 80).convert("RGB")
    data = encoded(noise, form)

    assert refusal(upload(data[: len(data) // 2], "half")).code in {
        "photo_damaged",
        "not_a_photo",
    }


def test_what_hides_behind_a_photo_does_not_survive() -> None:
    # a short film, as telephones write it behind the photo
    data = encoded(picture()) + b"\x00\x00\x00\x18ftypmp42 behind"

    photo = prepare_photo(upload(data))

    assert b"behind" not in photo.data


def zipped() -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        archive.writestr("run.sh", "echo")
    return held.getvalue()


@pytest.mark.parametrize(
    "data",
    [
        encoded(picture()) + zipped(),
        encoded(picture()) + b"<script>alert('behind')</script>",
        encoded(picture(), "JPEG", comment=b"%PDF-1.7"),
        encoded(picture(), "JPEG", comment=b"<?php system('x'); ?>"),
    ],
    ids=["archive", "page", "document", "program"],
)
def test_photo_that_is_something_else_as_well_is_refused(data: bytes) -> None:
    error = refusal(upload(data, "cover.jpg"))

    assert error.code == "photo_and_more"
    assert "cover.jpg" in error.message


def test_a_long_name_is_cut_in_the_message() -> None:
    assert len(refusal(upload(b"text", "a" * 300 + ".jpg")).message) < 200


def test_files_are_taken_out_again_when_what_follows_fails(settings, tmp_path) -> None:
    settings.MEDIA_ROOT = tmp_path
    photo = prepare_photo(jpeg())

    def fail_with_the_files_in_place() -> None:
        with files_kept([photo, photo]):
            assert len(list(tmp_path.rglob("*.jpg"))) == 2
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail_with_the_files_in_place()

    assert not list(tmp_path.rglob("*.jpg"))


def test_files_stay_when_what_follows_succeeds(settings, tmp_path) -> None:
    settings.MEDIA_ROOT = tmp_path

    with files_kept([prepare_photo(jpeg())]) as names:
        pass

    assert [path.name for path in tmp_path.rglob("*.jpg")] == [names[0].split("/")[1]]
