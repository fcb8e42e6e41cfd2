"""Say of each fitted detail which way its wall faces, from the plan that stands at its home.

A batch of homes is one transaction. Whatever stops it, it begins again and finds the same.
"""

from collections.abc import Sequence
from typing import Any

from django.db import migrations, transaction

from customers.plan.document import PlanDocument, UnreadablePlan
from jobs.asfitted import exposures_in

HOMES = 500
NEWEST_FIRST = ("today", "fitted", "surveyed")


def fill(apps: Any, schema_editor: Any) -> None:
    details = apps.get_model("jobs", "FittedDetail").objects
    homes = list(details.values_list("job__home", flat=True).order_by("job__home").distinct())
    for start in range(0, len(homes), HOMES):
        with transaction.atomic(using=schema_editor.connection.alias):
            _fill_homes(apps, homes[start : start + HOMES])


def _fill_homes(apps: Any, homes: Sequence[int]) -> None:
    details = apps.get_model("jobs", "FittedDetail").objects
    plans = _plans(apps, homes)
    told = []
    for detail in details.filter(job__home__in=homes).select_related("job"):
        plan = plans.get(detail.job.home_id)
        detail.exposure = plan(detail.mark) if plan else ""
        if detail.exposure:
            told.append(detail)
    details.bulk_update(told, ["exposure"], batch_size=HOMES)


def _plans(apps: Any, homes: Sequence[int]) -> dict[int, Any]:
    """Return of each home what tells the exposure of a place by the plan that stands there."""
    found = {}
    kept = apps.get_model("customers", "Plan").objects.filter(home__in=homes)
    for plan in sorted(kept, key=lambda each: NEWEST_FIRST.index(each.stage)):
        if not plan.document or plan.home_id in found:
            continue
        try:
            found[plan.home_id] = exposures_in(PlanDocument.from_json(plan.document))
        except UnreadablePlan:
            continue
    return found


class Migration(migrations.Migration):
    atomic = False

    dependencies = [("jobs", "0003_detail_exposure"), ("customers", "0002_initial")]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop, elidable=True)]
