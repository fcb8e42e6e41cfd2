"""Photographs, served to the firm's people only."""

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from customers.models import Photo
from shared.photos import smaller
from shared.requests import StaffRequest
from shared.roles import allowed

WIDTHS = (160, 320, 640, 1280)


@allowed("see_homes")
@require_GET
def photo(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The photograph, or with ?width=320 a smaller one."""
    kept = get_object_or_404(Photo, pk=pk)
    name = kept.image.name if "width" not in request.GET else _thumbnail(kept, request.GET["width"])
    if not name or not default_storage.exists(name):
        raise Http404
    response = FileResponse(default_storage.open(name), content_type="image/jpeg")
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, max-age=86400"
    return response


def _thumbnail(kept: Photo, width: str) -> str:
    """Return the name of the smaller file, made when it is first asked for."""
    if not width.isascii() or not width.isdigit() or int(width) not in WIDTHS:
        raise Http404
    name = kept.image.name or ""
    if int(width) >= kept.width:
        return name
    name = f"{name.removesuffix('.jpg')}-{int(width)}.jpg"
    if not default_storage.exists(name):
        with kept.image.open() as file:
            name = default_storage.save(name, ContentFile(smaller(file.read(), int(width))))
    return name
