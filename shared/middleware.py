"""Pages made for one person are kept neither by caches on the way nor by the browser."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase


class PrivatePages:
    """ASVS 5.0 V14.3.2: no-store on whatever a signed-in person gets, unless the view chose."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if request.user.is_authenticated and not response.has_header("Cache-Control"):
            response.headers["Cache-Control"] = "private, no-store"
        return response
