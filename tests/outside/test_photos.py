"""Photographs made by others: every orientation, places, broken, hostile, two things at once.

Read from the open data beside the checkout: ianare/exif-samples (CC BY-SA 4.0), Pillow's test
images and corkami's polyglots (HPND, BSD): see its README.
"""

import io
import resource
from datetime import datetime

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageChops
from pytest_django import Settings

from shared.photos import CleanPhoto, NotAPhoto, read_photo
from tests.published import shared_data

READABLE = (".jpg", ".png", ".webp", ".heif")


def read(*parts: str) -> CleanPhoto:
    path = shared_data("images", *parts)
    return read_photo(SimpleUploadedFile(path.name, path.read_bytes()))


def small(jpeg: bytes) -> Image.Image:
    return Image.open(io.BytesIO(jpeg)).convert("L").resize((32, 32))


def difference(one: CleanPhoto, other: CleanPhoto) -> float:
    """Mean difference of brightness, 0 to 255."""
    histogram = ImageChops.difference(small(one.jpeg), small(other.jpeg)).histogram()
    return sum(level * count for level, count in enumerate(histogram)) / (32 * 32)


@pytest.mark.parametrize("orientation", [3, 6, 8])
@pytest.mark.parametrize("shape", ["landscape", "portrait"])
def test_every_orientation_comes_out_as_the_upright_one(shape: str, orientation: int) -> None:
    upright = read(f"{shape}_1.jpg")

    turned = read(f"{shape}_{orientation}.jpg")

    assert (turned.width, turned.height) == (upright.width, upright.height)
    assert difference(turned, upright) < 6


@pytest.mark.parametrize("kind", ["jpg", "webp"])
@pytest.mark.parametrize("orientation", range(3, 9))
def test_mirrored_and_turned_ones_agree(orientation: int, kind: str) -> None:
    upright = read("hostile", f"hopper_orientation_2.{kind}")

    assert difference(read("hostile", f"hopper_orientation_{orientation}.{kind}"), upright) < 6


def test_place_is_dropped_and_the_moment_read() -> None:
    path = shared_data("images", "DSCN0010.jpg")
    with Image.open(path) as sent:
        assert sent.getexif().get_ifd(0x8825)[1] == "N"

    clean = read("DSCN0010.jpg")

    assert not Image.open(io.BytesIO(clean.jpeg)).getexif()
    assert isinstance(clean.taken_at, datetime)
    assert f"{clean.taken_at:%Y-%m-%d %H:%M:%S}" == "2008-10-22 16:28:39"


def test_place_is_kept_where_the_firm_wants_it(settings: Settings) -> None:
    settings.FIRM_KEEPS_PHOTO_PLACE = True

    kept = Image.open(io.BytesIO(read("DSCN0010.jpg").jpeg)).getexif()

    assert set(kept) == {0x8825}
    degrees, minutes, seconds = kept.get_ifd(0x8825)[2]
    assert float(degrees + minutes / 60 + seconds / 3600) == pytest.approx(43.4674, abs=0.0001)


@pytest.mark.parametrize("name", ["exif_gps_typeerror.jpg", "exif_typeerror.jpg"])
def test_odd_metadata_do_not_spoil_a_good_picture(name: str, settings: Settings) -> None:
    settings.FIRM_KEEPS_PHOTO_PLACE = True

    assert read("hostile", name).width == 800


def test_every_file_is_cleaned_or_refused_in_bounded_memory() -> None:
    folder = shared_data("images")
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    kept, refused = set(), set()
    for path in sorted(each for each in folder.rglob("*") if each.is_file()):
        try:
            clean = read_photo(SimpleUploadedFile(path.name, path.read_bytes()))
        except NotAPhoto:
            refused.add(path.name)
        else:
            assert_plain(clean)
            kept.add(path.name)
    grown_kilobytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before

    assert grown_kilobytes < 400_000
    assert len(kept) > 40
    assert not [name for name in kept if not name.endswith(READABLE)]
    assert {name for name in refused if name.endswith(READABLE)} <= {
        "broken.png",
        "broken_data_stream.png",
        "corkami_lossless.jpg",
        "corkami_small-invalid.jpg",
    }


def assert_plain(clean: CleanPhoto) -> None:
    image = Image.open(io.BytesIO(clean.jpeg))
    assert image.format == "JPEG"
    assert image.size == (clean.width, clean.height)
    assert not image.getexif()
    assert clean.jpeg.endswith(b"\xff\xd9")


@pytest.mark.parametrize(
    ("name", "other"),
    [("corkami_pVG.jpg", b"<svg"), ("corkami_jpg.jpg", b"%PDF"), ("corkami_jpg.jpg", b"PK\3\4")],
)
def test_the_other_half_of_a_polyglot_is_gone(name: str, other: bytes) -> None:
    assert other not in read("polyglot", name).jpeg


@pytest.mark.parametrize("name", ["corkami_jpeg.zip", "corkami_jpg.pdf"])
def test_a_polyglot_that_begins_as_something_else_is_refused(name: str) -> None:
    with pytest.raises(NotAPhoto):
        read("polyglot", name)
