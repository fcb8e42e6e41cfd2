"""How staff sign in: allauth with our rule that nobody signs themselves up."""

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.forms import default_token_generator
from allauth.account.internal.flows.password_reset import request_password_reset
from django.http import HttpRequest

from shared.models import User


class StaffAdapter(DefaultAccountAdapter):
    def is_open_for_signup(self, request: HttpRequest) -> bool:  # noqa: ARG002
        """The owner makes accounts; a stranger cannot."""
        return False


def invite(request: HttpRequest, user: User) -> None:
    """Mail somebody new a link, used once, by which they choose their own password."""
    request_password_reset(request, user.email, [user], default_token_generator)
