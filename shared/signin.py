"""How staff sign in: allauth with our rule that nobody signs themselves up."""

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.auth_backends import AuthenticationBackend
from allauth.account.forms import default_token_generator
from allauth.account.internal.flows.password_reset import request_password_reset
from django.conf import settings
from django.contrib.auth.models import Permission
from django.db.models import QuerySet
from django.http import HttpRequest

from shared.models import User


class StaffBackend(AuthenticationBackend):
    """Permissions come from roles alone, so that a page asks the database once for them."""

    def _get_user_permissions(self, user_obj: User) -> QuerySet[Permission]:  # noqa: ARG002  # allauth's
        return Permission.objects.none()


class StaffAdapter(DefaultAccountAdapter):
    def is_open_for_signup(self, request: HttpRequest) -> bool:  # noqa: ARG002  # allauth's
        """The owner makes accounts; a stranger cannot."""
        return False


def invite(request: HttpRequest, user: User) -> None:
    """Mail somebody new a link, used once, by which they choose their own password."""
    request_password_reset(request, user.email, [user], default_token_generator)


def name_tried(request: HttpRequest, credentials: dict[str, str] | None = None) -> str:
    """The sign-in name or mail that somebody tries, for django-axes to count."""
    tried = credentials or {}
    return (tried.get("username") or tried.get("email") or request.POST.get("login", "")).lower()


def client_ip(request: HttpRequest) -> str:
    """The sender's address: the connection's own, or what our outermost proxy says of it."""
    proxies: int = settings.ALLAUTH_TRUSTED_PROXY_COUNT
    told = [each.strip() for each in request.headers.get("X-Forwarded-For", "").split(",")]
    if proxies and len(told) >= proxies and told[-proxies]:
        return told[-proxies]
    return str(request.META.get("REMOTE_ADDR", ""))
