"""Notices added by the database alone, whatever their number."""

from datetime import datetime
from typing import Any

from django.db import connection
from django.db.models import (
    Case,
    CharField,
    DateTimeField,
    Exists,
    F,
    JSONField,
    OuterRef,
    Q,
    QuerySet,
    Value,
    When,
)
from django.db.models.functions import Cast, Concat

from customers.models import Consent
from warranties.models import Notice
from warranties.reaching import CHANNELS


def occasion(*parts: str | F) -> Concat:
    """The name of what a row's notice is about: words as they stand, columns as text."""
    said = (Value(part) if isinstance(part, str) else Cast(part, CharField()) for part in parts)
    return Concat(*said, output_field=CharField())


def untold(rows: QuerySet[Any], *parts: str | F) -> QuerySet[Any]:
    """Those rows whose `occasion`, of these parts, has no notice yet."""
    told = Notice.objects.filter(occasion=OuterRef("occasion"))
    return rows.annotate(occasion=occasion(*parts)).filter(~Exists(told))


def may_mail(household: str = "") -> Any:
    """Whether a household has an address that mail reaches, and wants it. As for channel_of."""
    to = f"{household}__" if household else ""
    wants = Consent.objects.filter(household=OuterRef(f"{to}pk"), channel="mail", given=True)
    reached = ~Q(**{f"{to}mail": ""}) & ~Q(**{f"{to}mail": F(f"{to}mail_failed")})
    return reached & Exists(wants)


def channel_of(household: str = "", *, tried: str = "") -> Case:
    """The first channel of a household's order that may be used, as a database expression.

    The rule is that of warranties/reaching.py, for any number of households in one query.
    None where nothing may be used. `household` leads from a row to it, as "plan__holder"; a
    household's own rows need none. `tried` is the name of a column with the channels that are not
    to be used again.
    """
    to = f"{household}__" if household else ""
    asked = Consent.objects.filter(household=OuterRef(f"{to}pk"))
    has_phone = ~Q(**{f"{to}phone": ""})
    gets_texts = has_phone & ~Q(**{f"{to}phone": F(f"{to}text_failed")})
    may: dict[str, Any] = {
        "mail": may_mail(household),
        "text": gets_texts & Exists(asked.filter(channel="text", given=True)),
        "letter": ~Exists(asked.filter(channel="letter", given=False)),
        "call": has_phone & ~Exists(asked.filter(channel="call", given=False)),
    }
    if tried:
        may = {each: use & ~Q(**{f"{tried}__contains": each}) for each, use in may.items()}
    return Case(
        *(
            When(Q(**{f"{to}channel_order__{place}": channel}) & allowed, then=Value(channel))
            for place in range(CHANNELS)
            for channel, allowed in may.items()
        ),
        default=None,
        output_field=CharField(null=True),
    )


def insert_notices(
    due: QuerySet[Any],
    values: dict[str, Any],
    *,
    household: str,
    send_at: datetime,
    now: datetime,
    tried: str = "",
) -> int:
    """Add a notice for every row of the query; return how many were new. One query.

    The rows have `occasion`; `household` leads to theirs; `values` says what else differs, `tried`
    is as for channel_of. Unless `values` names the channel, a household that lets us use no
    (further) one gets none.
    """
    columns = {
        "household_id": F(f"{household}__pk"),
        "occasion": F("occasion"),
        "channel": F("use"),
        "language": F(f"{household}__language"),
        "lead": Value(0),
        "facts": Value({}, JSONField()),
        "send_at": Value(send_at, DateTimeField()),
        "planned_at": Value(now, DateTimeField()),
        "state": Value("planned"),
        "attempts": Value(0),
        **{name: Value("") for name in ("state_reason", "batch", "answer", "tried", "bounce_said")},
        **values,
    }
    rows = (
        due.annotate(use=channel_of(household, tried=tried))
        .order_by()
        .annotate(**{f"to_{name}": value for name, value in columns.items()})
        .values_list(*(f"to_{name}" for name in columns))
    )
    select, parameters = rows.query.sql_with_params()
    names = ", ".join(connection.ops.quote_name(name) for name in columns)
    table = connection.ops.quote_name(Notice._meta.db_table)  # noqa: SLF001  # documented
    # The channel is chosen within, so that no row asks for it twice.
    told = f"SELECT * FROM ({select}) AS due WHERE to_channel IS NOT NULL"  # noqa: S608  # ours
    insert = f"INSERT INTO {table} ({names}) {told} ON CONFLICT DO NOTHING"
    with connection.cursor() as cursor:
        cursor.execute(insert, parameters)
        return int(cursor.rowcount)
