"""A household takes its papers as files, or takes that choice back."""

from datetime import datetime

from django.db import transaction

from customers.models import Household, Paperless
from customers.paperless import statement


@transaction.atomic
def give_paperless(
    *, household: Household, language: str, by: str, shown_how: str, at: datetime
) -> Paperless:
    """Keep the consent with what was told before it and how they showed that they can read it.

    One that stands stays; one under an older statement ends with this.
    """
    Household.objects.select_for_update().get(pk=household.pk)
    if standing := household.paperless.standing().first():
        return standing
    _end(household, how="Told anew, and given anew.", at=at)
    return household.paperless.create(
        language=language,
        statement=statement(language),
        given_at=at,
        given_by=by,
        shown_how=shown_how,
    )


@transaction.atomic
def withdraw_paperless(*, household: Household, how: str, at: datetime) -> None:
    """From now on their papers go by letter. What was given before stays good: 7001(c)(4)."""
    _end(household, how=how, at=at)


def _end(household: Household, *, how: str, at: datetime) -> None:
    for given in household.paperless.filter(withdrawn_at=None):
        given.withdrawn_at, given.withdrawn_how = at, how
        given.save()  # one by one, for its history
