"""The check plan: a service contract of its own, and the visits that it promises."""

from datetime import date, datetime

from django.db import transaction

from customers.models import Home, Household
from shared.models import Counter
from warranties.actions import terming
from warranties.checkdates import check_dates, ends_on
from warranties.models import Check, CheckPlan


@transaction.atomic
def open_check_plan(
    *, home: Home, holder: Household, shown_at: datetime, at: datetime
) -> CheckPlan:
    """Open the plan with all its visits; where one runs, that one stands."""
    day = at.astimezone(home.tz).date()
    if running := running_plan(home, day):
        return running
    terms = terming.terms_for(paper="checks", language=holder.language, shown_at=shown_at, at=at)
    years = terms.years or 1
    plan = CheckPlan.objects.create(
        number=f"CP-{day.year}-{Counter.objects.take(f'check plans {day.year}'):05}",
        home=home,
        holder=holder,
        terms=terms,
        starts_on=day,
        ends_on=ends_on(day, years),
    )
    Check.objects.bulk_create(
        Check(home=home, plan=plan, kind="both", due_on=due, reason=f"Check plan {plan.number}")
        for due in check_dates(day, years)
    )
    return plan


@transaction.atomic
def end_check_plan(*, plan: CheckPlan, on: date) -> None:
    """End the plan early: visits that are not made and not booked fall away."""
    plan.ended_on = on
    plan.save()
    plan.checks.filter(done_on=None, booking=None, due_on__gte=on).delete()


def running_plan(home: Home, on: date) -> CheckPlan | None:
    """The plan that runs at the home on that day. One query."""
    return home.check_plans.filter(ended_on=None, ends_on__gte=on).first()
