"""Which jobs the ledger shows; the choice lives in the address."""

from datetime import date, timedelta
from typing import Any

import django_filters
from django.db.models import QuerySet
from django.utils.timezone import localdate

from jobs.ledger import months_until
from jobs.models import Crew, Job
from jobs.models.job import job_kinds, sources

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

    def without_month(self) -> "LedgerFilter":
        """The same choice in any month, for the picture of the months before."""
        data: dict[str, Any] = {k: v for k, v in self.data.items() if k != "month"}
        return LedgerFilter(data, queryset=self.queryset)

    def last_month(self) -> date:
        """The month chosen, else this one."""
        chosen = self.form.cleaned_data.get("month") if self.form.is_valid() else ""
        return date.fromisoformat(f"{chosen}-01") if chosen else localdate()
