import pytest
from django.core.management import CommandError, call_command

from customers.finding import homes_found
from customers.models import Home
from jobs.actions.recounting import drift
from jobs.models import Cost, FittedDetail, Job
from tests.factories import make_home
from warranties.models import Callback, Promise


@pytest.mark.parametrize("used", [0, 15])
def test_fills_an_empty_database_with_homes_their_jobs_and_promises(db: None, used: int) -> None:
    """Alike, however many keys were used up before."""
    if used:
        Home.objects.create(pk=used, street="1 Gone Road", city="Mesquite Flat").delete()

    call_command("make_homes", "45", verbosity=0)

    assert Home.objects.count() == Job.objects.count() == Promise.objects.count() == 45
    job = Job.objects.exclude(promise_cost=0)[0]
    assert job.revenue > 0
    assert sum(cost.amount for cost in job.costs.all()) == (
        job.materials + job.labour + job.promise_cost
    )
    assert list(homes_found(job.number)) == [job.home]
    assert list(homes_found(job.promise.number)) == [job.home]
    assert Cost.objects.filter(amount__lte=0).count() == 0
    assert drift() == []
    assert FittedDetail.objects.count() == 45 * 6
    opened = Callback.objects.exclude(detail=None).values_list("detail__exposure", flat=True)
    assert list(opened) == ["east"]


def test_refuses_a_database_that_has_homes(db: None) -> None:
    make_home()

    with pytest.raises(CommandError, match="has homes"):
        call_command("make_homes", "1")
