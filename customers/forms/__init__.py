"""What is entered about households, homes and plans, one file a subject."""

from customers.forms.homes import (
    ColumnsForm,
    ConsentForm,
    FindForm,
    HomeForm,
    HouseholdForm,
    LinkForm,
    OwnerForm,
    TableForm,
)

__all__ = [
    "ColumnsForm",
    "ConsentForm",
    "FindForm",
    "HomeForm",
    "HouseholdForm",
    "LinkForm",
    "OwnerForm",
    "TableForm",
]
