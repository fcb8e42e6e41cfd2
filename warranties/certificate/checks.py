"""The paper of a check plan: a service contract, apart from the warranty."""

from datetime import UTC, datetime, time
from typing import Any

from django.utils.translation import override

from warranties.certificate.paper import common_page, day_text, paper_html, print_paper
from warranties.certificate.record import firm_record, terms_record
from warranties.models import CheckPlan
from warranties.wording import words

SCHEMA = "ringkeep-check-plan/1"


def print_check_plan(plan: CheckPlan) -> bytes:
    """Return the plan's PDF as it stands today: visits, days, end."""
    record = check_plan_record(plan)
    says = words(record["language"])
    visits = [
        {
            "what": says[f"kind-{visit['kind']}"],
            "due": day_text(visit["due_on"], record["language"]),
        }
        for visit in record["visits"]
    ]
    with override(record["language"]):
        ends = says["ends"].format(day=day_text(record["ends_on"], record["language"]))
    page = {
        **common_page(record, says),
        "called": says["plan-title"],
        "lasts": says["plan_contract"],
        "visits": visits,
        "ends": ends,
    }
    return print_paper(record, paper_html(record, "warranties/check_plan.pdf.html", page))


def check_plan_record(plan: CheckPlan) -> dict[str, Any]:
    """Return what the paper says. Four queries."""
    made = datetime.combine(plan.starts_on, time(12), UTC)
    return {
        "schema": SCHEMA,
        "number": plan.number,
        "language": plan.terms.language,
        "issued_at": made.isoformat(),
        "issued_on": plan.starts_on.isoformat(),
        "firm": firm_record(),
        "home": {"lines": plan.home.address_lines, "country": plan.home.country},
        "holder": plan.holder.name,
        "starts_on": plan.starts_on.isoformat(),
        "ends_on": (plan.ended_on or plan.ends_on).isoformat(),
        "visits": [
            {"kind": check.kind, "due_on": check.due_on.isoformat()} for check in plan.checks.all()
        ],
        "terms": terms_record(plan.terms, plan.home),
    }
