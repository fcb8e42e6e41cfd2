"""Tables drawn quickly: django-tables2 keeps columns, order, pages and export; cells are ours.

django-tables2 looks at every render function and attribute anew for every cell, which costs most
of a list page (measured: 24 of 29 ms for 25 rows). Here that is settled once a column.
"""

from collections.abc import Callable, Iterator
from datetime import date, datetime
from decimal import Decimal
from functools import lru_cache
from html import escape
from inspect import signature
from operator import attrgetter
from typing import Any

import django_tables2
from django.utils import timezone
from django.utils.formats import date_format, localize
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

Maker = Callable[[Any], str]


class Table(django_tables2.Table):
    """Base of all tables. Set Meta.caption; a column's class goes in attrs={"cell": {"class": …}}.

    render_<column> may ask for value, record, column, bound_column, bound_row (None) and table;
    row_class(record) names a row's class. linkify=True links a cell to its value's page, else to
    the row's; nothing finer of it is heeded. Values without a render function: dates written out,
    numbers as the language writes them, all else as text, escaped. With Meta.folds each row of a
    narrow screen is a block of lines, each with its column's heading: for tables of many columns.
    """

    class Meta:
        template_name = "shared/table.html"
        caption = ""
        folds = False

    @property
    def caption(self) -> str:
        return str(getattr(self.Meta, "caption", ""))

    @property
    def folds(self) -> bool:
        return bool(getattr(self.Meta, "folds", False))

    def row_class(self, record: Any) -> str:  # noqa: ARG002  # for tables that tell rows apart
        return ""

    @property
    def heads(self) -> Iterator[dict[str, Any]]:
        """What the heading of each visible column shows, its order and where to change it."""
        for column in self.columns:
            alias = column.order_by_alias
            order = ""
            if column.is_ordered:
                order = "descending" if alias.is_descending else "ascending"
            yield {
                "text": column.header,
                "class": _class_of(column),
                "order": order,
                "by": str(alias.next) if column.orderable else "",
            }

    @property
    def body(self) -> SafeString:
        """The rows of this page as HTML."""
        makers = [self._maker(column) for column in self.columns]
        rows = self.paginated_rows
        return mark_safe(  # noqa: S308  # every cell was escaped by its maker
            "".join(self._row(row.record, makers) for row in rows)
        )

    def _row(self, record: Any, makers: list[Maker]) -> str:
        name = self.row_class(record)
        start = format_html('<tr class="{}">', name) if name else "<tr>"
        return f"{start}{''.join([make(record) for make in makers])}</tr>\n"

    @property
    def foot(self) -> Iterator[dict[str, Any]]:
        for column in self.columns:
            yield {"text": column.footer, "class": _class_of(column), "head": column.header}

    def _maker(self, bound: Any) -> Maker:
        """Return the function that makes one column's cell from a record."""
        value_of = _value_of(bound)
        render = self._render(bound)
        start = self._start(bound)
        empty = conditional_escape("" if bound.default is None else bound.default)
        nothing = bound.column.empty_values
        links = bound.link is not None

        def make(record: Any) -> str:
            value = value_of(record)
            if value in nothing:
                return f"{start}{empty}</td>"
            text = _escaped(render(value, record))
            if links:
                text = _linked(text, value, record)
            return f"{start}{text}</td>"

        return make

    def _start(self, bound: Any) -> SafeString:
        """Return how the column's cells begin."""
        name = _class_of(bound)
        classed = format_html(' class="{}"', name) if name else ""
        headed = format_html(' data-head="{}"', bound.header) if self.folds else ""
        return format_html("<td{}{}>", classed, headed)

    def _render(self, bound: Any) -> Callable[[Any, Any], Any]:
        """Return how the column writes a value, its wishes for arguments looked at once."""
        own = getattr(self, f"render_{bound.name}", None)
        if own is None and type(bound.column).render is django_tables2.Column.render:
            return lambda value, _record: written(value)
        render = own or bound.column.render
        fixed = {"column": bound.column, "bound_column": bound, "bound_row": None, "table": self}
        asked = set(signature(render).parameters)
        given = {name: value for name, value in fixed.items() if name in asked}
        wants_value, wants_record = "value" in asked, "record" in asked

        def call(value: Any, record: Any) -> Any:
            arguments = dict(given)
            if wants_value:
                arguments["value"] = value
            if wants_record:
                arguments["record"] = record
            return render(**arguments)

        return call


def _linked(text: str, value: Any, record: Any) -> str:
    """Return the text as a link to the page of the value, else to that of the row."""
    target = value if hasattr(value, "get_absolute_url") else record
    return f'<a href="{escape(target.get_absolute_url())}">{text}</a>'


def _escaped(text: Any) -> str:
    """As conditional_escape, without its looks for lazy words: most of a cell's time."""
    return str(text) if hasattr(text, "__html__") else escape(str(text))


@lru_cache(maxsize=2_000)
def _date_written(day: date, language: str) -> str:  # noqa: ARG001  # pages write few days, often
    return date_format(day, "DATE_FORMAT")


def _class_of(bound: Any) -> str:
    attrs = bound.column.attrs
    return str((attrs.get("td") or attrs.get("cell") or {}).get("class", ""))


def _value_of(bound: Any) -> Callable[[Any], Any]:
    """Return a function from record to value; None where the way to it breaks off."""
    accessor = bound.accessor
    attribute = attrgetter(str(accessor).replace("__", "."))

    def value_of(record: Any) -> Any:
        if isinstance(record, dict):
            return accessor.resolve(record, quiet=True)
        try:
            value = attribute(record)
        except (AttributeError, ValueError):
            return accessor.resolve(record, quiet=True)
        return value() if callable(value) else value

    return value_of


def written(value: Any) -> str:
    """Return a value as text: a date written out, numbers as the language writes them."""
    if isinstance(value, str):
        return value
    if isinstance(value, datetime):
        return date_format(timezone.localtime(value), "DATETIME_FORMAT")
    if isinstance(value, date):
        return _date_written(value, get_language() or "")
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        return localize(value, use_l10n=True)
    return str(value)
