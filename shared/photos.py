"""Photographs from strangers' phones, made into plain JPEGs that carry nothing but the picture.

The bytes decide what a file is, never its name or the type that the sender claims. What comes out
is encoded anew, so whatever else the file was (a page, an archive, a script) is gone with its
metadata. Orientation: Exif 2.3 (CIPA DC-008) tag 0x0112; moment of taking: 0x9003 with 0x9011.
"""

import hashlib
import io
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone, tzinfo
from typing import Any, Protocol

import pillow_heif
from django.conf import settings
from django.utils import timezone as django_timezone
from django.utils.translation import gettext as _
from PIL import Image, ImageCms, ImageFile

from shared.refusals import Refused

LONGEST_SIDE = 2000
QUALITY = 85
MEGABYTE = 1024 * 1024
HEIF_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
EXIF_IFD, GPS_IFD = 0x8769, 0x8825
TAKEN, TAKEN_OFFSET = 0x9003, 0x9011
DIGITISED, DIGITISED_OFFSET = 0x9004, 0x9012

# One at a time: a large photograph takes 200 MB while it is decoded, and Python's filter of
# warnings belongs to the whole process.
_decoding = threading.Lock()

pillow_heif.register_heif_opener(thumbnails=False)


class NotAPhoto(Refused):
    """The file cannot be kept as a photograph. The message is fit to show a person."""


class Upload(Protocol):
    @property
    def size(self) -> int | None: ...

    def read(self, size: int = ..., /) -> bytes: ...


@dataclass(frozen=True, slots=True)
class CleanPhoto:
    """`jpeg` stands upright, at most 2000 px a side; `sha256` is of `jpeg`."""

    jpeg: bytes
    width: int
    height: int
    taken_at: datetime | None
    sha256: str


def read_photo(upload: Upload, *, zone: tzinfo | None = None) -> CleanPhoto:
    """Return the photograph, cleaned. `zone` is where the camera's clock ran if it does not say.

    It takes up to some seconds, one photograph after the other: never inside a transaction. Raises
    NotAPhoto for what is too large, broken, or no JPEG, PNG, WebP or HEIF.
    """
    data = _bytes(upload)
    kind = _kind(data)
    with _decoding, _whole_files_only(), warnings.catch_warnings():
        warnings.simplefilter("ignore")  # Pillow warns of odd metadata, which we drop anyway.
        try:
            return _cleaned(data, kind, zone or django_timezone.get_default_timezone())
        except NotAPhoto:
            raise
        except Exception as error:  # Decoders of hostile bytes raise whatever they please.
            raise NotAPhoto(
                _("The photograph is broken or incomplete. Take it again, or send it once more.")
            ) from error


@contextmanager
def _whole_files_only() -> Iterator[None]:
    """Refuse files cut short, whatever other libraries set: WeasyPrint lets them through."""
    before = ImageFile.LOAD_TRUNCATED_IMAGES
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = before


def smaller(jpeg: bytes, width: int) -> bytes:
    """Return one of our own JPEGs at most that wide."""
    with _decoding, Image.open(io.BytesIO(jpeg), formats=["JPEG"]) as image:
        image.thumbnail((width, image.height))
        return _jpeg(image)


def _bytes(upload: Upload) -> bytes:
    limit: int = settings.PHOTO_MAX_BYTES
    data = b"" if (upload.size or 0) > limit else upload.read(limit + 1)
    if (upload.size or 0) > limit or len(data) > limit:
        raise NotAPhoto(
            _("The photograph is larger than {size} MB. Send a smaller one.").format(
                size=limit // MEGABYTE
            )
        )
    if not data:
        raise NotAPhoto(_("The file is empty. Take the photograph again."))
    return data


def _kind(data: bytes) -> str:
    """Return Pillow's name of the format that the first bytes show."""
    if data.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if data.startswith(b"RIFF") and data[8:12] == b"WEBP":
        return "WEBP"
    if data[4:8] == b"ftyp" and data[8:12] in HEIF_BRANDS:
        return "HEIF"
    raise NotAPhoto(
        _("This is no photograph that we can read. Send a JPEG, PNG, WebP or HEIC file.")
    )


def _cleaned(data: bytes, kind: str, zone: tzinfo) -> CleanPhoto:
    with Image.open(io.BytesIO(data), formats=[kind]) as image:
        if image.width * image.height > settings.PHOTO_MAX_PIXELS:
            raise NotAPhoto(
                _(
                    "The photograph has more than {count} million points. Send a smaller one."
                ).format(count=settings.PHOTO_MAX_PIXELS // 10**6)
            )
        exif = _exif(image)
        place = _place(exif) if settings.FIRM_KEEPS_PHOTO_PLACE else None
        image.thumbnail((LONGEST_SIDE, LONGEST_SIDE))  # Before turning: less to hold in memory.
        upright = _plain(_upright(image, exif))
        jpeg = _jpeg(upright, place)
    return CleanPhoto(
        jpeg, upright.width, upright.height, _taken_at(exif, zone), hashlib.sha256(jpeg).hexdigest()
    )


def _exif(image: Image.Image) -> Image.Exif:
    """Return what can be read of the metadata, nothing where none can."""
    try:
        return image.getexif()
    except Exception:  # A broken tag is no reason to refuse a good picture.
        return Image.Exif()


def _upright(image: Image.Image, exif: Image.Exif) -> Image.Image:
    turn = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_270,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_90,
    }.get(exif.get(0x0112, 1))
    return image if turn is None else image.transpose(turn)


def _plain(image: Image.Image) -> Image.Image:
    """Return the picture in sRGB on white, without a profile, transparency or other frames."""
    profile = image.info.get("icc_profile")
    if image.mode == "P" or "transparency" in image.info:
        image = image.convert("RGBA")
    if "A" in image.getbands():
        white = Image.new("RGBA", image.size, "white")
        image = Image.alpha_composite(white, image.convert("RGBA"))
    plain = image.convert("RGB")
    if profile and image.mode in {"RGB", "RGBA"}:
        with suppress(Exception):  # A broken profile: the colours stay as they are.
            ImageCms.profileToProfile(
                plain,
                ImageCms.ImageCmsProfile(io.BytesIO(profile)),
                ImageCms.createProfile("sRGB"),
                inPlace=True,
            )
    return plain


def _jpeg(image: Image.Image, exif: Image.Exif | None = None) -> bytes:
    out = io.BytesIO()
    clean = Image.new("RGB", image.size)
    clean.paste(image)  # A new picture: Pillow would carry comments and profiles along.
    extra: dict[str, Any] = {} if exif is None else {"exif": exif}
    clean.save(out, "JPEG", quality=QUALITY, optimize=True, **extra)
    return out.getvalue()


def _place(exif: Image.Exif) -> Image.Exif | None:
    """Return metadata that hold the place and nothing else, None where there is none."""
    with suppress(Exception):
        if gps := dict(exif.get_ifd(GPS_IFD)):
            place = Image.Exif()
            place[GPS_IFD] = gps
            place.tobytes()  # Fails here rather than when the picture is written.
            return place
    return None


def _taken_at(exif: Image.Exif, zone: tzinfo) -> datetime | None:
    with suppress(Exception):
        tags = exif.get_ifd(EXIF_IFD)
        for moment, offset in ((TAKEN, TAKEN_OFFSET), (DIGITISED, DIGITISED_OFFSET)):
            if taken := _moment(tags.get(moment), tags.get(offset), zone):
                return taken
    return None


def _moment(text: Any, offset: Any, zone: tzinfo) -> datetime | None:
    """Return a moment of Exif ("2026:03:02 10:11:12", "-07:00"), None for what is none."""
    with suppress(ValueError, TypeError):
        naive = datetime.strptime(str(text).strip("\0 "), "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007
        return naive.replace(tzinfo=_offset(offset) or zone)
    return None


def _offset(text: Any) -> tzinfo | None:
    with suppress(ValueError, TypeError, AttributeError):
        hours, minutes = text.strip("\0 ").split(":")
        sign = -1 if hours.startswith("-") else 1
        return timezone(timedelta(hours=int(hours), minutes=sign * int(minutes)))
    return None
