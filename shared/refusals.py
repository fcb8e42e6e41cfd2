"""The one base of what actions refuse, so that a view can show any refusal without knowing it."""


class Refused(Exception):
    """An action did nothing. The message says why, in words fit to show a person."""
