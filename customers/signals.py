"""What customers reports; apps above receive it."""

from django.dispatch import Signal

# Sent inside the transaction that gives a home to another household.
# Arguments: home, household (the new one), on (the day from which it holds the home), at.
owner_changed = Signal()
