"""What jobs reports; apps above receive it."""

from django.dispatch import Signal

# Sent inside the transaction that proves a job: the promise must exist with the proof.
# Arguments: job, proof, at.
job_proved = Signal()

# Sent inside the transaction that hands a job over: the certificate is issued. Arguments: job, at.
job_handed_over = Signal()

# Sent after commit when a visit is booked, moved or cancelled. Arguments: booking, change.
visit_changed = Signal()
