"""Lists of homes."""

from functools import lru_cache
from typing import Any

import django_tables2
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _
from phonenumber_field.phonenumber import PhoneNumber

from shared.tables import Table

WIDE = {"cell": {"class": "wide"}}  # left out on a telephone


class HomeTable(Table):
    """Homes from HomeQuerySet.with_household, by street: the order is the pages' own."""

    street = django_tables2.Column(_("Home"), orderable=False)
    city = django_tables2.Column(_("Town"), orderable=False, attrs=WIDE)
    neighbourhood = django_tables2.Column(_("Neighbourhood"), orderable=False, attrs=WIDE)
    holder_name = django_tables2.Column(_("Household"), orderable=False)
    holder_phone = django_tables2.Column(_("Telephone"), orderable=False)

    class Meta:
        caption = _("Homes by street")

    def render_street(self, record: Any) -> SafeString:
        unit = f", {record.unit}" if record.unit else ""
        address = record.get_absolute_url()
        return format_html('<a href="{}">{}{}</a>', address, record.street, unit)

    def render_holder_phone(self, value: Any) -> str:
        return national(str(value))


@lru_cache(maxsize=4_096)
def national(e164: str) -> str:
    """Return a telephone number as people here write it."""
    return PhoneNumber.from_string(e164).as_national
