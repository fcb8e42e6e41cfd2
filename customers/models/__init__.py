"""Households, homes and what is known of them."""

from customers.models.finding import FindWord
from customers.models.home import Home, Ownership
from customers.models.household import Consent, Household
from customers.models.importing import ImportRun, RefusedRow
from customers.models.link import HouseholdLink
from customers.models.paperless import Paperless
from customers.models.photo import Photo
from customers.models.plan import Plan, PlanRevision, Plant

__all__ = [
    "Consent",
    "FindWord",
    "Home",
    "Household",
    "HouseholdLink",
    "ImportRun",
    "Ownership",
    "Paperless",
    "Photo",
    "Plan",
    "PlanRevision",
    "Plant",
    "RefusedRow",
]
