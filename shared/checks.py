"""Settings that are unsafe outside a developer's own machine stop the start."""

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, register

LEAST_SECRET = 50  # characters, as Django's own deployment check asks


@register()
def safe_settings(**_: Any) -> list[CheckMessage]:
    if settings.DEBUG or settings.LOCAL:
        return []
    refusals = {
        "ringkeep.E001": (not settings.HTTPS, "BASE_URL must begin with https://."),
        "ringkeep.E002": (
            not settings.SECRET_KEY_GIVEN or len(settings.SECRET_KEY) < LEAST_SECRET,
            f"Set SECRET_KEY to at least {LEAST_SECRET} random characters.",
        ),
        "ringkeep.E003": ("*" in settings.ALLOWED_HOSTS, "ALLOWED_HOSTS must name hosts, not *."),
        "ringkeep.E004": (
            settings.BASE_HOST not in settings.ALLOWED_HOSTS,
            "ALLOWED_HOSTS must hold the host of BASE_URL.",
        ),
    }
    return [Error(text, id=code) for code, (bad, text) in refusals.items() if bad]
