"""The request as our views see it, so that types know what decorators and middleware did."""

from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails

from shared.models import User


class StaffRequest(HttpRequest):
    user: User
    htmx: HtmxDetails
