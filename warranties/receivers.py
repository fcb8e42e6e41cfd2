"""What warranties does when jobs or customers report something."""


def connect() -> None:
    """Connect the receivers. Called once when Django is ready."""
