"""Promises, their papers, and all that keeps them: checks, readings, notices, callbacks."""

from warranties.models.callback import Callback
from warranties.models.care import Check, Reading
from warranties.models.notice import Notice
from warranties.models.promise import Certificate, Promise, Terms

__all__ = ["Callback", "Certificate", "Check", "Notice", "Promise", "Reading", "Terms"]
