"""What customers reports; apps above receive it."""

from django.dispatch import Signal

# Sent inside the transaction that gives a home to another household.
# Arguments: home, household (the new one), on (the day from which it holds the home), at.
owner_changed = Signal()

# Sent inside the transaction that enters another owner beside who holds the home.
# Arguments: home, household (the further owner), at.
owner_added = Signal()

# Sent before a chunk of a table is written: receivers add to the reasons of an arrival what they
# would refuse. Arguments: arrivals (customers.importing.Arrival; `home` is None for a new home).
rows_checked = Signal()

# Sent inside the transaction that writes a chunk of a table, once its homes and households are
# kept. Arguments: arrivals, at, by.
homes_imported = Signal()

# Sent inside the transaction that keeps an edit of a plan, for a plant that was measured. Receivers
# raise customers.actions.planning.AskFirst where the measure can hardly be right and is not
# confirmed. Arguments: plant, on, clearance_mm, cut (it was just cut back to that), confirmed,
# photo (or None), by.
plant_measured = Signal()

# Sent inside the transaction that keeps an edit of a plan by which a wall faces another way, or by
# which it is first known which way. Arguments: home, document (the plan as it is now).
walls_turned = Signal()

# Sent inside the transaction that closes a survey. Arguments: home, on, by.
survey_closed = Signal()
