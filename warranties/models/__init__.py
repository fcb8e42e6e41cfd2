"""Promises, their papers, and all that keeps them: checks, readings, notices, callbacks."""

from warranties.models.announced import Announced
from warranties.models.callback import SEAL_CAUSES, Callback
from warranties.models.care import Check, CheckPlan, Reading
from warranties.models.certificate import Certificate
from warranties.models.incoming import IncomingText
from warranties.models.notice import Notice
from warranties.models.promise import Promise, PromiseChange
from warranties.models.seal import Recall, SealCount
from warranties.models.terms import Terms
from warranties.models.transfer import Transfer, TransferVoice
from warranties.models.watch import Watch
from warranties.models.words import NoticeWords

__all__ = [
    "SEAL_CAUSES",
    "Announced",
    "Callback",
    "Certificate",
    "Check",
    "CheckPlan",
    "IncomingText",
    "Notice",
    "NoticeWords",
    "Promise",
    "PromiseChange",
    "Reading",
    "Recall",
    "SealCount",
    "Terms",
    "Transfer",
    "TransferVoice",
    "Watch",
]
