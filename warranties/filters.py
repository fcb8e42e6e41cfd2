"""Which rows a list shows; the choice lives in the address."""

import django_filters
from django.db.models import Exists, OuterRef, QuerySet

from customers.finding import neighbourhoods
from jobs.models import Crew, Job
from warranties import growth
from warranties.models import Watch


def part_choices() -> list[tuple[str, str]]:
    return [(part, part) for part in neighbourhoods()]


def kind_choices() -> list[tuple[str, str]]:
    return [(name, name) for name in sorted(growth.KINDS)]


class WatchFilter(django_filters.FilterSet):
    neighbourhood = django_filters.ChoiceFilter(
        field_name="plant__home__neighbourhood",
        choices=part_choices,
        label="Neighbourhood",
        empty_label="anywhere",
    )
    kind = django_filters.ChoiceFilter(
        field_name="plant__kind", choices=kind_choices, label="Kind", empty_label="any kind"
    )
    crew = django_filters.ModelChoiceFilter(
        queryset=Crew.objects.order_by("name"),
        method="fitted_by",
        label="Fitted by",
        empty_label="any crew",
    )

    class Meta:
        model = Watch
        fields: list[str] = []

    def fitted_by(self, watches: QuerySet[Watch], _name: str, crew: Crew) -> QuerySet[Watch]:
        """At homes where that crew has worked."""
        jobs = Job.objects.filter(home=OuterRef("plant__home"), crew=crew)
        return watches.filter(Exists(jobs))
