"""The price book of a new date, begun as a copy of the last one."""

from datetime import date

from django.db import IntegrityError, transaction

from jobs.models import Price, PriceBook
from shared.refusals import Refused


class NotABook(Refused):
    """No book can begin like this."""


@transaction.atomic
def copy_book(*, name: str, valid_from: date) -> PriceBook:
    """Make a book that begins as a copy of the one in force before; empty where there is none."""
    last = PriceBook.objects.in_force(valid_from)
    book = PriceBook(name=name, valid_from=valid_from)
    if last:
        book.minimum, book.tax_rate = last.minimum, last.tax_rate
        book.deposit_share = last.deposit_share
    try:
        with transaction.atomic():
            book.save()
    except IntegrityError as error:
        raise NotABook(f"A price book begins on {valid_from:%-d %B %Y} already.") from error
    for price in last.prices.all() if last else []:
        Price.objects.create(
            book=book,
            code=price.code,
            text=price.text,
            text_es=price.text_es,
            unit=price.unit,
            price=price.price,
            cost=price.cost,
        )
    return book
