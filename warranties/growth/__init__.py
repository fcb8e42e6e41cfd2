"""When a plant will touch: the date by which contact has a given chance.

Definition. A plant grows towards the wall at its own rate, in millimetres of a growing year. The
season says how much of a growing year lies between two days. What is known of the rate starts as
the prior of the plant's kind and is updated by every reading, as a normal distribution; the
clearance on a day, and with it the chance that the plant touches by then, follows.

Sources: ../shared/standards/engineering.md section 4 for rates and seasons; conjugate normal
updating as in ../shared/standards/statistics.md section 5.
"""

from warranties.growth.contact import (
    Plants,
    chance_by,
    chance_of_contact,
    clearance_on,
    contact_date,
    contact_on,
    forecast,
    interval,
    interval_of,
)
from warranties.growth.kinds import KINDS, SCALES, USDA_MEAN_IN, Kind, classes_of, usda_range_in
from warranties.growth.prior import Prior, prior_of_class, prior_of_kind, prior_of_range
from warranties.growth.rate import Estimate, OddReading, Reading, check_reading, learn
from warranties.growth.season import Season, active_months, degree_days
from warranties.growth.spanish import oracion
from warranties.growth.words import Outlook, outlook, sentence

__all__ = [
    "KINDS",
    "SCALES",
    "USDA_MEAN_IN",
    "Estimate",
    "Kind",
    "OddReading",
    "Outlook",
    "Plants",
    "Prior",
    "Reading",
    "Season",
    "active_months",
    "chance_by",
    "chance_of_contact",
    "check_reading",
    "classes_of",
    "clearance_on",
    "contact_date",
    "contact_on",
    "degree_days",
    "forecast",
    "interval",
    "interval_of",
    "learn",
    "oracion",
    "outlook",
    "prior_of_class",
    "prior_of_kind",
    "prior_of_range",
    "sentence",
    "usda_range_in",
]
