"""What holds for every request, whatever its view."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBadRequest, HttpResponseBase
from django.utils import translation


class NoNullCharacters:
    """Refuse addresses with a null character: PostgreSQL cannot even be asked for such a text."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if "\0" in request.path_info or "%00" in request.META.get("QUERY_STRING", ""):
            return HttpResponseBadRequest("This address is not complete.\n", "text/plain")
        return self.get_response(request)


class OwnLanguage:
    """A signed-in person reads their own language, whatever their browser asks for."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if request.user.is_authenticated:
            translation.activate(request.user.language)
        return self.get_response(request)


class PrivatePages:
    """Kept neither by caches on the way nor by the browser.

    ASVS 5.0 V14.3.2: no-store on whatever a signed-in person gets, unless the view chose.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if request.user.is_authenticated and not response.has_header("Cache-Control"):
            response.headers["Cache-Control"] = "private, no-store"
        return response
