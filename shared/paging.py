"""Pages that begin after a row instead of after a count, so that the last is as quick as the first.

An address says `?after=1204`: the page behind row 1204, in an order that ends with the key.
"""

from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from django.core.paginator import Paginator
from django.db.models import Model, Q, QuerySet, Subquery

ROWS = 25
COUNTED = 1_000

M = TypeVar("M", bound=Model)


@dataclass(frozen=True)
class Page(Generic[M]):
    """Rows of one page; `before` and `after` are the keys to turn back and on from, or None."""

    rows: list[M]
    before: int | None
    after: int | None

    @property
    def is_whole(self) -> bool:
        """Whether nothing stands before or behind these rows."""
        return self.before is None and self.after is None


def keyset_page(
    queryset: QuerySet[M],
    *,
    order: tuple[str, str],
    after: int | None = None,
    before: int | None = None,
    rows: int = ROWS,
    kept_as: str = "",
) -> Page[M]:
    """Return the page after or before the row of that key. One query.

    `order` names a column and the key, both ascending; an index on them makes it quick. Where it
    names an annotation, `kept_as` is the model's column of the same value. A key that is gone
    gives an empty page.
    """
    back = before is not None and after is None
    start = before if back else after
    column, _key = order
    if start is not None:
        model: type[Any] = queryset.model
        place = Subquery(model.objects.filter(pk=start).values(kept_as or column)[:1])
        queryset = queryset.filter(_beyond(place, column, start, back=back))
    signs = [f"-{name}" for name in order] if back else list(order)
    got = list(queryset.order_by(*signs)[: rows + 1])
    more, shown = len(got) > rows, got[:rows]
    if back:
        shown.reverse()
    if not shown:
        return Page([], None, None)
    return Page(
        shown,
        before=shown[0].pk if (more if back else start is not None) else None,
        after=shown[-1].pk if (back or more) else None,
    )


def _beyond(place: Subquery, column: str, start: int, *, back: bool) -> Q:
    """What stands behind (before) the row. The first term lets the database begin at its place."""
    sign = "lt" if back else "gt"
    return Q(**{f"{column}__{sign}e": place}) & (
        Q(**{f"{column}__{sign}": place}) | Q(**{f"pk__{sign}": start})
    )


def capped_count(queryset: QuerySet[Any], most: int = COUNTED) -> str:
    """Return how many rows there are, counted no further than `most`: "12", "1,000+"."""
    count = queryset.order_by().values("pk")[: most + 1].count()
    return f"{most:,}+" if count > most else f"{count:,}"


@dataclass(frozen=True)
class First(Generic[M]):
    """The first rows of a list that is cut, and how many there are in all: a page says both."""

    rows: list[M]
    count: int

    @property
    def is_cut(self) -> bool:
        return self.count > len(self.rows)


def first_of(queryset: QuerySet[M], rows: int = ROWS) -> First[M]:
    """Return the first rows. One query, and one to count them where there are more."""
    got = list(queryset[: rows + 1])
    return First(got[:rows], queryset.order_by().count() if len(got) > rows else len(got))


class KnownLength(Paginator):
    """A paginator that is told how many rows there are, where counting them would be slow."""

    def __init__(self, *args: Any, length: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.count = length  # else a property that asks the database, kept after the first time
