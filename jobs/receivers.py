"""What jobs does when customers reports something, and what it adds to the tray."""

from jobs import tray


def connect() -> None:
    """Connect the receivers. Called once when Django is ready."""
    tray.register(tray.waiting_jobs)
    tray.register(tray.waiting_money)
