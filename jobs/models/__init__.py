"""Paid work at a home: priced, agreed, booked, fitted, proved, paid for."""

from jobs.models.costs import Cost, Payment
from jobs.models.crew import BookedQuarter, Booking, Crew
from jobs.models.fitting import SEALED, FittedDetail, Proof
from jobs.models.job import Job
from jobs.models.months import MonthSum
from jobs.models.offer import Offer, OfferLine
from jobs.models.papers import AgreedPaper, OfferShown
from jobs.models.prices import Price, PriceBook

__all__ = [
    "SEALED",
    "AgreedPaper",
    "BookedQuarter",
    "Booking",
    "Cost",
    "Crew",
    "FittedDetail",
    "Job",
    "MonthSum",
    "Offer",
    "OfferLine",
    "OfferShown",
    "Payment",
    "Price",
    "PriceBook",
    "Proof",
]
