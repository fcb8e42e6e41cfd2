"""Notices planned on sets in the database, handed to workers, written and posted.

A notice is a row before it is a mail (an outbox): the broker may be thrown away at any time.
"""

from warranties.notices.handing import send_due
from warranties.notices.planning import plan_notices

__all__ = ["plan_notices", "send_due"]
