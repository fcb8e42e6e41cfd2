"""What every template may show: the firm."""

from django.http import HttpRequest

from shared.firm import Firm, the_firm


def firm(request: HttpRequest) -> dict[str, Firm]:  # noqa: ARG001  # Django's
    return {"firm": the_firm()}
