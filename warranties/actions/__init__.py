"""Every change that warranties makes to more than one row or to the outside world."""

from warranties.actions import promising

__all__ = ["promising"]
