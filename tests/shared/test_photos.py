"""Photographs made here: what is kept, what is dropped, what is refused."""

import hashlib
import io
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageCms, ImageFile, PngImagePlugin
from pytest_django import Settings

from shared.photos import NotAPhoto, read_photo, smaller

PHOENIX = ZoneInfo("America/Phoenix")


def picture(kind: str = "JPEG", size: tuple[int, int] = (40, 30), **options: Any) -> bytes:
    """A picture whose left half is red and whose right half is blue."""
    image = Image.new(options.pop("mode", "RGB"), size, options.pop("fill", "red"))
    image.paste("blue", (size[0] // 2, 0, *size))
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def upload(data: bytes, name: str = "IMG_0001.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data)


def opened(jpeg: bytes) -> Image.Image:
    return Image.open(io.BytesIO(jpeg), formats=["JPEG"])


def exif(**tags: Any) -> Image.Exif:
    made = Image.Exif()
    made.get_ifd(0x8769).update(
        {
            0x9003: tags.get("taken", "2026:03:02 10:11:12"),
            **({0x9011: tags["offset"]} if "offset" in tags else {}),
        }
    )
    made.get_ifd(0x8825).update({1: "N", 2: (33.0, 30.0, 0.0), 3: "W", 4: (112.0, 4.0, 0.0)})
    made[0x010F] = "A maker"
    return made


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_reads_what_phones_send_whatever_it_is_called(kind: str) -> None:
    clean = read_photo(upload(picture(kind, size=(64, 48)), "notes.exe"))

    kept = opened(clean.jpeg)
    assert (clean.width, clean.height) == kept.size == (64, 48)
    red, _, blue = kept.convert("RGB").getpixel((5, 24))  # type: ignore[misc]
    assert red > 200
    assert blue < 60
    assert clean.sha256 == hashlib.sha256(clean.jpeg).hexdigest()


def test_makes_it_no_longer_than_2000_points_a_side() -> None:
    clean = read_photo(upload(picture(size=(3000, 1500))))

    assert (clean.width, clean.height) == (2000, 1000)


def test_reads_the_moment_in_the_cameras_own_zone() -> None:
    clean = read_photo(upload(picture(exif=exif(offset="+02:00"))), zone=PHOENIX)

    assert clean.taken_at == datetime(2026, 3, 2, 8, 11, 12, tzinfo=UTC)


def test_reads_the_moment_in_the_homes_zone_where_the_camera_names_none() -> None:
    clean = read_photo(upload(picture(exif=exif())), zone=PHOENIX)

    assert clean.taken_at == datetime(2026, 3, 2, 17, 11, 12, tzinfo=UTC)


@pytest.mark.parametrize("offset", ["-03:30", "nonsense"])
def test_an_odd_offset_is_read_or_left(offset: str) -> None:
    clean = read_photo(upload(picture(exif=exif(offset=offset))), zone=PHOENIX)

    west = timedelta(hours=3, minutes=30) if offset == "-03:30" else timedelta(hours=7)
    assert clean.taken_at == datetime(2026, 3, 2, 10, 11, 12, tzinfo=UTC) + west


@pytest.mark.parametrize("taken", ["0000:00:00 00:00:00", "yesterday", "    :  :     :  :  "])
def test_a_moment_that_is_none_is_not_made_up(taken: str) -> None:
    assert read_photo(upload(picture(exif=exif(taken=taken)))).taken_at is None


def test_drops_place_maker_comments_and_profile() -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    data = picture(exif=exif(), comment=b"secret words", icc_profile=profile)

    clean = read_photo(upload(data))

    kept = opened(clean.jpeg)
    assert dict(kept.getexif()) == {}
    assert not {"comment", "exif", "icc_profile", "xmp"} & set(kept.info)
    assert b"secret" not in clean.jpeg


def test_keeps_the_place_alone_where_the_firm_wants_it(settings: Settings) -> None:
    settings.FIRM_KEEPS_PHOTO_PLACE = True

    clean = read_photo(upload(picture(exif=exif())))

    kept = opened(clean.jpeg).getexif()
    assert set(kept) == {0x8825}
    assert kept.get_ifd(0x8825)[2] == (33.0, 30.0, 0.0)


def test_puts_what_is_clear_on_white() -> None:
    clear = Image.new("RGBA", (10, 10), (0, 0, 0, 0))
    out = io.BytesIO()
    clear.save(out, "PNG")

    assert opened(read_photo(upload(out.getvalue())).jpeg).getpixel((5, 5)) == (255, 255, 255)


def test_refuses_nothing() -> None:
    with pytest.raises(NotAPhoto, match="empty"):
        read_photo(upload(b""))


def test_refuses_more_bytes_than_the_firm_takes(settings: Settings) -> None:
    settings.PHOTO_MAX_BYTES = 1024 * 1024

    with pytest.raises(NotAPhoto, match="larger than 1 MB"):
        read_photo(upload(picture() + b"\0" * 1024 * 1024))


def test_refuses_more_points_than_the_firm_takes_before_decoding(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.PHOTO_MAX_PIXELS = 1_000_000
    data = picture("PNG", size=(1001, 1000))
    monkeypatch.setattr(Image.Image, "thumbnail", lambda *_: pytest.fail("It was decoded."))

    with pytest.raises(NotAPhoto, match="more than 1 million points"):
        read_photo(upload(data))


def test_refuses_a_small_file_that_would_fill_the_memory() -> None:
    bomb = PngImagePlugin.PngInfo()
    out = io.BytesIO()
    Image.new("1", (30_000, 30_000)).save(out, "PNG", pnginfo=bomb)

    with pytest.raises(NotAPhoto):
        read_photo(upload(out.getvalue()))


@pytest.mark.parametrize(
    "data",
    [
        b"%PDF-1.7\n",
        b"<html><script>alert(1)</script></html>",
        b"GIF89a\x01\x00\x01\x00",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"PK\x03\x04",
    ],
    ids=["PDF", "HTML", "GIF", "SVG", "ZIP"],
)
def test_refuses_what_is_no_photograph_under_a_photographs_name(data: bytes) -> None:
    with pytest.raises(NotAPhoto, match="no photograph that we can read"):
        read_photo(upload(data))


@pytest.mark.parametrize("left_by_others", [False, True])
def test_refuses_half_a_photograph(left_by_others: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", left_by_others)
    data = picture(size=(400, 300))

    with pytest.raises(NotAPhoto, match="broken or incomplete"):
        read_photo(upload(data[: len(data) // 2]))


def test_a_page_hidden_behind_a_photograph_is_gone() -> None:
    clean = read_photo(upload(picture() + b"<script>alert(1)</script>"))

    assert b"script" not in clean.jpeg
    assert clean.jpeg.endswith(b"\xff\xd9")


def test_smaller() -> None:
    clean = read_photo(upload(picture(size=(640, 480))))

    assert opened(smaller(clean.jpeg, 320)).size == (320, 240)
