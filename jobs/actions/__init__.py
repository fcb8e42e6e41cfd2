"""What can be done to jobs, one file a subject; every refusal is fit to show a person."""


class Refused(Exception):
    """The base of refusals, so that a view can show any of them."""
