"""Small tables to bring in, and what came of them."""

from django.core.files.base import ContentFile

from customers.actions import importing
from customers.models import ImportRun
from tests.factories import NOON, make_user

HEADINGS = (
    "Name,Phone,Mail,Street,City,State,Fitted,Price,Warranty,Warranty #,Lasts,Mail consent,Notes"
)


def bring_in(*rows: str, headings: str = HEADINGS) -> ImportRun:
    run = loaded(*rows, headings=headings)
    importing.start(run=run, at=NOON)
    importing.advance(run=run, at=NOON)
    run.refresh_from_db()
    return run


def loaded(*rows: str, headings: str = HEADINGS) -> ImportRun:
    text = "\n".join([headings, *rows])
    run = importing.load_table(file=ContentFile(text.encode()), name="homes.csv", by=make_user())
    columns = {**run.columns, "always": {"city": "Mesquite Flat", "region": "AZ"}}
    columns["columns"].setdefault("promise_lasts", ["Lasts"] if "Lasts" in headings else [])
    importing.match_columns(run=run, columns=columns)
    return run


def row(**cells: str) -> str:
    names = HEADINGS.lower().replace(" ", "_").replace("_#", "_number").split(",")
    assert set(cells) <= set(names)
    return ",".join(cells.get(name, "") for name in names)


def reasons(run: ImportRun) -> list[str]:
    return [reason for refused in run.refused.all() for reason in refused.reasons]
