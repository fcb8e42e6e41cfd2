"""How staff sign in: allauth with our rule that nobody signs themselves up."""

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class StaffAdapter(DefaultAccountAdapter):
    def is_open_for_signup(self, request: HttpRequest) -> bool:  # noqa: ARG002
        """The owner makes accounts; a stranger cannot."""
        return False
