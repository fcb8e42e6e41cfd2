"""The kept sums of money against the rows that they are sums of."""

from django.db import transaction

from jobs.ledger import differences
from jobs.models import Job, MonthSum


def drift() -> list[str]:
    """Say each job and month whose kept money is not the sum of its rows; none when all is well."""
    jobs = [
        f"job {number}: its money is not the sum of its offer and costs"
        for number in Job.objects.miscounted().order_by("number").values_list("number", flat=True)
    ]
    months = differences(MonthSum.objects.kept(), Job.objects.all().month_sums())
    return jobs + [
        f"{cell.month:%B %Y}, {cell.kind}, {cell.source}, crew {cell.crew or 'none'}: "
        f"{more.jobs:+} jobs, revenue {more.earned.revenue:+,.2f}, cost {more.earned.cost:+,.2f}"
        for cell, more in months.items()
    ]


@transaction.atomic
def recount_all() -> list[str]:
    """Set all kept sums anew; return what was off. Holds every job until it is done."""
    list(Job.objects.select_for_update().order_by("pk").values_list("pk"))
    found = drift()
    if found:
        Job.objects.all().recount()
        MonthSum.objects.move(MonthSum.objects.kept(), Job.objects.all().month_sums())
    return found
