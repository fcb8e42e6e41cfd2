"""Every change that warranties makes to more than one row or to the outside world."""

from warranties.actions import answering, noticing, promising, watching

__all__ = ["answering", "noticing", "promising", "watching"]
