"""A home with a proved job, its promise and its printed certificate."""

from typing import Any

from customers.links import link_address
from customers.models import Household
from jobs.models import FittedDetail, Job, Proof
from tests.customers.plan.houses import feature, house
from tests.factories import NOON, make_home, make_household, make_job, make_user
from warranties.actions import promising
from warranties.models import Certificate, Promise, Transfer

AS_FITTED = house(feature("pipe-1", "pipe", leg="leg-2", name="gas riser")).to_json()
FITTED = (
    ("leg-1", "strip-glass", "leg 1, front"),
    ("leg-2", "strip-glass", "leg 2, east"),
    ("pipe-1", "collar", "gas riser at leg 2"),
    ("column-1", "column-head-band", "porch column, left"),
)


def make_proved_job(*, job: Job | None = None, **fields: Any) -> tuple[Job, Proof]:
    job = job or make_job(stage="proved", fitted_on=NOON.date())
    for mark, code, place in FITTED:
        FittedDetail.objects.create(job=job, mark=mark, code=code, place=place, fitted_at=NOON)
    proof = Proof.objects.create(
        job=job,
        proved_at=NOON,
        proved_by=make_user(role="tech", first_name="Rosa", last_name="Quintero"),
        **{
            "exceptions": "The gas meter at leg 2: nothing may be fixed to it.",
            "plan": AS_FITTED,
            **fields,
        },
    )
    return job, proof


def make_open_promise(
    *, language: str = "en", name: str = "Łukasz Șerban", street: str = "14 Juniper Bend"
) -> Promise:
    household = make_household(language=language, name=name)
    home = make_home(household=household, street=street)
    home.plants.create(mark="plant-1", name="star jasmine", kind="jasmine", place="on the wall")
    job, proof = make_proved_job(job=make_job(home=home, stage="proved"))
    promise = promising.open_promise(job=job, proof=proof, at=NOON)
    assert promise is not None
    return promise


def make_certificate(**fields: Any) -> Certificate:
    """An issued, printed and kept certificate."""
    certificate = promising.issue_certificate(promise=make_open_promise(**fields), at=NOON)
    return promising.print_out(certificate=certificate)


def pdf_of(certificate: Certificate) -> bytes:
    with certificate.file.open() as file:
        return bytes(file.read())


def address_of(transfer: Transfer, household: Household) -> str:
    """Where a household says yes to a transfer."""
    link = transfer.voice_of(household).link
    assert link is not None
    return link_address(link)
