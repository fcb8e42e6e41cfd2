"""Photographs of a home, kept once.

They come here checked and cleaned (shared.photos.read_photo): that takes a second, and a second
within a transaction is one in which nobody else can write to SQLite.
"""

from django.core.files.base import ContentFile
from django.db import transaction

from customers.models import Home, Photo
from shared.models import User
from shared.photos import CleanPhoto


@transaction.atomic
def add_photo(*, home: Home, clean: CleanPhoto, caption: str = "", by: User | None) -> Photo:
    """Keep a photograph of the home; the same one sent twice is kept once."""
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
