"""Why a file, a row or a cell cannot be taken. The messages are fit to show a person."""


class NotATable(Exception):
    """The file as a whole cannot be read."""


class Unreadable(ValueError):
    """One cell cannot be read as what its column is said to hold."""
