"""What each request gets: the language of who signed in, and pages that nobody else keeps."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase
from django.utils import translation


class OwnLanguage:
    """A signed-in person reads their own language, whatever their browser asks for."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if request.user.is_authenticated:
            translation.activate(request.user.language)
        return self.get_response(request)


class PrivatePages:
    """ASVS 5.0 V14.3.2: no-store on whatever a signed-in person gets, unless the view chose."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if request.user.is_authenticated and not response.has_header("Cache-Control"):
            response.headers["Cache-Control"] = "private, no-store"
        return response
