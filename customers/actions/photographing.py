"""Photographs of a home: checked, cleaned, kept once."""

from django.core.files.base import ContentFile
from django.db import transaction

from customers.models import Home, Photo
from shared.models import User
from shared.photos import Upload, read_photo


@transaction.atomic
def add_photo(*, home: Home, upload: Upload, caption: str = "", by: User | None) -> Photo:
    """Keep a photograph of the home; the same one sent twice is kept once.

    Raises shared.photos.NotAPhoto, whose text says why.
    """
    clean = read_photo(upload, zone=home.tz)
    if known := Photo.objects.filter(home=home, sha256=clean.sha256).first():
        return known
    photo = Photo(
        home=home,
        width=clean.width,
        height=clean.height,
        sha256=clean.sha256,
        caption=caption[:200],
        taken_at=clean.taken_at,
        added_by=by,
    )
    photo.image.save("photo.jpg", ContentFile(clean.jpeg), save=False)
    photo.save()
    return photo
