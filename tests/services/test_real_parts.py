"""The real servers take our settings: tables on PostgreSQL, a mail by SMTP."""

import pytest

from tests.services.app import App
from tests.services.servers import MailServer

pytestmark = [pytest.mark.services, pytest.mark.xdist_group("services")]

SEND = """
from django.core.mail import send_mail
send_mail("Your certificate", "¡Hola! It is ready.", None, ["household@example.com"])
"""


def test_the_tables_stand_on_postgresql(app: App) -> None:
    code = (
        "from django.db import connection as c; print(c.vendor, len(c.introspection.table_names()))"
    )

    vendor, tables = app.python(code).split()

    assert vendor == "postgresql"
    assert int(tables) > 50


def test_a_mail_arrives_by_smtp(app: App, mails: MailServer) -> None:
    app.python(SEND)

    (message,) = mails.wait_for(1)
    assert message["To"] == "household@example.com"
    assert "¡Hola!" in message.get_content()
