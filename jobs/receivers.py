"""What jobs does when customers reports something."""


def connect() -> None:
    """Connect the receivers. Called once when Django is ready."""
