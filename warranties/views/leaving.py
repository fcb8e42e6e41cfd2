"""One-click unsubscribe: RFC 8058, ../shared/standards/law.md 5.4."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.timezone import now
from django.utils.translation import override
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from customers.links import GUESSES_AN_HOUR, bad_tokens, count_bad_token
from customers.views.links import TOO_MANY, no_entry
from shared.signin import client_ip
from warranties.actions import answering
from warranties.notices.leaving import notice_of

ONE_CLICK = ("List-Unsubscribe", "One-Click")


@csrf_exempt  # Mail programs post here without a cookie; the token is the proof.
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def unsubscribe(request: HttpRequest, token: str) -> HttpResponse:
    """A GET shows the page and changes nothing; a POST leaves at once and never redirects.

    Guesses are counted, but a good token always opens: large mail services send from few addresses.
    """
    notice = notice_of(token)
    if notice is None:
        return _guessed(request)
    left = False
    if request.method == "POST":
        name, value = ONE_CLICK
        if request.POST.get(name) != value:
            return no_entry(request, "Use the button on the page behind this link.", 400)
        answering.leave_channel(notice=notice, at=now())
        left = True
    language = notice.household.language
    page = {"left": left, "household": notice.household, "LANGUAGE_CODE": language}
    with override(language):
        return render(request, "warranties/unsubscribe.html", page)


def _guessed(request: HttpRequest) -> HttpResponse:
    address = client_ip(request)
    if bad_tokens(address) >= GUESSES_AN_HOUR:
        return no_entry(request, "Too many links that do not open. Wait an hour.", TOO_MANY)
    count_bad_token(address)
    return no_entry(request, "This link is not complete. Call us, and we do it for you.", 404)
