"""The command: a table in, its refused rows out, corrected and sent again."""

import csv
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from customers.models import Consent, Home, ImportRun
from jobs.models import Job
from warranties.models import Promise

HEADINGS = (
    "Customer;Phone;Email;Street;Unit;City;State;Zip;Install date;Price;Warranty #;Email opt-in;"
    "Warranty basis"
)
TABLE = f"""{HEADINGS}
"Ortega, Ana";602-555-0123;ana@example.com;14 Juniper Bend;;Mesquite Flat;AZ;85000;3/14/2024;\
"$3,930.00";W-12;yes;home
Bo Li;602 555 0124 x3;;15 Juniper Bend;Apt 4;Mesquite Flat;AZ;85000;4/2/2024;1200;;no;
;;;16 Juniper Bend;;Mesquite Flat;Arizona;85000;;;;;
Zoë Ñandú;call me;zoe;17 Juniper Bend;;Mesquite Flat;AZ;85000;13/13/2024;abc;;;
"""


@pytest.fixture
def table(tmp_path: Path) -> Path:
    path = tmp_path / "homes.csv"
    path.write_text(TABLE, encoding="utf-8")
    return path


@pytest.mark.django_db
def test_brings_in_homes_jobs_promises_and_consent(table: Path) -> None:
    call_command("import_homes", table, columns=None, verbosity=0)

    home = Home.objects.get(street="14 Juniper Bend")
    household = home.household()
    assert household is not None
    assert (household.name, str(household.phone)) == ("Ana Ortega", "+16025550123")
    job = Job.objects.get(home=home)
    assert (job.stage, job.revenue, str(job.fitted_on)) == ("handed-over", 3930, "2024-03-14")
    assert dict(Consent.objects.values_list("household__name", "given")) == {
        "Ana Ortega": True,
        "Bo Li": False,
    }
    assert list(Home.objects.in_order().values_list("street", "unit")) == [
        ("14 Juniper Bend", ""),
        ("15 Juniper Bend", "Apt 4"),
        ("16 Juniper Bend", ""),
    ]


@pytest.mark.django_db
def test_brings_in_promises_under_their_old_terms(table: Path) -> None:
    call_command("import_homes", table, verbosity=0)

    promise = Promise.objects.get()
    assert (promise.number, promise.basis, promise.terms.version) == ("W-12", "home", 0)
    assert promise.job == Job.objects.get(home=promise.home)
    assert str(promise.starts_on) == "2024-03-14"


@pytest.mark.django_db
def test_refused_rows_come_back_with_all_reasons_and_go_in_corrected(table: Path) -> None:
    call_command("import_homes", table, verbosity=0)
    refused = table.with_name("homes-refused.csv")
    text = refused.read_text(encoding="utf-8-sig")
    headings, row = csv.reader(text.splitlines())

    assert headings[2:] == HEADINGS.split(";")
    assert row[2:5] == ["Zoë Ñandú", "call me", "zoe"]
    for words in ("“call me”", "“zoe”", "“13/13/2024”", "“abc”"):
        assert words in row[0]

    corrected = text.replace("call me", "602-555-0129").replace(",zoe,", ",zoe@example.com,")
    refused.write_text(corrected.replace("13/13/2024", "3/13/2024").replace("abc", "900"))
    call_command("import_homes", refused, verbosity=0)

    assert Home.objects.count() == 4
    assert Job.objects.get(home__street="17 Juniper Bend").revenue == 900


@pytest.mark.django_db
def test_a_dry_run_leaves_nothing(table: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("import_homes", "--dry-run", str(table))

    assert '"street": ["Street"]' in capsys.readouterr().out
    assert not Home.objects.exists()
    assert not ImportRun.objects.exists()


@pytest.mark.django_db
def test_refuses_what_is_no_table(tmp_path: Path) -> None:
    (tmp_path / "t.csv").write_text("")

    with pytest.raises(CommandError, match="empty"):
        call_command("import_homes", tmp_path / "t.csv")
    with pytest.raises(CommandError):
        call_command("import_homes", tmp_path / "nowhere.csv")
    assert not ImportRun.objects.exists()


@pytest.mark.django_db
def test_refuses_columns_that_name_no_address(table: Path) -> None:
    with pytest.raises(CommandError, match="address"):
        call_command("import_homes", table, columns={"columns": {"name": ["Customer"]}})
    with pytest.raises(CommandError, match="no column"):
        call_command("import_homes", table, columns={"columns": {"street": ["Strasse"]}})
