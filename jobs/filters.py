"""Which jobs the ledger shows; the choice lives in the address."""

from datetime import date, timedelta
from typing import Any

import django_filters
from django.db.models import QuerySet
from django.utils.timezone import localdate

from jobs.ledger import months_until
from jobs.models import Crew, Job, MonthSum
from jobs.models.job import job_kinds, sources
from jobs.models.months import MonthSumQuerySet

MONTHS_SHOWN = 60


def month_choices() -> list[tuple[str, str]]:
    """The months to choose from, newest first."""
    months = reversed(months_until(localdate(), MONTHS_SHOWN))
    return [(f"{month:%Y-%m}", f"{month:%B %Y}") for month in months]


def next_month(first: date) -> date:
    return (first + timedelta(days=31)).replace(day=1)


class LedgerFilter(django_filters.FilterSet):
    month = django_filters.ChoiceFilter(
        choices=month_choices, method="in_month", label="Fitted in", empty_label="any month"
    )
    crew = django_filters.ModelChoiceFilter(
        queryset=Crew.objects.order_by("name"), label="Crew", empty_label="any crew"
    )
    source = django_filters.ChoiceFilter(choices=sources, label="Source", empty_label="any source")
    kind = django_filters.ChoiceFilter(choices=job_kinds, label="Job kind", empty_label="any kind")

    class Meta:
        model = Job
        fields: list[str] = []

    def in_month(self, jobs: QuerySet[Job], _name: str, month: str) -> QuerySet[Job]:
        first = date.fromisoformat(f"{month}-01")
        return jobs.filter(fitted_on__gte=first, fitted_on__lt=next_month(first))

    def sums(self) -> MonthSumQuerySet:
        """The kept sums of the same choice."""
        months = self.sums_of_any_month()
        chosen = self._chosen().get("month")
        return months.filter(month=f"{chosen}-01") if chosen else months

    def sums_of_any_month(self) -> MonthSumQuerySet:
        """Those of the same choice in any month, for the picture of the months before."""
        choice = {k: v for k, v in self._chosen().items() if v and k != "month"}
        return MonthSum.objects.filter(**choice)

    def last_month(self) -> date:
        """The month chosen, else this one."""
        chosen = self._chosen().get("month")
        return date.fromisoformat(f"{chosen}-01") if chosen else localdate()

    def _chosen(self) -> dict[str, Any]:
        """What was chosen and could be read."""
        self.form.is_valid()
        return self.form.cleaned_data
