"""What jobs reports; apps above receive it."""

from django.dispatch import Signal

# Sent inside the transaction that proves a job: the promise must exist with the proof.
# Arguments: job, proof, at.
job_proved = Signal()

# Sent inside the transaction that hands a job over: the certificate is issued. Arguments: job, at.
job_handed_over = Signal()

# Sent inside the transaction that books, moves or cancels a visit, so that the household's notice
# stands with it. Arguments: booking, change ("booked", "moved" or "cancelled"), at.
visit_changed = Signal()

# Sent inside the transaction that sends an offer to the household, or records their agreement.
# Arguments: offer, at.
offer_sent = Signal()
offer_agreed = Signal()

# Sent inside the transaction in which a household asks for an offer on paper. Arguments: offer, at.
paper_wanted = Signal()

# Sent inside the transaction that keeps a payment. Arguments: payment, at (when it was entered).
payment_recorded = Signal()

# Sent inside the transaction in which a crew sets out for a visit, or leaves it done. Arguments:
# booking, at.
crew_set_out = Signal()
visit_made = Signal()
